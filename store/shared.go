package store

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"

	"netlore/store/exchange"
)

// sharedEntry is a statement that a shop has signed, as it lies in the base.
type sharedEntry struct {
	id       exchange.ID
	receipt  uint64 // of the pack with which it came first
	made     bool   // by this base itself, for others
	shop     exchange.Key
	manifest exchange.ID
	text     string
}

const sharedHead = 8 + 1 + 32 + 32

func (e *sharedEntry) encode() []byte {
	value := make([]byte, 0, sharedHead+len(e.text))
	value = binary.BigEndian.AppendUint64(value, e.receipt)
	value = append(value, byte(oneIf(e.made)))
	value = append(append(value, e.shop[:]...), e.manifest[:]...)
	return append(value, e.text...)
}

func decodeShared(key, value []byte) (e sharedEntry, err error) {
	if len(value) < sharedHead || len(key) < len(e.id) {
		return e, errDamaged("a shared entry is cut short")
	}
	copy(e.id[:], key[len(key)-len(e.id):])
	e.receipt, e.made = binary.BigEndian.Uint64(value), value[8] == 1
	copy(e.shop[:], value[9:])
	copy(e.manifest[:], value[41:])
	e.text = string(value[sharedHead:])
	return e, nil
}

// signedBatch is a manifest with its signature, as it lies in the base for good.
func encodeBatch(receipt uint64, b *exchange.Batch) []byte {
	value := binary.BigEndian.AppendUint64(nil, receipt)
	value = binary.AppendUvarint(value, uint64(len(b.Signed)))
	value = append(value, b.Signed...)
	return append(value, b.Signature...)
}

func decodeBatch(value []byte) (receipt uint64, manifest, signature []byte, err error) {
	if len(value) < 9 {
		return 0, nil, nil, errDamaged("a manifest is cut short")
	}
	n, used := binary.Uvarint(value[8:])
	rest := value[8+max(used, 0):]
	if used <= 0 || n > uint64(len(rest)) {
		return 0, nil, nil, errDamaged("a manifest is cut short")
	}
	return binary.BigEndian.Uint64(value), rest[:n], rest[n:], nil
}

// keepBatches writes batches with those of their entries that are not there yet.
// An entry, or a withdrawal, says that it came with the first batch that had it. It returns, batch
// by batch, how many entries were new.
func (b *Base) keepBatches(ctx context.Context, rec Receipt, batches []*exchange.Batch) ([]int, error) {
	k := keeper{receipt: rec, seen: map[string]bool{}, lapsed: newLapsing()}
	added := make([]int, len(batches))
	if err := b.kv.view(func(r reader) (err error) {
		if k.shunned, err = shunnedIDs(r); err != nil {
			return err
		}
		for i, batch := range batches {
			if added[i], err = k.batch(r, batch); err != nil {
				return err
			}
		}
		return nil
	}); err != nil {
		return nil, err
	}
	return added, b.putAll(ctx, k.rows)
}

// pair is a key with its value.
type pair struct{ key, value []byte }

// putAll puts pairs, in several steps if need be.
func (b *Base) putAll(ctx context.Context, pairs []pair) error {
	return b.kv.bulk(ctx, func(put func(key, value []byte) error) error {
		for _, r := range pairs {
			if err := put(r.key, r.value); err != nil {
				return err
			}
		}
		return nil
	})
}

// keeper finds what has to be written to keep batches.
type keeper struct {
	receipt Receipt
	rows    []pair
	seen    map[string]bool      // keys of what will be written
	shunned map[exchange.ID]bool // and whether they were purged
	lapsed  *lapsing
}

func (k *keeper) put(key, value []byte) {
	k.rows = append(k.rows, pair{key, value})
}

func (k *keeper) batch(r reader, batch *exchange.Batch) (added int, err error) {
	s := subjectOfShared(batch.Of)
	e := sharedEntry{receipt: k.receipt.Number, made: k.receipt.Made, shop: batch.Signer.Shop, manifest: batch.Hash()}
	absent, err := isAbsent(r, manifestKey(e.manifest))
	if err != nil {
		return 0, err
	}
	if absent {
		k.put(manifestKey(e.manifest), encodeBatch(e.receipt, batch))
	} else if err := k.signedAnew(r, batch); err != nil {
		return 0, err
	}
	for _, one := range batch.Entries {
		key := sharedKey(s, one.ID)
		fresh, err := k.fresh(r, key, entryManifest, e.manifest)
		if err != nil {
			return 0, err
		}
		if fresh && !k.shunned[one.ID] {
			e.text = one.Text
			k.put(key, e.encode())
			added++
		}
	}
	for _, id := range batch.Retracts {
		key := withdrawnKey(s, id, e.shop)
		fresh, err := k.fresh(r, key, withdrawnManifest, e.manifest)
		if err != nil {
			return 0, err
		}
		if fresh {
			k.put(key, append(binary.BigEndian.AppendUint64(nil, e.receipt), e.manifest[:]...))
		}
	}
	return added, nil
}

