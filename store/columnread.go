package store

import (
	"encoding/binary"
	"unsafe"

	"netlore/store/board"
)

// columnReader reads the columns of a snapshot. It never reads past its end, and asks for no memory that
// the bytes at hand could not fill; the first thing wrong is kept in err.
type columnReader struct {
	buf        []byte
	strings    []string
	next       uint64   // of the strings, the first that has not come up
	counts     []uint64 // for a while, some numbers
	shapes     []board.PadShape
	quantities []board.Quantity
	err        error
}

// begin starts reading, in the memory of what was read before.
func (c *columnReader) begin(buf []byte) { c.buf, c.next, c.err = buf, 0, nil }

func (c *columnReader) fail(what string) {
	if c.err == nil {
		c.err = errDamaged("a snapshot: %s", what)
	}
	c.buf = nil
}

func (c *columnReader) uint() uint64 {
	if len(c.buf) > 0 && c.buf[0] < 0x80 { // nearly always
		n := uint64(c.buf[0])
		c.buf = c.buf[1:]
		return n
	}
	n, size := binary.Uvarint(c.buf)
	if size <= 0 {
		c.fail("it ends too early")
		return 0
	}
	c.buf = c.buf[size:]
	return n
}

func (c *columnReader) int() int64 {
	n := c.uint()
	return int64(n>>1) ^ -int64(n&1)
}

func (c *columnReader) int32() int32 {
	n := c.int()
	if int64(int32(n)) != n {
		c.fail("a number is too large")
		return 0
	}
	return int32(n)
}

// byte reads a number of at most most.
func (c *columnReader) byte(most uint64) uint8 {
	return c.most(c.uint(), most)
}

// bytes reads a length and as many bytes, which are not copied.
func (c *columnReader) bytes() []byte {
	n := c.count()
	b := c.buf[:n]
	c.buf = c.buf[n:]
	return b
}

func (c *columnReader) bool() bool { return c.byte(1) == 1 }

func (c *columnReader) id() int32 {
	n := c.uint()
	if n > 1<<31-1 {
		c.fail("a number is too large")
		return board.None
	}
	return int32(n) - 1
}

// count reads how many things follow, each of which takes a byte or more.
func (c *columnReader) count() int {
	n := c.uint()
	if n > uint64(len(c.buf)) {
		c.fail("a count is too large")
		return 0
	}
	return int(n)
}

func (c *columnReader) string() string {
	n := c.uint()
	switch {
	case n == 1:
		return ""
	case n == 0:
		n = c.next
		c.next++
	default:
		n -= 2
	}
	if n >= uint64(len(c.strings)) {
		c.fail("a text is missing")
		return ""
	}
	return c.strings[n]
}

func (c *columnReader) list() []string {
	n := c.count()
	if n == 0 {
		return nil
	}
	all := make([]string, n)
	for i := range all {
		all[i] = c.string()
	}
	return all
}

func (c *columnReader) shape() board.PadShape { return entryOf(c, c.shapes, c.uint()) }

func (c *columnReader) quantity() board.Quantity { return entryOf(c, c.quantities, c.uint()) }

// entryOf is one entry of a table.
func entryOf[T any](c *columnReader, table []T, n uint64) T {
	if n >= uint64(len(table)) {
		c.fail("an entry of a table is missing")
		var zero T
		return zero
	}
	return table[n]
}

// readRuns reads a column that runs wrote.
func readRuns[T any](c *columnReader, all []T, set func(*T, uint64)) {
	for i := 0; i < len(all) && c.err == nil; {
		v, more := c.uint(), c.uint()
		if more >= uint64(len(all)-i) {
			c.fail("a run is too long")
			return
		}
		for range more + 1 {
			set(&all[i], v)
			i++
		}
	}
}

// most returns a number of at most most.
func (c *columnReader) most(n, most uint64) uint8 {
	if n > most {
		c.fail("a word is not known")
		return 0
	}
	return uint8(n)
}

func (c *columnReader) point(from board.Point) board.Point {
	x, y := int64(from.X)+c.int(), int64(from.Y)+c.int()
	if x != int64(int32(x)) || y != int64(int32(y)) {
		c.fail("a place is out of range")
	}
	return board.Point{X: int32(x), Y: int32(y)}
}

func (c *columnReader) outline() board.Outline {
	n := c.count()
	radius := int32(uint32(c.uint()))
	if n == 0 {
		return board.Outline{}
	}
	o := board.Outline{Points: make([]board.Point, n), Radius: radius}
	var last board.Point
	for i := range o.Points {
		last = c.point(last)
		o.Points[i] = last
	}
	return o
}

func readIDs[ID ~int32](c *columnReader) []ID {
	n := c.count()
	if n == 0 {
		return nil
	}
	all := make([]ID, n)
	last := int64(0)
	for i := range all {
		last += c.int()
		if last < 0 || last > 1<<31-1 {
			c.fail("a number is out of range")
			return nil
		}
		all[i] = ID(last)
	}
	return all
}

// text makes a string of bytes without copying them. Nobody may change them
// afterwards: the names of a board are pieces of it.
func text(b []byte) string { return unsafe.String(unsafe.SliceData(b), len(b)) }
