package store

import (
	"context"
	"errors"
	"maps"
	"slices"
	"strings"
	"time"

	"netlore/store/exchange"
)

// KeepMade keeps batches that this bench has signed for others, so that each of
// its entries can be traced to its signature for good. The shop itself is
// trusted from then on, should its word come back from another bench.
func (b *Base) KeepMade(ctx context.Context, batches []*exchange.Batch, author, to string) error {
	b.changing.Lock()
	defer b.changing.Unlock()
	if b.readOnly {
		return errReadOnly
	}
	if len(batches) == 0 {
		return nil
	}
	rec, err := b.nextReceipt(Receipt{Author: author, From: to, Made: true})
	if err != nil {
		return err
	}
	added, err := b.keepBatches(ctx, rec, batches)
	if err != nil {
		return err
	}
	for _, n := range added {
		rec.New += n
	}
	return b.kv.update(func(w writer) error {
		signer := batches[0].Signer
		s, err := shop(w, signer.Shop)
		if err != nil {
			return err
		}
		s.Name, s.Entries = signer.Name, s.Entries+rec.New
		if s.Since.IsZero() {
			s.Since = b.now().UTC().Truncate(time.Second)
		}
		s.believe(Own)
		return errors.Join(putRecord(w, shopKey(signer.Shop), s), putRecord(w, receiptKey(rec.Number), rec))
	})
}

// MadeEntry is an entry that this shop has signed for others.
type MadeEntry struct {
	ID        exchange.ID
	Text      string
	Licence   string
	By        exchange.Key // of the bench that has signed it
	Withdrawn bool         // by a later pack; it never counts again
	Elsewhere bool         // on another bench of the shop
	Lapsed    bool         // signed with a key that was revoked; if it was withdrawn, that was
	Counts    bool         // here, of what was signed elsewhere
	Shunned   bool         // here
}

// Ours are the keys of this shop, those that it had, and those of its benches that it
// has revoked, of which the base may not have heard.
type Ours struct{ Keys, Revoked []exchange.Key }

// Made lists what this base has signed on a subject, and what came to it that other
// benches have signed with one of the keys of the shop, in order of the ids.
func (b *Base) Made(ctx context.Context, s Subject, ours Ours) (all []MadeEntry, err error) {
	m := maker{ours: ours, signed: map[exchange.ID]signing{}}
	err = b.kv.view(func(r reader) (err error) {
		if m.gone, err = withdrawals(r, s); err != nil {
			return err
		}
		if m.kept, err = m.lasting(r, s); err != nil {
			return err
		}
		if m.shunned, err = shunnedIDs(r); err != nil {
			return err
		}
		if err := sharedOn(r, s, func(e sharedEntry) error {
			if !e.made && !slices.Contains(ours.Keys, e.shop) {
				return ctx.Err()
			}
			one, err := m.entry(r, e)
			all = append(all, one)
			return errors.Join(err, ctx.Err())
		}); err != nil {
			return err
		}
		return tellCounting(ctx, r, s, all)
	})
	return all, err
}

// maker tells what became of what was made for others.
type maker struct {
	ours    Ours
	signed  map[exchange.ID]signing // manifests that were looked at
	gone    map[exchange.ID][]exchange.Key
	kept    map[exchange.ID][]exchange.Key // of gone, by what has not lapsed
	shunned map[exchange.ID]bool
}

// signing is what a manifest tells of each of its entries.
type signing struct {
	licence string
	by      exchange.Key
	lapsed  bool
}

func (m *maker) entry(r reader, e sharedEntry) (MadeEntry, error) {
	signed, err := m.signing(r, e.manifest)
	if err != nil {
		return MadeEntry{}, err
	}
	withdrawn, err := m.withdrawnBy(r, e.shop, m.gone[e.id])
	if err != nil {
		return MadeEntry{}, err
	}
	lapsed := signed.lapsed
	if withdrawn {
		kept := false
		kept, err = m.withdrawnBy(r, e.shop, m.kept[e.id])
		lapsed = !kept
	}
	_, shunned := m.shunned[e.id]
	return MadeEntry{ID: e.id, Text: e.text, Licence: signed.licence, By: signed.by, Withdrawn: withdrawn, Elsewhere: !e.made, Lapsed: lapsed, Shunned: shunned}, err
}

// signing looks at a manifest that the base keeps, once.
func (m *maker) signing(r reader, manifest exchange.ID) (signing, error) {
	if one, known := m.signed[manifest]; known {
		return one, nil
	}
	batch, err := storedBatch(r, manifest, nil)
	if err != nil {
		return signing{}, err
	}
	lapsed := slices.Contains(m.ours.Revoked, batch.Signer.Key) || slices.Contains(m.ours.Revoked, batch.Signer.Shop)
	if !lapsed {
		gone, err := revokedSigner(r, batch.Signer)
		if err != nil {
			return signing{}, err
		}
		lapsed = gone != nil
	}
	one := signing{strings.Clone(batch.Licence), batch.Signer.Key, lapsed}
	m.signed[manifest] = one
	return one, nil
}