// fresh reports whether an entry or a withdrawal is not there and will not be by what is
// to be written. If it is there, it is traced.
func (k *keeper) fresh(r reader, key []byte, at int, manifest exchange.ID) (bool, error) {
	absent, err := isAbsent(r, key)
	if err != nil {
		return false, err
	}
	if !absent {
		return false, k.trace(r, key, at, manifest)
	}
	before := k.seen[string(key)]
	k.seen[string(key)] = true
	return !before, nil
}

func isAbsent(r reader, key []byte) (bool, error) {
	_, err := r.get(key)
	if errors.Is(err, errNoKey) {
		return true, nil
	}
	return false, err
}

// subjectOfShared is the subject that a batch is about: what its manifest says, if
// that is one in the form in which it is written.
func subjectOfShared(of string) Subject {
	s := QuestionsSubject()
	switch of {
	case QuestionsSubject().String():
	case MetersSubject().String():
		s = MetersSubject()
	case ChancesSubject().String():
		s = ChancesSubject()
	default:
		s = subjectOfText(of)
	}
	return s
}

// checkSubject refuses a batch about something that cannot be held.
func checkSubject(of string) error {
	if s := subjectOfShared(of); s.String() != of || !s.Shared() && s.Ref.Name == "" {
		return fmt.Errorf("%q is no board and no stack", of)
	}
	return nil
}

// SubjectOf is the subject that a batch says it is about; false if nothing of that
// name can be held.
func SubjectOf(of string) (Subject, bool) { return subjectOfShared(of), checkSubject(of) == nil }

// sharedOn scans the shared entries on a subject, in order of their ids.
func sharedOn(r reader, s Subject, fn func(sharedEntry) error) error {
	prefix := sharedPrefix(keyShared, s)
	return r.scan(prefix, func(key, value []byte) error {
		if len(key) != len(prefix)+len(exchange.ID{}) {
			return nil
		}
		e, err := decodeShared(key, value)
		if err != nil {
			return err
		}
		return fn(e)
	})
}

// withdrawals are the shared entries on a subject that their own shops have
// withdrawn.
func withdrawals(r reader, s Subject) (map[exchange.ID][]exchange.Key, error) {
	gone := map[exchange.ID][]exchange.Key{}
	err := withdrawnOn(r, s, func(id exchange.ID, by exchange.Key, _ exchange.ID) error {
		gone[id] = append(gone[id], by)
		return nil
	})
	return gone, err
}

// withdrawnBy are the shops that have withdrawn an entry.
func withdrawnBy(r reader, s Subject, id exchange.ID) (by []exchange.Key, err error) {
	prefix := append(sharedPrefix(keyWithdrawn, s), id[:]...)
	err = r.scan(prefix, func(key, _ []byte) error {
		if shop := key[len(prefix):]; len(shop) == len(exchange.Key{}) {
			by = append(by, exchange.Key(shop))
		}
		return nil
	})
	return by, err
}

// withdrawnOn scans what shops have withdrawn on a subject: the entry, the shop,
// and the manifest that says so.
func withdrawnOn(r reader, s Subject, fn func(id exchange.ID, by exchange.Key, manifest exchange.ID) error) error {
	prefix := sharedPrefix(keyWithdrawn, s)
	return r.scan(prefix, func(key, value []byte) error {
		rest := key[len(prefix):]
		if len(rest) != 64 {
			return nil
		}
		if len(value) != 40 {
			return errDamaged("a withdrawal is cut short")
		}
		return fn(exchange.ID(rest[:32]), exchange.Key(rest[32:]), exchange.ID(value[8:]))
	})
}

// sharedBy are the subjects on which a shop has shared something.
func (b *Base) sharedBy(ctx context.Context, shop exchange.Key) ([]Subject, error) {
	var all []Subject
	var last []byte
	err := b.kv.view(func(r reader) error {
		return r.scan([]byte{keyShared}, func(key, value []byte) error {
			if err := ctx.Err(); err != nil {
				return err
			}
			e, err := decodeShared(key, value)
			if err != nil || e.shop != shop {
				return err
			}
			of := key[:len(key)-len(e.id)]
			if !bytes.Equal(of, last) {
				last = bytes.Clone(of)
				s, err := subjectOfSharedKey(of)
				if err != nil {
					return err
				}
				all = append(all, s)
			}
			return nil
		})
	})
	return all, err
}

// subjectOfSharedKey is the subject of a key of which the id was taken off.
func subjectOfSharedKey(of []byte) (Subject, error) {
	key := append([]byte{keySubject}, of[1:len(of)-1]...)
	return subjectOfKey(key)
}
