package store

import (
	"encoding/binary"
	"hash/crc32"

	"netlore/store/board"
)

// A snapshot is a board in columns: all names of the parts, then all their
// classes, and so on, which is what makes it small and quick to read. In front
// stand a version and the tables of strings, shapes and quantities; at the end
// a checksum. Pins come first, so that their names, which repeat most, have the
// smallest numbers.
const snapshotVersion = 1

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// EncodeBoard makes the snapshot of a board.
func EncodeBoard(b *board.Board) []byte {
	c := newColumns()
	c.string(b.Name)
	c.string(b.Revision)
	c.string(b.Title)
	c.int(int64(b.Layers))
	c.int(int64(b.Size.W))
	c.int(int64(b.Size.H))
	c.outline(b.Outline)
	c.pins(b)
	c.parts(b.Parts)
	c.nets(b.Nets)
	c.pads(b.Pads)
	c.covers(b.Covers)
	c.branches(b.Branches)
	c.copper(b)
	return c.finish()
}

// finish puts the tables in front and the checksum behind.
func (c *columns) finish() []byte {
	body := c.buf
	c.buf = make([]byte, 0, len(body)+len(c.arena)+4*len(c.lengths)+64)
	c.uint(snapshotVersion)
	c.uint(uint64(len(c.lengths)))
	for _, n := range c.lengths {
		c.uint(n)
	}
	c.uint(uint64(len(c.arena)))
	c.buf = append(c.buf, c.arena...)
	c.tables()
	c.buf = append(c.buf, body...)
	return binary.LittleEndian.AppendUint32(c.buf, crc32.Checksum(c.buf, castagnoli))
}

// tables writes the tables but for their first entry, which is zero.
func (c *columns) tables() {
	c.uint(uint64(len(c.shapes.all) - 1))
	for _, s := range c.shapes.all[1:] {
		c.int(int64(s.W))
		c.int(int64(s.H))
		c.int(int64(s.Turn))
	}
	c.uint(uint64(len(c.quantities.all) - 1))
	for _, q := range c.quantities.all[1:] {
		c.uint(uint64(q.Unit))
		c.int(q.Coef)
		c.int(int64(q.Exp))
	}
}

func (c *columns) parts(parts []board.Part) {
	c.uint(uint64(len(parts)))
	each(parts, func(p *board.Part) { c.string(p.Name) })
	runs(c, parts, func(p *board.Part) uint64 { return uint64(p.Class) })
	each(parts, func(p *board.Part) { c.quantity(p.Value) })
	runs(c, parts, func(p *board.Part) uint64 { return c.quantities.of(p.Volts) })
	runs(c, parts, func(p *board.Part) uint64 { return c.quantities.of(p.Amps) })
	runs(c, parts, func(p *board.Part) uint64 { return c.quantities.of(p.Percent) })
	each(parts, func(p *board.Part) { c.string(p.Text) })
	each(parts, func(p *board.Part) { c.string(p.Package) })
	runs(c, parts, func(p *board.Part) uint64 { return placedAndSide(p.Placed, p.Side)<<1 | oneIf(p.Unfitted) })
	var last board.Point
	each(parts, func(p *board.Part) { c.point(p.At, last); last = p.At })
	runs(c, parts, func(p *board.Part) uint64 { return c.shapes.of(bodyOf(p)) })
	runs(c, parts, func(p *board.Part) uint64 { return uint64(len(p.Functions)) })
	each(parts, func(p *board.Part) { each(p.Functions, func(f *string) { c.string(*f) }) })
}

// bodyOf is the size and turn of a part in the form of a shape, for the table.
func bodyOf(p *board.Part) board.PadShape {
	return board.PadShape{W: p.Size.W, H: p.Size.H, Turn: p.Turn}
}

