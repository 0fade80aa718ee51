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
	return b.shun(ctx, all, Shunned{Author: author, Because: because})
}

// shun shuns statements, each noted as one that is given. What is cut short is finished by
// doing it once more.
func (b *Base) shun(ctx context.Context, all []Found, as Shunned) ([]Adoption, error) {
	as.Time = b.now().UTC().Truncate(time.Second)
	return b.shunning(ctx, as.Author, func() (of []Subject, err error) {
		for some := range slices.Chunk(all, dropStep) {
			if err := b.kv.update(func(w writer) error {
				for _, f := range some {
					as.ID, as.Subject, as.Shop = exchange.ID(f.ID), f.Subject, f.Shop
					of = append(of, f.Subject)
					if err := putRecord(w, shunnedKey(as.ID), as); err != nil {
						return err
					}
				}
				return nil
			}); err != nil {
				return nil, err
			}
		}
		return of, nil
	})
}

// Unshun lets a statement count again, as far as its shop is trusted. One that was
// purged can be taken again with the next pack that has it, and from a log, see
// LookAgain. ErrNotShunned if it is not shunned.
func (b *Base) Unshun(ctx context.Context, id exchange.ID, author string) ([]Adoption, error) {
	return b.shunning(ctx, author, func() (of []Subject, err error) {
		return of, b.kv.update(func(w writer) error {
			s, err := shunned(w, id)
			if err != nil {
				return err
			}
			if s == nil {
				return ErrNotShunned
			}
			if of = []Subject{s.Subject}; s.Purged {
				err = missed(ctx, w, id)
			}
			return errors.Join(err, w.delete(shunnedKey(id)))
		})
	})
}

// shunning changes what is shunned, and works out what counts then.
func (b *Base) shunning(ctx context.Context, author string, change func() ([]Subject, error)) ([]Adoption, error) {
	if author == "" {
		return nil, errNoAuthor
	}
	b.changing.Lock()
	defer b.changing.Unlock()
	if b.readOnly {
		return nil, errReadOnly
	}
	of, err := change()
	if err != nil {
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
