package store

import (
	"encoding/binary"

	"netlore/store/board"
)

// columns writes the columns of a snapshot. Numbers are varints; signed ones
// zigzag. Strings, shapes and quantities are numbers of tables that are written
// in front.
type columns struct {
	buf        []byte
	strings    map[string]uint64
	arena      []byte
	lengths    []uint64
	shapes     table[board.PadShape]
	quantities table[board.Quantity]
}

func newColumns() *columns {
	return &columns{strings: map[string]uint64{}, shapes: newTable[board.PadShape](), quantities: newTable[board.Quantity]()}
}

// table numbers values in the order in which they come up, from the zero value.
type table[T comparable] struct {
	number map[T]uint64
	all    []T
}

func newTable[T comparable]() table[T] {
	var zero T
	return table[T]{map[T]uint64{zero: 0}, []T{zero}}
}

func (t *table[T]) of(v T) uint64 {
	n, ok := t.number[v]
	if !ok {
		n = uint64(len(t.all))
		t.number[v] = n
		t.all = append(t.all, v)
	}
	return n
}

func (c *columns) uint(n uint64) { c.buf = binary.AppendUvarint(c.buf, n) }

func (c *columns) int(n int64) { c.buf = binary.AppendVarint(c.buf, n) }

func (c *columns) id(n int32) { c.uint(uint64(n + 1)) }

func (c *columns) bool(b bool) { c.uint(oneIf(b)) }

func oneIf(b bool) uint64 {
	if b {
		return 1
	}
	return 0
}

// string writes 0 for a string that comes up for the first time, which is the
// next of the table, else its number plus 2; 1 is the empty string.
func (c *columns) string(s string) {
	if s == "" {
		c.uint(1)
		return
	}
	n, ok := c.strings[s]
	if ok {
		c.uint(n + 2)
		return
	}
	c.strings[s] = uint64(len(c.lengths))
	c.arena = append(c.arena, s...)
	c.lengths = append(c.lengths, uint64(len(s)))
	c.uint(0)
}

func (c *columns) list(all []string) {
	c.uint(uint64(len(all)))
	for _, s := range all {
		c.string(s)
	}
}

func (c *columns) shape(s board.PadShape) { c.uint(c.shapes.of(s)) }

func (c *columns) quantity(q board.Quantity) { c.uint(c.quantities.of(q)) }

// runs writes a column in which neighbours are often the same: each value with
// how many more of it follow.
func runs[T any](c *columns, all []T, value func(*T) uint64) {
	for i := 0; i < len(all); {
		n, v := i+1, value(&all[i])
		for n < len(all) && value(&all[n]) == v {
			n++
		}
		c.uint(v)
		c.uint(uint64(n - i - 1))
		i = n
	}
}

func (c *columns) point(p, from board.Point) {
	c.int(int64(p.X) - int64(from.X))
	c.int(int64(p.Y) - int64(from.Y))
}

func (c *columns) outline(o board.Outline) {
	c.uint(uint64(len(o.Points)))
	c.uint(uint64(uint32(o.Radius)))
	var last board.Point
	for _, p := range o.Points {
		c.point(p, last)
		last = p
	}
}

// ids writes numbers in ascending order as steps.
func ids[ID ~int32](c *columns, all []ID) {
	c.uint(uint64(len(all)))
	last := int32(0)
	for _, id := range all {
		c.int(int64(int32(id) - last))
		last = int32(id)
	}
}
