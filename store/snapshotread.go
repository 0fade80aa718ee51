package store

import (
	"encoding/binary"
	"hash/crc32"

	"netlore/store/board"
)

// DecodeBoard reads a snapshot. It takes over the bytes. Damage of any kind is
// a *DamagedError; memory is bounded by the size of the snapshot.
func DecodeBoard(snapshot []byte) (*board.Board, error) {
	b := &board.Board{}
	if err := new(columnReader).board(snapshot, b); err != nil {
		return nil, err
	}
	return b, nil
}

// room is memory for a board that is used for one after another: each is there
// until the next is read. Most of the time that it takes to read many small
// boards goes into memory otherwise.
type room struct {
	reader columnReader
	held   board.Board
}

// decode is DecodeBoard in a room.
func (r *room) decode(snapshot []byte) (*board.Board, error) {
	return &r.held, r.reader.board(snapshot, &r.held)
}

// board reads a snapshot in the place of whatever board there was, and uses its
// memory again.
func (c *columnReader) board(snapshot []byte, b *board.Board) error {
	if len(snapshot) < 4 {
		return errDamaged("a snapshot of %d bytes", len(snapshot))
	}
	body, sum := snapshot[:len(snapshot)-4], snapshot[len(snapshot)-4:]
	if crc32.Checksum(body, castagnoli) != binary.LittleEndian.Uint32(sum) {
		return errDamaged("a snapshot has the wrong checksum")
	}
	c.begin(body)
	return c.columns(b)
}

// errOtherVersion says that a snapshot is whole, but of another version of the
// program: it can be made again of the entries.
var errOtherVersion error = &DamagedError{"a snapshot of another version"}

// columns reads all but the checksum.
func (c *columnReader) columns(b *board.Board) error {
	if v := c.uint(); v != snapshotVersion && c.err == nil {
		return errOtherVersion
	}
	c.tables()
	b.Ref = board.Ref{Name: c.string(), Revision: c.string()}
	b.Title = c.string()
	b.Layers = c.int32()
	b.Size = board.Size{W: c.int32(), H: c.int32()}
	b.Outline = c.outline()
	b.Pins = c.pins(b.Pins)
	b.Parts = c.parts(b.Parts)
	b.Nets = c.nets(b.Nets)
	b.Pads = c.pads(b.Pads)
	b.Covers = c.covers(b.Covers)
	b.Branches = c.branches(b.Branches)
	c.copper(b)
	if c.err == nil && len(c.buf) > 0 {
		c.fail("it does not end where it should")
	}
	if c.err != nil {
		return c.err
	}
	if err := board.Reassemble(b); err != nil {
		return errDamaged("a snapshot: %v", err)
	}
	return nil
}

// zeros is a slice of n zero values, in the memory of another if that is enough.
func zeros[T any](used []T, n int) []T {
	if n > cap(used) {
		return make([]T, n)
	}
	used = used[:n]
	clear(used)
	return used
}

func (c *columnReader) tables() {
	c.counts = zeros(c.counts, c.count())
	for i := range c.counts {
		c.counts[i] = c.uint()
	}
	names := text(c.bytes())
	c.strings = zeros(c.strings, len(c.counts))
	for i, n := range c.counts {
		if n > uint64(len(names)) {
			c.fail("the texts end too early")
			return
		}
		c.strings[i], names = names[:n], names[n:]
	}
	c.shapes = zeros(c.shapes, 1+c.count())
	each(c.shapes[1:], func(s *board.PadShape) { s.W, s.H, s.Turn = c.int32(), c.int32(), c.int32() })
	c.quantities = zeros(c.quantities, 1+c.count())
	each(c.quantities[1:], func(q *board.Quantity) {
		q.Unit, q.Coef = board.Unit(c.byte(uint64(board.Celsius))), c.int()
		exp := c.int()
		if q.Exp = int8(exp); int64(q.Exp) != exp {
			c.fail("a quantity is out of range")
		}
	})
}

func (c *columnReader) parts(used []board.Part) []board.Part {
	parts := zeros(used, c.count())
	each(parts, func(p *board.Part) { p.Name = c.string() })
	readRuns(c, parts, func(p *board.Part, n uint64) { p.Class = board.Class(c.most(n, 255)) })
	each(parts, func(p *board.Part) { p.Value = c.quantity() })
	readRuns(c, parts, func(p *board.Part, n uint64) { p.Volts = entryOf(c, c.quantities, n) })
	readRuns(c, parts, func(p *board.Part, n uint64) { p.Amps = entryOf(c, c.quantities, n) })
	readRuns(c, parts, func(p *board.Part, n uint64) { p.Percent = entryOf(c, c.quantities, n) })
	each(parts, func(p *board.Part) { p.Text = c.string() })
	each(parts, func(p *board.Part) { p.Package = c.string() })
	readRuns(c, parts, func(p *board.Part, n uint64) {
		p.Placed, p.Side = c.placedAndSide(n >> 1)
		p.Unfitted = n&1 == 1
	})
	var last board.Point
	each(parts, func(p *board.Part) { last = c.point(last); p.At = last })
	readRuns(c, parts, func(p *board.Part, n uint64) {
		body := entryOf(c, c.shapes, n)
		p.Size, p.Turn = board.Size{W: body.W, H: body.H}, body.Turn
	})
	c.functions(parts)
	return parts
}

