package run

import (
	"strings"
	"sync"
	"sync/atomic"

	"netlore/query/value"
	"netlore/query/words"
)

// ready are the cells of all things of a noun of a board, for some columns that
// follow from the board alone. They are made once the board was asked for as many
// rows as it has things, and kept with it, so that an answer has only to say
// which rows it has: what a database does that keeps its tables as it shows them.
type ready struct {
	asked atomic.Int64
	once  sync.Once
	cells []value.Value // row by row, in the order of ids; after once only
	spots Bits          // things that can be judged by their place alone, likewise
}

// readyKey is what ready cells depend on besides the board.
type readyKey struct {
	noun    words.Noun
	role    string // names say it
	columns string
}

// readyKey is that of the first columns of an answer, as many as follow from the
// board alone, for a member of that role.
func (f *form) readyKey(role string) readyKey {
	var columns strings.Builder
	for i := range f.own {
		columns.WriteString(f.columns[i].form)
		columns.WriteByte(0)
	}
	return readyKey{f.noun, role, columns.String()}
}

// ofBoard reports whether a field follows from the board alone.
func ofBoard(f *words.Field) bool {
	switch f.Noun {
	case words.Parts, words.Pins, words.Nets, words.Pads, words.Covers, words.Branches:
		return f.ID != words.ExpectedOf && f.ID != words.Verdict
	}
	return false
}

// expect prepares for so many things more.
func (f *fields) expect(things int) {
	if f.own == 0 {
		return
	}
	if f.shared == nil {
		f.shared = f.ev.b.Keep(f.key, func() any { return new(ready) }).(*ready)
	}
	if f.ready == nil && f.shared.asked.Add(int64(things)) >= int64(f.ev.count(f.noun)) {
		f.shared.once.Do(func() { f.shared.cells, f.shared.spots = f.all(), f.allSpots() })
		f.ready = f.shared.cells
	}
}

// all are the cells of all things.
func (f *fields) all() []value.Value {
	n := f.ev.count(f.noun)
	cells := make([]value.Value, n*f.own)
	for id := range n {
		f.fill(cells[id*f.own:], int32(id), 0, f.own)
	}
	return cells
}

// allSpots are all things that have a place and no extent.
func (f *fields) allSpots() Bits {
	n := f.ev.count(f.noun)
	spots := NewBits(n)
	for id := range int32(n) {
		if f.noun.Placed() && f.ev.spot(thing{f.noun, id}) {
			spots.Set(id)
		}
	}
	return spots
}

// spot reports whether a thing was judged by its place alone.
func (f *fields) spot(id int32) bool {
	switch {
	case !f.spots:
		return false
	case f.ready != nil:
		return f.shared.spots.Has(id)
	}
	return f.ev.spot(thing{f.noun, id})
}

// rowOf are the ready cells of a thing. They must not be changed.
func (f *fields) rowOf(id int32) []value.Value {
	first, last := int(id)*f.own, (int(id)+1)*f.own
	return f.ready[first:last:last]
}
