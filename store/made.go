package store

import (
	"context"
	"errors"
	"maps"
	"slices"
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
		for k := range s.Levels {
			s.Levels[k] = Own
		}
		return errors.Join(putRecord(w, shopKey(signer.Shop), s), putRecord(w, receiptKey(rec.Number), rec))
	})
}

// MadeEntry is an entry that this shop has signed for others.
type MadeEntry struct {
	ID        exchange.ID
	Text      string
	Licence   string
	Withdrawn bool // by a later pack; it never counts again
	Elsewhere bool // on another bench of the shop
}

// Made lists what this base has signed on a subject, and what came to it that other
// benches have signed with one of the keys of the shop, in order of the ids.
func (b *Base) Made(ctx context.Context, s Subject, keys ...exchange.Key) (all []MadeEntry, err error) {
	licences := map[exchange.ID]string{}
	err = b.kv.view(func(r reader) error {
		gone, err := withdrawals(r, s)
		if err != nil {
			return err
		}
		return sharedOn(r, s, func(e sharedEntry) error {
			if !e.made && !slices.Contains(keys, e.shop) {
				return ctx.Err()
			}
			licence, known := licences[e.manifest]
			if !known {
				batch, err := storedBatch(r, e.manifest, nil, b.now())
				if err != nil {
					return err
				}
				licence = batch.Licence
				licences[e.manifest] = licence
			}
			withdrawn, err := takenBack(r, e.shop, gone[e.id])
			withdrawn = withdrawn || slices.ContainsFunc(gone[e.id], func(k exchange.Key) bool { return slices.Contains(keys, k) })
			all = append(all, MadeEntry{e.id, e.text, licence, withdrawn, !e.made})
			return errors.Join(err, ctx.Err())
		})
	})
	return all, err
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
}

// Signed gives the batches with the entries and withdrawals on a subject that keep
// names, each as its own shop has signed it. It traces any entry to its
// signature.
func (b *Base) Signed(ctx context.Context, s Subject, keep func(SignedEntry) bool, each func(*exchange.Batch) error) error {
	return b.kv.view(func(r reader) error {
		gone, err := withdrawals(r, s)
		if err != nil {
			return err
		}
		by := map[exchange.ID]map[exchange.ID]string{}
		want := func(manifest exchange.ID) map[exchange.ID]string {
			if by[manifest] == nil {
				by[manifest] = map[exchange.ID]string{}
			}
			return by[manifest]
		}
		if err := sharedOn(r, s, func(e sharedEntry) error {
			withdrawn, err := takenBack(r, e.shop, gone[e.id])
			if keep(SignedEntry{e.shop, e.manifest, e.text, withdrawn}) {
				want(e.manifest)[e.id] = e.text
			}
			return errors.Join(err, ctx.Err())
		}); err != nil {
			return err
		}
		if err := withdrawnOn(r, s, func(_ exchange.ID, shop exchange.Key, manifest exchange.ID) error {
			if keep(SignedEntry{Shop: shop, Batch: manifest}) {
				want(manifest)
			}
			return nil
		}); err != nil {
			return err
		}
		for _, id := range slices.SortedFunc(maps.Keys(by), func(x, y exchange.ID) int { return slices.Compare(x[:], y[:]) }) {
			batch, err := storedBatch(r, id, by[id], b.now())
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

func storedBatch(r reader, id exchange.ID, texts map[exchange.ID]string, now time.Time) (*exchange.Batch, error) {
	value, err := r.get(manifestKey(id))
	if err != nil {
		return nil, errDamaged("the manifest %s is missing", id)
	}
	_, manifest, signature, err := decodeBatch(value)
	if err != nil {
		return nil, err
	}
	batch, err := exchange.Kept(manifest, signature, texts, now)
	if err != nil {
		return nil, errDamaged("the manifest %s: %v", id, err)
	}
	return batch, nil
}
