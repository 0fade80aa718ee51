package store

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"

	"netlore/store/board"
)

// commit writes changes: first the entries and views, in as many steps as they
// need, then in one step the records that make them count. If it is cut short
// in between, nothing counts, and the next process that opens the base for
// writing sweeps the remains away.
func (b *Base) commit(ctx context.Context, changes []*change) error {
	var some []*change
	for _, c := range changes {
		if !c.nothing() {
			some = append(some, c)
		}
	}
	if len(some) == 0 {
		return nil
	}
	if b.readOnly {
		return errors.New("the knowledge base is open for questions only")
	}
	if err := b.room(some); err != nil {
		return err
	}
	stale, err := b.staleNets(some)
	if err != nil {
		return err
	}
	first, err := b.begin(some)
	if err != nil {
		return err
	}
	if err := b.kv.bulk(ctx, func(put func(key, value []byte) error) error {
		for i, c := range some {
			if err := c.put(put, first+batchID(i)); err != nil {
				return err
			}
		}
		return nil
	}); err != nil {
		return errors.Join(err, b.sweep())
	}
	if err := ctx.Err(); err != nil {
		return errors.Join(err, b.sweep())
	}
	if err := b.kv.update(func(w writer) error {
		for i, c := range some {
			if err := c.end(w, first+batchID(i)); err != nil {
				return err
			}
		}
		return nil
	}); err != nil {
		return err
	}
	// The changes count now, whatever becomes of the rows: one too many does
	// no harm.
	_ = b.drop(stale)
	return nil
}

// room refuses to begin what the disk could not hold. What is written is
// logged first, then put away, then merged with what is there already.
func (b *Base) room(changes []*change) error {
	if b.dir == "" {
		return nil
	}
	need := openSpace + rewriteSpace(b.dir)
	for _, c := range changes {
		for i := range c.entries {
			need += 4 * uint64(len(c.entries[i].Text)+256)
		}
		if c.view != nil {
			need += 4 * uint64(3*len(c.view.board)+len(c.view.known)) // the index of nets is less than twice the board
		}
	}
	return checkSpace(b.dir, need)
}

// begin numbers the additions, the subjects and the entries, and notes that
// something is under way. It returns the number of the first addition.
func (b *Base) begin(changes []*change) (batchID, error) {
	var first batchID
	err := b.kv.update(func(w writer) error {
		last, err := lastNumbers(w)
		if err != nil {
			return err
		}
		first = last.batch + 1
		for i, c := range changes {
			if !c.known {
				last.subject++
				c.record.ID = last.subject
			}
			if err := c.number(w); err != nil {
				return err
			}
			id := binary.BigEndian.AppendUint32(nil, uint32(c.record.ID))
			if err := w.put(underwayKey(first+batchID(i)), id); err != nil {
				return err
			}
		}
		last.batch += batchID(len(changes))
		return last.put(w)
	})
	return first, err
}

// numbers are the last ones given out. A number is never given out twice, even
// if what it was given to came to nothing.
type numbers struct {
	batch   batchID
	subject subjectID
}

// keyNumbers sorts among the keys of authors: no author has an empty name.
var keyNumbers = []byte{keyAuthor}

func lastNumbers(r reader) (numbers, error) {
	value, err := r.get(keyNumbers)
	if errors.Is(err, errNoKey) {
		return numbers{}, nil
	}
	if err == nil && len(value) != 12 {
		err = errDamaged("the numbers have %d bytes, want 12", len(value))
	}
	if err != nil {
		return numbers{}, err
	}
	return numbers{batchID(binary.BigEndian.Uint64(value)), subjectID(binary.BigEndian.Uint32(value[8:]))}, nil
}

func (n numbers) put(w writer) error {
	value := binary.BigEndian.AppendUint64(nil, uint64(n.batch))
	return w.put(keyNumbers, binary.BigEndian.AppendUint32(value, uint32(n.subject)))
}

// number gives the entries their author's sequence numbers.
func (c *change) number(w writer) error {
	if len(c.entries) == 0 {
		return nil
	}
	key := append([]byte{keyAuthor}, c.entries[0].Author...)
	value, err := w.get(key)
	if err != nil && !errors.Is(err, errNoKey) {
		return err
	}
	var last uint64
	if len(value) == 8 {
		last = binary.BigEndian.Uint64(value)
	}
	for i := range c.entries {
		last++
		c.entries[i].Sequence = last
	}
	return w.put(key, binary.BigEndian.AppendUint64(nil, last))
}

// put writes the entries and the view of a change.
func (c *change) put(put func(key, value []byte) error, batch batchID) error {
	for i := range c.entries {
		_, stored := c.entries[i].stored()
		if err := put(entryKey(c.record.ID, batch, uint32(i)), stored); err != nil {
			return err
		}
	}
	if c.view == nil {
		return nil
	}
	if c.view.board != nil {
		if err := put(viewKey(c.record.ID, batch, partBoard), c.view.board); err != nil {
			return err
		}
	}
	if err := put(viewKey(c.record.ID, batch, partKnown), c.view.known); err != nil {
		return err
	}
	return c.putNets(put, batch)
}

// end makes a change count, and drops the view that it makes out of date.
func (c *change) end(w writer, batch batchID) error {
	if old := c.record.View; old != 0 {
		for _, part := range []byte{partBoard, partKnown} {
			if err := w.delete(viewKey(c.record.ID, old, part)); err != nil {
				return err
			}
		}
	}
	c.record.View, c.record.Nets, c.record.Summary = 0, false, board.Summary{}
	if c.view != nil {
		c.record.View, c.record.Nets, c.record.Summary = batch, c.view.content != nil, c.view.summary
		c.record.Summary.Updated = c.event.Time
	}
	record, err := c.record.encode()
	if err != nil {
		return err
	}
	if err := w.put(c.subject.key(), record); err != nil {
		return err
	}
	if err := putRecord(w, batchPrefix(keyBatch, c.record.ID, batch), batchRecord{c.event, batch}); err != nil {
		return err
	}
	return w.delete(underwayKey(batch))
}

// sweep drops what additions that never ended have left behind.
func (b *Base) sweep() error {
	var keys [][]byte
	err := b.kv.view(func(r reader) error {
		return r.scan([]byte{keyUnderway}, func(key, value []byte) error {
			if len(key) != 9 || len(value) != 4 {
				return errDamaged("a note of an unfinished addition cannot be read")
			}
			batch := batchID(binary.BigEndian.Uint64(key[1:]))
			id := subjectID(binary.BigEndian.Uint32(value))
			for _, kind := range []byte{keyEntry, keyView} {
				if err := r.scan(batchPrefix(kind, id, batch), func(key, _ []byte) error {
					keys = append(keys, append([]byte(nil), key...))
					return nil
				}); err != nil {
					return err
				}
			}
			keys = append(keys, append([]byte(nil), key...))
			return nil
		})
	})
	if err != nil {
		return fmt.Errorf("looking for unfinished additions: %w", err)
	}
	return b.drop(keys)
}

// drop deletes keys in steps; the notes of what is under way come last of
// their additions, so that a second interruption loses nothing.
func (b *Base) drop(keys [][]byte) error {
	const step = 2000
	for len(keys) > 0 {
		n := min(step, len(keys))
		if err := b.kv.update(func(w writer) error {
			for _, key := range keys[:n] {
				if err := w.delete(key); err != nil {
					return err
				}
			}
			return nil
		}); err != nil {
			return err
		}
		keys = keys[n:]
	}
	return nil
}