func (c *columns) nets(nets []board.Net) {
	c.uint(uint64(len(nets)))
	each(nets, func(n *board.Net) { c.string(n.Name) })
	each(nets, func(n *board.Net) { c.list(n.Aliases) })
	each(nets, func(n *board.Net) { c.uint(uint64(n.Kind)) })
	each(nets, func(n *board.Net) { c.quantity(n.Volts) })
	each(nets, func(n *board.Net) { c.list(n.Functions) })
}

// pins writes each part once for all its pins, and places as steps from the
// pin before: neighbours are near each other.
func (c *columns) pins(b *board.Board) {
	c.uint(uint64(len(b.Pins)))
	runs(c, b.Pins, func(p *board.Pin) uint64 { return uint64(p.Part) })
	each(b.Pins, func(p *board.Pin) { c.string(p.Name) })
	each(b.Pins, func(p *board.Pin) { c.id(int32(p.Net)) })
	runs(c, b.Pins, func(p *board.Pin) uint64 { return placedAndSide(p.Placed, p.Side) })
	var at board.Point
	each(b.Pins, func(p *board.Pin) {
		if p.Placed {
			c.point(p.At, at)
			at = p.At
		}
	})
	runs(c, b.Pins, func(p *board.Pin) uint64 { return c.shapes.of(p.Shape) })
}

func placedAndSide(placed bool, side board.Side) uint64 { return uint64(side)<<1 | oneIf(placed) }

func (c *columns) pads(pads []board.Pad) {
	c.uint(uint64(len(pads)))
	each(pads, func(p *board.Pad) { c.string(p.Name) })
	each(pads, func(p *board.Pad) { c.id(int32(p.Net)) })
	each(pads, func(p *board.Pad) { c.string(p.Group) })
	each(pads, func(p *board.Pad) { c.uint(placedAndSide(p.Placed, p.Side)) })
	var at board.Point
	each(pads, func(p *board.Pad) { c.point(p.At, at); at = p.At })
	each(pads, func(p *board.Pad) { c.shape(p.Shape) })
}

func (c *columns) covers(covers []board.Cover) {
	c.uint(uint64(len(covers)))
	each(covers, func(x *board.Cover) {
		c.string(x.Name)
		c.uint(uint64(x.Kind))
		c.id(int32(x.Part))
		c.uint(uint64(x.Side))
		c.outline(x.Outline)
		c.bool(x.Listed)
		ids(c, x.Parts)
		ids(c, x.Pads)
		c.string(x.Lift)
		c.quantity(x.Minutes)
		c.uint(uint64(x.Risk))
	})
}

func (c *columns) branches(branches []board.Branch) {
	c.uint(uint64(len(branches)))
	each(branches, func(x *board.Branch) {
		c.string(x.Name)
		c.id(int32(x.Net))
		ids(c, x.Pads)
		ids(c, x.Pins)
		c.list(x.Functions)
	})
}

func (c *columns) copper(b *board.Board) {
	var last board.Point
	c.uint(uint64(len(b.Vias)))
	each(b.Vias, func(v *board.Via) {
		c.id(int32(v.Net))
		c.point(v.At, last)
		last = v.At
		c.int(int64(v.Drill))
		c.shape(v.Shape)
		c.uint(uint64(v.From))
		c.uint(uint64(v.To))
		c.uint(uint64(v.Mask))
	})
	c.uint(uint64(len(b.Holes)))
	each(b.Holes, func(h *board.Hole) {
		c.point(h.At, last)
		last = h.At
		c.int(int64(h.Drill))
		c.bool(h.Plated)
	})
	c.uint(uint64(len(b.Tracks)))
	each(b.Tracks, func(t *board.Track) {
		c.id(int32(t.Net))
		c.uint(uint64(t.Layer))
		c.shape(t.Pen)
		c.uint(uint64(len(t.Path)))
		for _, p := range t.Path {
			c.point(p, last)
			last = p
		}
	})
}

func each[T any](all []T, do func(*T)) {
	for i := range all {
		do(&all[i])
	}
}
