package store

import (
	"bytes"
	"context"
	"fmt"
	"slices"

	"netlore/store/exchange"
)

// Found is a statement in the base, whether or not it holds.
type Found struct {
	ID      ID
	Subject Subject
	Text    string       // the canonical block
	Shop    exchange.Key // that has signed it; unknown of what is said here
	Made    bool         // by this base, for others
	Holds   bool         // of what is said here: nothing took its place; of others: it counts
	Gone    bool         // its shop has withdrawn it
	Shunned bool

	key  []byte
	from ID // of what counts of another shop: the id that it has there
}

// Copy reports whether it is what counted here of another shop's statement, which was
// taken back with its pack.
func (f *Found) Copy() bool { return f.from != (ID{}) }

// Find lists the statements that match accepts, by what they say: those that shops
// have signed, then what the base says, each with all that does not hold any more.
// What counts of another shop's statement is not told beside that.
func (b *Base) Find(ctx context.Context, match func(*Found) bool) (all []Found, err error) {
	err = b.kv.view(func(r reader) error {
		said, err := entriesFound(ctx, r, func(f *Found) bool { return f.Copy() || match(f) })
		if err != nil {
			return err
		}
		counts := map[exchange.ID]bool{}
		for _, f := range said {
			counts[exchange.ID(f.from)] = counts[exchange.ID(f.from)] || f.Holds
		}
		all, err = sharedFound(ctx, r, match, counts)
		signed := map[ID]bool{}
		for _, f := range all {
			signed[f.ID] = true
		}
		said = slices.DeleteFunc(said, func(f Found) bool { return signed[f.from] || !match(&f) })
		all = append(all, said...)
		return err
	})
	return all, err
}

// sharedFound are the shared entries that match; counts are those that count here.
func sharedFound(ctx context.Context, r reader, match func(*Found) bool, counts map[exchange.ID]bool) (all []Found, err error) {
	err = r.scan([]byte{keyShared}, func(key, value []byte) error {
		if err := ctx.Err(); err != nil {
			return err
		}
		e, err := decodeShared(key, value)
		if err != nil {
			return err
		}
		f := Found{ID: ID(e.id), Text: e.text, Shop: e.shop, Made: e.made, key: bytes.Clone(key)}
		if !match(&f) {
			return nil
		}
		if f.Subject, err = subjectOfSharedKey(bytes.Clone(key[:len(key)-len(e.id)])); err != nil {
			return err
		}
		f.Holds = counts[e.id]
		all = append(all, f)
		return nil
	})
	for i := range all {
		if err != nil {
			break
		}
		err = all[i].complete(r)
	}
	return all, err
}

// complete tells what became of a shared entry.
func (f *Found) complete(r reader) error {
	id := exchange.ID(f.ID)
	by, err := withdrawnBy(r, f.Subject, id)
	if err != nil {
		return err
	}
	if f.Gone, err = takenBack(r, f.Shop, by); err != nil {
		return err
	}
	s, err := shunned(r, id)
	f.Shunned = s != nil
	return err
}

// entriesFound are the entries of the base itself that match.
func entriesFound(ctx context.Context, r reader, match func(*Found) bool) (all []Found, err error) {
	for _, kind := range kinds {
		err := r.scan([]byte{keySubject, kind}, func(key, value []byte) error {
			rec, err := decodeHead(value)
			if err != nil {
				return err
			}
			s, err := subjectOfKey(key)
			if err != nil {
				return err
			}
			some, err := entriesOn(ctx, r, s, rec.ID, match)
			all = append(all, some...)
			return err
		})
		if err != nil {
			return nil, err
		}
	}
	return all, nil
}

func entriesOn(ctx context.Context, r reader, s Subject, id subjectID, match func(*Found) bool) (all []Found, err error) {
	if err := r.scan(subjectPrefix(keyEntry, id), func(key, value []byte) error {
		h, err := parseHeld(value)
		if err != nil {
			return err
		}
		f := Found{ID: h.id, Subject: s, Text: h.text, from: h.from, key: bytes.Clone(key)}
		if h.text != "" && match(&f) {
			all = append(all, f)
		}
		return ctx.Err()
	}); err != nil || len(all) == 0 {
		return nil, err
	}
	done, err := batches(r, id)
	if err != nil {
		return nil, err
	}
	holds, err := live(r, id, done)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", s, err)
	}
	holding := make(map[ID]bool, len(holds))
	for _, h := range holds {
		holding[h.id] = true
	}
	for i := range all {
		all[i].Holds = holding[all[i].ID]
	}
	return all, nil
}
