package store

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
)

// Check is what Verify found.
type Check struct {
	Entries  int
	Subjects int
}

// Verify hashes every entry again, those of other shops against what was signed,
// and compares the content of every subject with its view. The first difference
// is a *DamagedError.
func (b *Base) Verify(ctx context.Context, progress func(entries int)) (Check, error) {
	var c Check
	err := b.kv.view(func(r reader) error {
		return r.scan([]byte{keyEntry}, func(_, value []byte) error {
			if c.Entries++; progress != nil && c.Entries%1000 == 0 {
				progress(c.Entries)
			}
			if err := ctx.Err(); err != nil {
				return err
			}
			return verify(value)
		})
	})
	if err == nil {
		err = b.verifyShared(ctx)
	}
	if err != nil {
		return c, err
	}
	subjects, err := b.subjects(true, kinds...)
	for _, s := range subjects {
		if err == nil {
			err = b.verifySubject(ctx, s)
			c.Subjects++
		}
	}
	return c, err
}

// verifySubject makes the view anew from the entries.
func (b *Base) verifySubject(ctx context.Context, s Subject) error {
	m, err := b.remake(ctx, s)
	if err != nil {
		return err
	}
	if m.change.view.summary.Hash != m.change.record.Summary.Hash {
		return errDamaged("%s is not what its statements say", s)
	}
	return b.kv.view(m.change.verifyView)
}

// remake makes the view of a subject of its entries.
func (b *Base) remake(ctx context.Context, s Subject) (*merge, error) {
	c := &change{subject: s}
	older, err := b.load(c)
	if err != nil {
		return nil, err
	}
	m := newMerge(c, Addition{Subject: s}, older)
	return m, damage(s, m.run(ctx))
}

// verifyView compares the view that is kept with the one just made.
func (c *change) verifyView(r reader) error {
	for _, v := range []struct {
		part byte
		want []byte
	}{{partBoard, c.view.board}, {partKnown, c.view.known}} {
		got, err := r.get(viewKey(c.record.ID, c.record.View, v.part))
		if errors.Is(err, errNoKey) && v.want == nil {
			continue
		}
		if err != nil {
			return missingView(err, c.subject)
		}
		if v.part == partBoard {
			if _, err := DecodeBoard(got); errors.Is(err, errOtherVersion) {
				continue
			}
		}
		if !bytes.Equal(got, v.want) {
			return errDamaged("the view of %s is not what its statements say", c.subject)
		}
	}
	if err := c.verifyHomes(r); err != nil {
		return err
	}
	return c.verifyNets(r)
}

// verifyNets compares the rows of the index of nets with those that the view
// calls for. Rows too many do no harm and are not looked for.
func (c *change) verifyNets(r reader) error {
	if !c.record.Nets {
		return nil
	}
	return netRows(c.view.content, c.record.ID, func(want netRow) error {
		got, err := r.get(want.key)
		if err != nil && !errors.Is(err, errNoKey) {
			return err
		}
		if len(got) > 8 && got[8] != snapshotVersion {
			return nil // Around does not use it
		}
		if len(got) < 8 || batchID(binary.BigEndian.Uint64(got)) != c.record.View || !bytes.Equal(got[8:], want.excerpt) {
			return errDamaged("the index of nets is not what the statements of %s say", c.subject)
		}
		return nil
	})
}