// withdrawnBy reports whether one of those that have withdrawn an entry of a shop may: that
// shop, or this one with any of its keys. Anybody else can sign that he withdraws it.
func (m *maker) withdrawnBy(r reader, key exchange.Key, by []exchange.Key) (bool, error) {
	if slices.ContainsFunc(by, func(k exchange.Key) bool { return slices.Contains(m.ours.Keys, k) }) {
		return true, nil
	}
	return takenBack(r, key, by)
}

// lasting are the entries that were withdrawn by what has not lapsed, and by whom.
func (m *maker) lasting(r reader, s Subject) (map[exchange.ID][]exchange.Key, error) {
	kept := map[exchange.ID][]exchange.Key{}
	return kept, withdrawnOn(r, s, func(id exchange.ID, by exchange.Key, manifest exchange.ID) error {
		signed, err := m.signing(r, manifest)
		if err == nil && !signed.lapsed {
			kept[id] = append(kept[id], by)
		}
		return err
	})
}

// tellCounting tells which of the entries that were signed elsewhere count here.
func tellCounting(ctx context.Context, r reader, s Subject, all []MadeEntry) error {
	if !slices.ContainsFunc(all, func(m MadeEntry) bool { return m.Elsewhere }) {
		return nil
	}
	rec, err := subject(r, s)
	if errors.Is(err, ErrUnknownSubject) {
		return nil
	}
	if err != nil {
		return err
	}
	copies, err := entriesOn(ctx, r, s, rec.ID, (*Found).Copy)
	counts := map[ID]bool{}
	for _, f := range copies {
		counts[f.from] = counts[f.from] || f.Holds
	}
	for i := range all {
		all[i].Counts = counts[ID(all[i].ID)]
	}
	return err
}

// takenBack reports whether a shop, or the keys that took its place, is among those that
// have withdrawn an entry.
func takenBack(r reader, key exchange.Key, by []exchange.Key) (bool, error) {
	for range mostKeys {
		if len(by) == 0 || slices.Contains(by, key) {
			return len(by) > 0, nil
		}
		s, err := shop(r, key)
		if err != nil || !s.Next.Known() {
			return false, err
		}
		key = s.Next
	}
	return false, nil
}

// SignedEntry is an entry that a shop has signed. Its text is empty for a
// withdrawal.
type SignedEntry struct {
	Shop      exchange.Key
	Batch     exchange.ID // whose manifest lists it
	Text      string
	Withdrawn bool // by its shop, with this key or a later one
	Lapsed    bool // signed with a key that was revoked
}

// Signed gives the batches with the entries and withdrawals on a subject that keep
// names, each as its own shop has signed it. It traces any entry to its
// signature.
func (b *Base) Signed(ctx context.Context, s Subject, keep func(SignedEntry) bool, each func(*exchange.Batch) error) error {
	return b.kv.view(func(r reader) error {
		by, err := signedOn(ctx, r, s, keep)
		if err != nil {
			return err
		}
		for _, id := range slices.SortedFunc(maps.Keys(by), func(x, y exchange.ID) int { return slices.Compare(x[:], y[:]) }) {
			batch, err := storedBatch(r, id, by[id])
			if err != nil {
				return err
			}
			if err := each(batch); err != nil {
				return err
			}
		}
		return nil
	})
}

// signedOn are the texts of the entries on a subject that keep names, by the manifests
// that list them. One that only withdraws has none.
func signedOn(ctx context.Context, r reader, s Subject, keep func(SignedEntry) bool) (map[exchange.ID]map[exchange.ID]string, error) {
	gone, err := withdrawals(r, s)
	if err != nil {
		return nil, err
	}
	by, lapsing := map[exchange.ID]map[exchange.ID]string{}, newLapsing()
	want := func(manifest exchange.ID) map[exchange.ID]string {
		if by[manifest] == nil {
			by[manifest] = map[exchange.ID]string{}
		}
		return by[manifest]
	}
	if err := sharedOn(r, s, func(e sharedEntry) error {
		withdrawn, err := takenBack(r, e.shop, gone[e.id])
		if err != nil {
			return err
		}
		lapsed, err := lapsing.manifest(r, e.manifest)
		if keep(SignedEntry{e.shop, e.manifest, e.text, withdrawn, lapsed}) {
			want(e.manifest)[e.id] = e.text
		}
		return errors.Join(err, ctx.Err())
	}); err != nil {
		return nil, err
	}
	return by, withdrawnOn(r, s, func(_ exchange.ID, shop exchange.Key, manifest exchange.ID) error {
		lapsed, err := lapsing.manifest(r, manifest)
		if keep(SignedEntry{Shop: shop, Batch: manifest, Lapsed: lapsed}) {
			want(manifest)
		}
		return err
	})
}

func storedBatch(r reader, id exchange.ID, texts map[exchange.ID]string) (*exchange.Batch, error) {
	value, err := r.get(manifestKey(id))
	if err != nil {
		return nil, errDamaged("the manifest %s is missing", id)
	}
	_, manifest, signature, err := decodeBatch(value)
	if err != nil {
		return nil, err
	}
	batch, err := exchange.Kept(manifest, signature, texts)
	if err != nil {
		return nil, errDamaged("the manifest %s: %v", id, err)
	}
	return batch, nil
}
