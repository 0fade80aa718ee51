package store

import (
	"context"
	"encoding/binary"
	"errors"

	"netlore/store/board"
)

// commit writes changes: first the entries and views, in as many steps as they
// need, then in one step the records that make them count. If it is cut short
// in between, nothing counts, and the next process that opens the base for
// writing sweeps the remains away.
//
// A small change is made in one step from the start, which waits for the disk
// once instead of three times. What else is to be put goes with the last step.
func (b *Base) commit(ctx context.Context, changes []*change, also ...func(writer) error) error {
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
		return errReadOnly
	}
	if err := b.room(some); err != nil {
		return err
	}
	stale, err := b.staleNets(some)
	if err != nil {
		return err
	}
	if bytesOf(some) <= smallChange {
		err = b.commitAtOnce(ctx, some, also)
	} else {
		err = b.commitInSteps(ctx, some, also)
	}
	if err == nil {
		// The changes count now, whatever becomes of the rows: one too many does
		// no harm.
		_ = b.drop(stale)
	}
	return err
}

var errReadOnly = errors.New("the knowledge base is open for questions only")

// smallChange is how many bytes are written in one step at most: much less
// than one step of the storage library can hold.
const smallChange = 64 << 10

// bytesOf is about how many bytes changes put.
func bytesOf(changes []*change) int {
	n := 0
	for _, c := range changes {
		for i := range c.entries {
			e := &c.entries[i]
			n += len(e.Text) + 256 + 80*(len(e.Supersedes)+len(e.Retracts))
		}
		if c.view != nil {
			n += 3*len(c.view.board) + len(c.view.known) // the index of nets is less than twice the board
		}
	}
	return n
}

func (b *Base) commitAtOnce(ctx context.Context, changes []*change, also []func(writer) error) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	return b.kv.update(func(w writer) error {
		first, err := begin(w, changes)
		if err != nil {
			return err
		}
		for i, c := range changes {
			if err := c.put(w.put, first+batchID(i)); err != nil {
				return err
			}
		}
		return end(w, changes, first, also)
	})
}

func (b *Base) commitInSteps(ctx context.Context, some []*change, also []func(writer) error) error {
	var first batchID
	if err := b.kv.update(func(w writer) (err error) {
		if first, err = begin(w, some); err != nil {
			return err
		}
		return underway(w, some, first)
	}); err != nil {
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
	return b.kv.update(func(w writer) error { return end(w, some, first, also) })
}

// end makes changes count.
func end(w writer, changes []*change, first batchID, also []func(writer) error) error {
	for i, c := range changes {
		if err := c.end(w, first+batchID(i)); err != nil {
			return err
		}
	}
	for _, do := range also {
		if err := do(w); err != nil {
			return err
		}
	}
	return nil
}

// room refuses to begin what the disk could not hold. What is written is
// logged first, then put away, then merged with what is there already.
func (b *Base) room(changes []*change) error {
	if b.dir == "" {
		return nil
	}
	return checkSpace(b.dir, openSpace+rewriteSpace(b.dir)+4*uint64(bytesOf(changes)))
}

// begin numbers the additions, the subjects and the entries. It returns the
// number of the first addition.
func begin(w writer, changes []*change) (batchID, error) {
	last, err := lastNumbers(w)
	if err != nil {
		return 0, err
	}
	first := last.batch + 1
	for _, c := range changes {
		if !c.known {
			last.subject++
			c.record.ID = last.subject
		}
		if err := c.number(w); err != nil {
			return 0, err
		}
	}
	last.batch += batchID(len(changes))
	return first, last.put(w)
}

// underway notes that changes have begun, so that what is left of them can be
// swept away.
func underway(w writer, changes []*change, first batchID) error {
	for i, c := range changes {
		id := binary.BigEndian.AppendUint32(nil, uint32(c.record.ID))
		if err := w.put(underwayKey(first+batchID(i)), id); err != nil {
			return err
		}
	}
	return nil
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

// number gives the entries their authors' sequence numbers.
func (c *change) number(w writer) error {
	for n := 0; n < len(c.entries); {
		author := c.entries[n].Author
		key := append([]byte{keyAuthor}, author...)
		value, err := w.get(key)
		if err != nil && !errors.Is(err, errNoKey) {
			return err
		}
		var last uint64
		if len(value) == 8 {
			last = binary.BigEndian.Uint64(value)
		}
		for ; n < len(c.entries) && c.entries[n].Author == author; n++ {
			last++
			c.entries[n].Sequence = last
		}
		if err := w.put(key, binary.BigEndian.AppendUint64(nil, last)); err != nil {
			return err
		}
	}
	return nil
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
	if err := c.endPhotos(w); err != nil {
		return err
	}
	if err := c.endHomes(w); err != nil {
		return err
	}
	c.record.View, c.record.Nets, c.record.Summary, c.record.Job = 0, false, board.Summary{}, nil
	if c.view != nil {
		c.record.View, c.record.Nets, c.record.Summary, c.record.Job = batch, c.view.content != nil, c.view.summary, c.view.job
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