// functions reads how many functions each part has, then their names.
func (c *columnReader) functions(parts []board.Part) {
	total := uint64(0)
	c.counts = zeros(c.counts, len(parts))
	readRuns(c, c.counts, func(count *uint64, n uint64) {
		*count = min(n, uint64(len(c.buf))+1)
		total += *count
	})
	if total > uint64(len(c.buf)) {
		c.fail("a count is too large")
		return
	}
	for i, n := range c.counts {
		if n > 0 {
			parts[i].Functions = make([]string, n)
			each(parts[i].Functions, func(f *string) { *f = c.string() })
		}
	}
}

func (c *columnReader) nets(used []board.Net) []board.Net {
	nets := zeros(used, c.count())
	each(nets, func(n *board.Net) { n.Name = c.string() })
	each(nets, func(n *board.Net) { n.Aliases = c.list() })
	each(nets, func(n *board.Net) { n.Kind = board.NetKind(c.byte(uint64(board.Signal))) })
	each(nets, func(n *board.Net) { n.Volts = c.quantity() })
	each(nets, func(n *board.Net) { n.Functions = c.list() })
	return nets
}

func (c *columnReader) pins(used []board.Pin) []board.Pin {
	pins := zeros(used, c.count())
	readRuns(c, pins, func(p *board.Pin, n uint64) { p.Part = board.PartID(min(n, 1<<31-1)) })
	each(pins, func(p *board.Pin) { p.Name = c.string() })
	each(pins, func(p *board.Pin) { p.Net = board.NetID(c.id()) })
	readRuns(c, pins, func(p *board.Pin, n uint64) { p.Placed, p.Side = c.placedAndSide(n) })
	var at board.Point
	each(pins, func(p *board.Pin) {
		if p.Placed {
			at = c.point(at)
			p.At = at
		}
	})
	readRuns(c, pins, func(p *board.Pin, n uint64) { p.Shape = entryOf(c, c.shapes, n) })
	return pins
}

func (c *columnReader) placedAndSide(n uint64) (bool, board.Side) {
	n = uint64(c.most(n, uint64(board.BothSides)<<1|1))
	return n&1 == 1, board.Side(n >> 1)
}

func (c *columnReader) pads(used []board.Pad) []board.Pad {
	pads := zeros(used, c.count())
	each(pads, func(p *board.Pad) { p.Name = c.string() })
	each(pads, func(p *board.Pad) { p.Net = board.NetID(c.id()) })
	each(pads, func(p *board.Pad) { p.Group = c.string() })
	each(pads, func(p *board.Pad) { p.Placed, p.Side = c.placedAndSide(c.uint()) })
	var at board.Point
	each(pads, func(p *board.Pad) { at = c.point(at); p.At = at })
	each(pads, func(p *board.Pad) { p.Shape = c.shape() })
	return pads
}

func (c *columnReader) covers(used []board.Cover) []board.Cover {
	covers := zeros(used, c.count())
	each(covers, func(x *board.Cover) {
		x.Name = c.string()
		x.Kind = board.CoverKind(c.byte(uint64(board.Module)))
		x.Part = board.PartID(c.id())
		x.Side = board.Side(c.byte(uint64(board.BothSides)))
		x.Outline = c.outline()
		x.Listed = c.bool()
		x.Parts = readIDs[board.PartID](c)
		x.Pads = readIDs[board.PadID](c)
		x.Lift = c.string()
		x.Minutes = c.quantity()
		x.Risk = board.Risk(c.byte(uint64(board.RiskHigh)))
	})
	return covers
}

func (c *columnReader) branches(used []board.Branch) []board.Branch {
	branches := zeros(used, c.count())
	each(branches, func(x *board.Branch) {
		x.Name = c.string()
		x.Net = board.NetID(c.id())
		x.Pads = readIDs[board.PadID](c)
		x.Pins = readIDs[board.PinID](c)
		x.Functions = c.list()
	})
	return branches
}

func (c *columnReader) copper(b *board.Board) {
	var last board.Point
	b.Vias = some[board.Via](c, func(v *board.Via) {
		v.Net = board.NetID(c.id())
		last = c.point(last)
		v.At = last
		v.Drill, v.Shape = c.int32(), c.shape()
		v.From, v.To, v.Mask = c.byte(255), c.byte(255), c.byte(255)
	})
	b.Holes = some[board.Hole](c, func(h *board.Hole) {
		last = c.point(last)
		h.At = last
		h.Drill, h.Plated = c.int32(), c.bool()
	})
	b.Tracks = some[board.Track](c, func(t *board.Track) {
		t.Net = board.NetID(c.id())
		t.Layer, t.Pen = c.byte(255), c.shape()
		t.Path = some[board.Point](c, func(p *board.Point) {
			last = c.point(last)
			*p = last
		})
	})
}

// some reads a count and as many things; none is a nil slice.
func some[T any](c *columnReader, read func(*T)) []T {
	n := c.count()
	if n == 0 {
		return nil
	}
	all := make([]T, n)
	each(all, read)
	return all
}
