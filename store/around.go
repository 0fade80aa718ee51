package store

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"sync"

	"netlore/store/board"
)

// mostExcerpts bounds the excerpts in memory at a time, in bytes. Boards beyond
// it are read one by one.
const mostExcerpts = 64 << 20

// Around finds the boards that have nets or branches whose names begin with one
// of the prefixes, whatever the case of their letters, and fit. Boards that are
// not found have no such net. Of each it gives what shows an excerpt: the parts
// on these nets, and the covers over them; it is nil if only the board itself
// tells. An excerpt is there during the call only.
func (b *Base) Around(ctx context.Context, prefixes []string, fits func(name string) bool) (map[board.Ref]func(show func(*board.Board)) error, error) {
	s := netSearch{ctx: ctx, fits: fits, hits: map[subjectID]*netHit{}}
	err := b.kv.view(func(r reader) (err error) {
		for _, prefix := range prefixes {
			if err := r.scan(netPrefix(prefix), s.row); err != nil {
				return err
			}
		}
		if s.ringing, err = ringing(ctx, r); err != nil {
			return err
		}
		return r.scan([]byte{keySubject, kindBoard}, func(key, value []byte) error { return s.subject(r, key, value) })
	})
	if err != nil {
		return nil, err
	}
	found := make(map[board.Ref]func(func(*board.Board)) error, len(s.found))
	for _, hit := range s.found {
		found[hit.ref] = hit.excerpt
	}
	return found, nil
}

// netSearch collects the rows that were looked for.
type netSearch struct {
	ctx  context.Context
	fits func(string) bool
	hits map[subjectID]*netHit
	size int // of the excerpts

	ringing map[board.Ref]bool // boards of which jobs or stacks say what rings

	found []*netHit // that are of boards there are
}

// netHit is the rows found of one board.
type netHit struct {
	ref      board.Ref
	view     batchID
	excerpts []row
	whole    bool // only the board itself tells
}

type row struct {
	name     string
	batch    batchID
	snapshot []byte
}

func (s *netSearch) row(key, value []byte) error {
	if err := s.ctx.Err(); err != nil {
		return err
	}
	name, id, err := splitNetKey(key)
	if err != nil || !s.fits(name) {
		return err
	}
	if len(value) < 8 {
		return errDamaged("a row of the index of nets is cut short")
	}
	hit := s.hits[id]
	if hit == nil {
		hit = &netHit{}
		s.hits[id] = hit
	}
	s.size += len(value)
	if hit.whole = hit.whole || len(value) == 8 || s.size > mostExcerpts; hit.whole {
		hit.excerpts = nil
		return nil
	}
	hit.add(row{name, batchID(binary.BigEndian.Uint64(value)), bytes.Clone(value[8:])})
	return nil
}

// add adds a row, once if two prefixes lead to it.
func (h *netHit) add(r row) {
	for _, held := range h.excerpts {
		if held.name == r.name {
			return
		}
	}
	h.excerpts = append(h.excerpts, r)
}

// subject adds a board that was found, or that has no rows in the index. Where
// something rings, more may be on a net than an excerpt shows.
func (s *netSearch) subject(r reader, key, value []byte) error {
	rec, err := decodeHead(value)
	if err != nil || rec.View == 0 {
		return err
	}
	hit := s.hits[rec.ID]
	switch {
	case hit == nil && rec.Nets:
		return nil
	case hit == nil:
		hit = &netHit{whole: true}
	}
	subject, err := subjectOfKey(key)
	if err != nil {
		return errDamaged("%v", err)
	}
	hit.ref, hit.view = subject.Ref, rec.View
	s.found = append(s.found, hit)
	if hit.whole {
		return nil
	}
	if hit.whole, err = s.rings(r, subject, value); hit.whole {
		hit.excerpts = nil
	}
	return err
}

// rings reports whether it may be said of a board what rings on it.
func (s *netSearch) rings(r reader, of Subject, value []byte) (bool, error) {
	rec, err := decodeSubject(of.Ref, value)
	switch {
	case err != nil || s.ringing[of.Ref]:
		return true, err
	case rec.Summary.Links > 0 || rec.Summary.Readings == 0:
		return rec.Summary.Links > 0, nil
	}
	text, err := r.get(viewKey(rec.ID, rec.View, partKnown))
	if err != nil {
		return true, missingView(err, of)
	}
	return mayRing(text), nil
}

// rooms are for excerpts.
var rooms = sync.Pool{New: func() any { return new(room) }}

// excerpt puts the rows together and shows that.
func (h *netHit) excerpt(show func(*board.Board)) error {
	if len(h.excerpts) != 1 {
		e, err := h.joined()
		if err == nil {
			show(e)
		}
		return err
	}
	r := rooms.Get().(*room)
	defer rooms.Put(r)
	e, err := h.excerpts[0].read(r, h)
	if err != nil {
		return err
	}
	show(e)
	return nil
}

// joined is the rows put together, or nil.
func (h *netHit) joined() (*board.Board, error) {
	if h.whole {
		return nil, nil
	}
	var all []*board.Board
	for _, r := range h.excerpts {
		e, err := r.read(new(room), h)
		if e == nil || err != nil {
			return nil, err
		}
		all = append(all, e)
	}
	return joined(h.ref, all), nil
}

// read reads the excerpt of a row. It is nil if the row is not of the current
// view, or of another version of the program.
func (r row) read(in *room, h *netHit) (*board.Board, error) {
	if r.batch != h.view {
		return nil, nil
	}
	e, err := in.decode(r.snapshot)
	if errors.Is(err, errOtherVersion) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	e.Ref = h.ref
	return e, nil
}
