package store

import (
	"bytes"
	"errors"

	"netlore/store/exchange"
)

// What a shop has signed with a key that it has revoked since stays where it came in
// before that was heard, but nobody takes it any more. So the shop signs it again, with
// a key that holds, and whoever has it already traces it to the new signature from then
// on: what he passes on is taken again.

// Where the manifest stands to which an entry or a withdrawal is traced.
const (
	entryManifest     = 8 + 1 + 32
	withdrawnManifest = 8
)

// lapsing tells whether what a manifest lists has lapsed: the key that has signed it was
// revoked.
type lapsing struct {
	some  *bool // whether any key was revoked
	known map[exchange.ID]bool
}

func newLapsing() *lapsing { return &lapsing{known: map[exchange.ID]bool{}} }

func (l *lapsing) manifest(r reader, id exchange.ID) (bool, error) {
	if l.some == nil {
		some := false
		stop := errors.New("there is one")
		if err := r.scan([]byte{keyRevoked}, func(_, _ []byte) error { return stop }); errors.Is(err, stop) {
			some = true
		} else if err != nil {
			return false, err
		}
		l.some = &some
	}
	if !*l.some {
		return false, nil
	}
	if lapsed, known := l.known[id]; known {
		return lapsed, nil
	}
	lapsed, err := lapsed(r, id)
	l.known[id] = lapsed
	return lapsed, err
}

// lapsed reports whether the key that has signed a manifest was revoked.
func lapsed(r reader, manifest exchange.ID) (bool, error) {
	batch, err := storedBatch(r, manifest, nil)
	if err != nil {
		return false, err
	}
	gone, err := revokedSigner(r, batch.Signer)
	return gone != nil, err
}

// revokedSigner finds out whether the key of a bench, or of its shop, was revoked.
func revokedSigner(r reader, s exchange.Signer) (*Revocation, error) {
	for _, key := range []exchange.Key{s.Key, s.Shop} {
		if gone, err := revoked(r, s.Shop, key); gone != nil || err != nil {
			return gone, err
		}
	}
	return nil, nil
}

// signedAnew keeps the new signature on a manifest that is there, if the key of the old
// one was revoked.
func (k *keeper) signedAnew(r reader, batch *exchange.Batch) error {
	id := batch.Hash()
	lapsed, err := k.lapsed.manifest(r, id)
	if err != nil || !lapsed {
		return err
	}
	value, err := r.get(manifestKey(id))
	if err != nil {
		return err
	}
	receipt, _, _, err := decodeBatch(value)
	if err == nil {
		k.put(manifestKey(id), encodeBatch(receipt, batch))
		k.lapsed.known[id] = false
	}
	return err
}

// trace has an entry or a withdrawal that is there traced to another manifest, if the
// key that has signed its own was revoked. With which pack it came first stays.
func (k *keeper) trace(r reader, key []byte, at int, to exchange.ID) error {
	value, err := r.get(key)
	if err != nil {
		return err
	}
	if len(value) < at+len(to) {
		return errDamaged("a shared entry is cut short")
	}
	from := exchange.ID(value[at:])
	lapsed, err := k.lapsed.manifest(r, from)
	if err != nil || !lapsed || from == to {
		return err
	}
	value = bytes.Clone(value)
	copy(value[at:], to[:])
	k.put(key, value)
	return nil
}

// Hear takes what this shop says of its own keys: what it has signed with a key that it
// has revoked is to be signed again.
func (b *Base) Hear(words []*exchange.Word) error {
	b.changing.Lock()
	defer b.changing.Unlock()
	if b.readOnly {
		return errReadOnly
	}
	for _, w := range words {
		if _, err := b.hear(w); err != nil {
			return err
		}
	}
	return nil
}
