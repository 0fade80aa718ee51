package store

import (
	"context"
	"errors"
	"slices"
	"time"

	"netlore/store/exchange"
)

// Shunned is a statement of another shop that does not count here, however far that
// shop is trusted.
type Shunned struct {
	ID      exchange.ID
	Subject Subject
	Shop    exchange.Key
	Time    time.Time
	Author  string
	Because string `json:",omitempty"`
	Purged  bool   `json:",omitempty"` // its text is not kept
	Text    string `json:"-"`          // empty if it is not kept
}

// ErrNotShunned says that a statement is not among those that are shunned.
var ErrNotShunned = errors.New("that statement is not shunned")

// Shun keeps statements of other shops from counting here, on each subject. They are
// kept and passed on as before, and their own shops may withdraw them.
func (b *Base) Shun(ctx context.Context, all []Found, author, because string) ([]Adoption, error) {
	return b.shunning(ctx, author, func(w writer) ([]Subject, error) {
		var of []Subject
		for _, f := range all {
			s := Shunned{ID: exchange.ID(f.ID), Subject: f.Subject, Shop: f.Shop, Time: b.now().UTC().Truncate(time.Second), Author: author, Because: because}
			if err := putRecord(w, shunnedKey(s.ID), s); err != nil {
				return nil, err
			}
			of = append(of, f.Subject)
		}
		return of, nil
	})
}

// Unshun lets a statement count again, as far as its shop is trusted. One that was
// purged can be taken again with the next pack that has it, and from a log, see
// LookAgain. ErrNotShunned if it is not shunned.
func (b *Base) Unshun(ctx context.Context, id exchange.ID, author string) ([]Adoption, error) {
	return b.shunning(ctx, author, func(w writer) ([]Subject, error) {
		s, err := shunned(w, id)
		if err != nil {
			return nil, err
		}
		if s == nil {
			return nil, ErrNotShunned
		}
		if s.Purged {
			err = missed(ctx, w, id)
		}
		return []Subject{s.Subject}, errors.Join(err, w.delete(shunnedKey(id)))
	})
}

// shunning changes what is shunned, and works out what counts then.
func (b *Base) shunning(ctx context.Context, author string, change func(writer) ([]Subject, error)) ([]Adoption, error) {
	if author == "" {
		return nil, errNoAuthor
	}
	b.changing.Lock()
	defer b.changing.Unlock()
	if b.readOnly {
		return nil, errReadOnly
	}
	var of []Subject
	if err := b.kv.update(func(w writer) (err error) {
		of, err = change(w)
		return err
	}); err != nil {
		return nil, err
	}
	slices.SortFunc(of, compareSubjects)
	return b.adoptAll(ctx, slices.Compact(of), author)
}

// Shunned lists what is shunned, in the order of its ids.
func (b *Base) Shunned(context.Context) (all []Shunned, err error) {
	err = b.kv.view(func(r reader) error {
		if err := r.scan([]byte{keyShunned}, func(_, value []byte) error {
			var s Shunned
			err := decodeRecord(value, &s)
			all = append(all, s)
			return err
		}); err != nil {
			return err
		}
		for i := range all {
			text, _, err := sharedText(r, all[i].Subject, all[i].ID)
			if err != nil {
				return err
			}
			all[i].Text = text
		}
		return nil
	})
	return all, err
}

// shunned is what is noted of a statement that is shunned; nil of any other.
func shunned(r reader, id exchange.ID) (*Shunned, error) {
	value, err := r.get(shunnedKey(id))
	if errors.Is(err, errNoKey) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var s Shunned
	return &s, decodeRecord(value, &s)
}

// shunnedIDs are the statements that are shunned, and whether each was purged.
func shunnedIDs(r reader) (map[exchange.ID]bool, error) {
	all := map[exchange.ID]bool{}
	return all, r.scan([]byte{keyShunned}, func(_, value []byte) error {
		var s Shunned
		err := decodeRecord(value, &s)
		all[s.ID] = s.Purged
		return err
	})
}
