package run

import (
	"slices"

	"netlore/query/value"
)

// Rows of an answer, and the memory that their cells lie in.

// expect makes room for so many more things, as far as they will be kept.
func (t *table) expect(f *fields, things int) {
	if !t.ordered() {
		things = min(things, t.most-len(t.rows))
	}
	if things <= 0 {
		return
	}
	f.expect(things)
	t.rows = slices.Grow(t.rows, things)
	if n := things * len(t.heads); !t.shares(f) && cap(t.slab)-len(t.slab) < n {
		t.slab = make([]value.Value, 0, n)
	}
}

// shares reports whether ready cells are the rows as they are.
func (t *table) shares(f *fields) bool {
	return f.ready != nil && len(f.columns) == f.own && t.by == 0 && !t.possibly
}

// cells is room for the cells of one row, so that rows that are made together
// lie together and cost one allocation.
func (t *table) cells(width int) []value.Value {
	const rows = 16
	if cap(t.slab)-len(t.slab) < width {
		t.slab = make([]value.Value, 0, rows*width)
	}
	n := len(t.slab)
	t.slab = t.slab[:n+width]
	return t.slab[n : n+width : n+width]
}

// rowOf are the cells of a thing in one of its groups.
func (t *table) rowOf(f *fields, id int32, place []value.Value, why string) []value.Value {
	if t.shares(f) {
		return f.rowOf(id)
	}
	cells := t.cells(len(t.heads))
	rest, made := cells[copy(cells, place):], 0
	if f.ready != nil {
		made = copy(rest, f.rowOf(id))
	}
	f.fill(rest, id, made, len(f.columns))
	if t.possibly {
		cells[len(cells)-1] = value.OfText(why)
	}
	return cells
}

// pack copies the cells of all rows, so that those of rows that were dropped are
// not held with them.
func (t *table) pack() {
	n := 0
	for i := range t.rows {
		n += len(t.rows[i].Cells)
	}
	t.slab = make([]value.Value, 0, n)
	for i := range t.rows {
		cells := t.rows[i].Cells
		t.rows[i].Cells = t.cells(len(cells))
		copy(t.rows[i].Cells, cells)
	}
}

// addBoards puts the board of each row into its cells.
func (t *table) addBoards() {
	for i := range t.rows {
		r := &t.rows[i]
		cells := t.cells(len(r.Cells) + 1)
		copy(cells, r.Cells[:t.by+1])
		cells[t.by+1] = value.OfName("", r.Of.Board.String(), boardText(r.Of.Board))
		copy(cells[t.by+2:], r.Cells[t.by+1:])
		r.Cells = cells
	}
}
