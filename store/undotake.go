package store

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"slices"
	"time"

	"netlore/store/exchange"
)

// UndoTake takes back a pack that was taken: what came with it first is deleted,
// and what counts is worked out without it. What shops have said about their
// keys stays. What is cut short is finished by doing it once more.
func (b *Base) UndoTake(ctx context.Context, n uint64, author string) (Receipt, []Adoption, error) {
	b.changing.Lock()
	defer b.changing.Unlock()
	if b.readOnly {
		return Receipt{}, nil, errReadOnly
	}
	rec, err := b.receipt(n)
	if err != nil || rec.Made || !rec.Undone.IsZero() {
		return rec, nil, errors.Join(err, rec.mayUndo())
	}
	came := cameWith{receipt: n, manifests: map[exchange.ID]uint64{}, batches: map[exchange.ID]bool{},
		lists: map[exchange.ID]list{}, seen: map[Subject]bool{}}
	if err := b.kv.view(func(r reader) error { return came.find(ctx, r) }); err != nil {
		return rec, nil, err
	}
	// The note comes first: what it tells is told by what is dropped.
	if err := b.kv.update(func(w writer) error { return putRecord(w, undoingKey(n), undoing{came.of}) }); err != nil {
		return rec, nil, err
	}
	if err := b.putAll(ctx, came.stays); err != nil {
		return rec, nil, err
	}
	if err := b.dropCounted(came.rows); err != nil {
		return rec, nil, err
	}
	done, err := b.adoptAll(ctx, came.of, author)
	if err != nil {
		return rec, done, err
	}
	rec.Undone = b.now().UTC().Truncate(time.Second)
	return rec, done, b.kv.update(func(w writer) error {
		return errors.Join(w.delete(undoingKey(n)), putRecord(w, receiptKey(n), rec))
	})
}

// cameWith finds all that came first with a pack.
type cameWith struct {
	receipt uint64
	rows    []countedRow
	of      []Subject
	lists   map[exchange.ID]list // by the manifests
	stays   []pair               // what is to be written before it goes

	// Manifests that came with it, and the receipt of something else that is traced to
	// one; 0 if nothing is.
	manifests map[exchange.ID]uint64
	batches   map[exchange.ID]bool // all of which something came
	seen      map[Subject]bool
}

// undoing notes on what an undo that has begun is to work out anew what counts.
type undoing struct{ Of []Subject }

// list is how much a manifest of a shop lists.
type list struct {
	shop exchange.Key
	n    int
}

func (c *cameWith) find(ctx context.Context, r reader) error {
	for _, part := range []struct {
		kind byte
		row  func(key, value []byte) error
	}{{keyManifest, c.manifest}, {keyShared, c.entry}, {keyWithdrawn, c.withdrawal}} {
		if err := r.scan([]byte{part.kind}, func(key, value []byte) error {
			return errors.Join(ctx.Err(), part.row(key, value))
		}); err != nil {
			return err
		}
	}
	if err := c.begun(r); err != nil {
		return err
	}
	slices.SortFunc(c.of, compareSubjects)
	marks, err := takenOut(ctx, r, c.batches)
	c.stays = append(c.stays, marks...)
	return errors.Join(err, c.passOn(r))
}

// begun adds what was noted before it was cut short.
func (c *cameWith) begun(r reader) error {
	value, err := r.get(undoingKey(c.receipt))
	if errors.Is(err, errNoKey) {
		return nil
	}
	var before undoing
	if err == nil {
		err = decodeRecord(value, &before)
	}
	for _, s := range before.Of {
		c.about(s)
	}
	return err
}

// about notes a subject.
func (c *cameWith) about(s Subject) {
	if !c.seen[s] {
		c.seen[s] = true
		c.of = append(c.of, s)
	}
}

// passOn has a manifest to which something is traced that came later go with that.
func (c *cameWith) passOn(r reader) error {
	for id, to := range c.manifests {
		key := manifestKey(id)
		if to == 0 {
			c.rows = append(c.rows, countedRow{key: key, shop: c.lists[id].shop, listed: c.lists[id].n})
			continue
		}
		value, err := r.get(key)
		if err != nil {
			return err
		}
		binary.BigEndian.PutUint64(value, to)
		c.stays = append(c.stays, pair{key, value})
	}
	return nil
}

func (c *cameWith) manifest(key, value []byte) error {
	receipt, manifest, signature, err := decodeBatch(value)
	if err != nil || receipt != c.receipt {
		return err
	}
	id := exchange.ID(key[1:])
	batch, err := exchange.Kept(manifest, signature, nil)
	if err != nil {
		return errDamaged("the manifest %s: %v", id, err)
	}
	c.manifests[id], c.batches[id], c.lists[id] = 0, true, list{batch.Signer.Shop, listedBy(batch)}
	return nil
}

func (c *cameWith) entry(key, value []byte) error {
	e, err := decodeShared(key, value)
	if err != nil {
		return err
	}
	return c.row(countedRow{key: key, shop: e.shop, entries: 1}, len(e.id), e.receipt, e.manifest)
}

func (c *cameWith) withdrawal(key, value []byte) error {
	if len(value) != 40 {
		return errDamaged("a withdrawal is cut short")
	}
	return c.row(countedRow{key: key}, 64, binary.BigEndian.Uint64(value), exchange.ID(value[8:]))
}

// row is an entry or a withdrawal; the tail of its key follows the subject.
func (c *cameWith) row(row countedRow, tail int, receipt uint64, manifest exchange.ID) error {
	if receipt != c.receipt {
		if _, ours := c.manifests[manifest]; ours {
			c.manifests[manifest] = receipt
		}
		return nil
	}
	row.key = bytes.Clone(row.key)
	c.rows, c.batches[manifest] = append(c.rows, row), true
	s, err := subjectOfSharedKey(bytes.Clone(row.key[:max(0, len(row.key)-tail)]))
	if err == nil {
		c.about(s)
	}
	return err
}
