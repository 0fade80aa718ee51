package ipcd356

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"netlore/query/diag"
	"netlore/store/board"
)

// addCopper adds what belongs to no part: vias, holes, pads, conductors.
func (b *builder) addCopper() {
	to := b.into.Board()
	for i := range b.vias {
		b.addViaOrHole(to, &b.vias[i])
	}
	for _, h := range b.holes {
		to.Holes = append(to.Holes, board.Hole{At: b.units.point(h.x, h.y), Drill: b.units.um(h.drill), Plated: h.plated})
	}
	for i := range b.pads {
		b.addBarePad(&b.pads[i])
	}
	for _, t := range b.strokes.tracks {
		to.Tracks = append(to.Tracks, board.Track{Net: b.net(t.net), Layer: t.layer,
			Pen: b.units.shape(t.pen.w, t.pen.h, 0), Path: b.scaled(t.path)})
	}
}

// addViaOrHole adds a via. A plated hole that the file does not call a via,
// and that is on no net, is a hole.
func (b *builder) addViaOrHole(to *board.Board, v *via) {
	net, at := b.net(v.net), b.units.point(v.x, v.y)
	if v.hole && net == board.None {
		to.Holes = append(to.Holes, board.Hole{At: at, Drill: b.units.um(v.drill), Plated: true})
		return
	}
	to.Vias = append(to.Vias, board.Via{Net: net, At: at, Drill: b.units.um(v.drill),
		Shape: b.units.shape(v.w, v.h, v.turn), From: v.from, To: v.to, Mask: v.mask})
}

// addBarePad adds a surface feature of no part that is on a net: a place to
// probe. The file gives it no name, so it is called after its net and place:
// VMAIN@12.7/-3.05.
func (b *builder) addBarePad(p *pad) {
	count := b.counts[p.code]
	net := b.net(p.net)
	if net == board.None {
		count.Explain(int(p.line), "a surface mark of no part and on no net")
		return
	}
	count.Use()
	at := b.units.point(p.x, p.y)
	side := b.layers.side(p.access, false)
	name := b.into.NetAt(net).Name + "@" + millimetres(at.X) + "/" + millimetres(at.Y)
	if side == board.Bottom {
		name += "/bottom"
	}
	pad := b.into.PadAt(b.into.Pad(name))
	*pad = board.Pad{Name: pad.Name, Net: net, Placed: true, Side: side, At: at, Shape: b.units.shape(p.w, p.h, p.turn)}
}

// millimetres writes a length as it is said: 12.7, -3.05.
func millimetres(um int32) string { return strconv.FormatFloat(float64(um)/1000, 'f', -1, 64) }

// scaled converts a path to micrometres, in place.
func (b *builder) scaled(path []board.Point) []board.Point {
	for i, p := range path {
		path[i] = b.units.point(p.X, p.Y)
	}
	return path
}

// addEdges takes the largest shape that is drawn as the board's edge.
func (b *builder) addEdges() {
	var shapes [][]board.Point
	for _, e := range b.strokes.edges {
		if path := b.scaled(open(e.path)); e.kind == "BOARD_EDGE" && len(path) > 2 && spanOf(path) > 0 {
			shapes = append(shapes, path)
		}
	}
	if len(shapes) == 0 || !b.into.Board().Outline.Zero() {
		return
	}
	largest := slices.MaxFunc(shapes, func(p, q []board.Point) int { return cmp.Compare(spanOf(p), spanOf(q)) })
	b.into.Board().Outline = board.Outline{Points: largest}.Thinned(board.MaxCorners)
	if len(largest) > board.MaxCorners {
		b.report.Add(diag.Diagnostic{Code: "D353", Severity: diag.Note,
			Message: fmt.Sprintf("the outline has %d corners; the %d that make its shape are kept", len(largest), board.MaxCorners)})
	}
	if len(shapes) > 1 {
		b.report.Add(diag.Diagnostic{Code: "D351", Severity: diag.Note,
			Message: fmt.Sprintf("%d shapes are drawn as the board's edge; the largest is the outline", len(shapes))})
	}
	b.setSize(largest)
}

// open drops a last point that closes the shape.
func open(path []board.Point) []board.Point {
	if n := len(path) - 1; n > 2 && path[0] == path[n] {
		return path[:n]
	}
	return path
}

func spanOf(path []board.Point) int64 {
	s := sizeOf(path)
	return int64(s.W) * int64(s.H)
}

func sizeOf(path []board.Point) board.Size {
	var x box
	for _, p := range path {
		x.add(spot{at: p})
	}
	return board.Size{W: x.high.X - x.low.X, H: x.high.Y - x.low.Y}
}

func (b *builder) setSize(outline []board.Point) {
	if to := b.into.Board(); to.Size.Zero() {
		to.Size = sizeOf(outline)
	}
}

// addLooseParts adds parts of which the file names only holes or pads without
// pin names.
func (b *builder) addLooseParts() {
	for _, h := range b.holes {
		b.pins.loose = append(b.pins.loose, h.ref)
	}
	named := map[symbol]bool{0: true}
	for _, p := range b.pins.all[1:] {
		named[p.ref] = true
	}
	for _, ref := range b.pins.loose {
		if !named[ref] {
			named[ref] = true
			b.into.Part(b.names.names[ref])
		}
	}
}

// addPassives adds the parts that records 370 and 380 describe.
func (b *builder) addPassives() {
	for i := range b.passive.all {
		c := &b.passive.all[i]
		id := b.into.Part(c.name)
		b.describe(b.into.PartAt(id), c)
		for n, name := range []string{"1", "2"} {
			pin := b.into.Pin(id, name)
			if p := b.into.PinAt(pin); !p.Placed {
				p.Placed, p.At, p.Side = true, b.units.point(c.places[n].X, c.places[n].Y), b.layers.side(c.access, false)
			}
			b.connectPassive(c, pin, b.net(c.nets[n]))
		}
	}
}

// connectPassive puts an end on its net. Where another record has it on
// another net, that one holds.
func (b *builder) connectPassive(c *component, pin board.PinID, net board.NetID) {
	if net == board.None {
		return
	}
	if has, ok := b.into.Connect(pin, net); !ok {
		d := diag.Diagnostic{Code: "D332", Severity: diag.Warning,
			Message: fmt.Sprintf("pin %s.%s is on the net %s here and on %s before", c.name, b.into.PinAt(pin).Name,
				diag.Quote(b.into.NetAt(net).Name), diag.Quote(b.into.NetAt(has).Name)),
			Help: []string{"the net of the first record holds; correct the file it was made from"}}
		line := fmt.Sprintf("%-65s%s", "3"+c.record()+"0"+b.names.names[c.nets[0]], c.name)
		b.report.Add(d.InLine(c.line, line, 65, len(line)))
	}
}

func (b *builder) describe(part *board.Part, c *component) {
	if !part.Value.Known() {
		part.Value, part.Percent = c.value, c.percent
	}
	part.Side = b.layers.side(c.access, false)
	if c.centred {
		part.Placed, part.At = true, b.units.point(c.centre.X, c.centre.Y)
	}
	part.Size = board.Size{W: b.units.um(c.w), H: b.units.um(c.h)}
	if c.embedded && part.Text == "" {
		part.Text = "within the board"
	}
}

// setSides tells the side of each part whose surface pins are all on one side.
// Pins that go through the board tell nothing.
func (b *builder) setSides() {
	faces := make([]uint8, len(b.into.Board().Parts))
	for i := int32(1); int(i) < len(b.pins.all); i++ {
		switch b.spot(i).side {
		case board.Top:
			faces[b.parts[b.owner[i]].id] |= 1
		case board.Bottom:
			faces[b.parts[b.owner[i]].id] |= 2
		}
	}
	for id, mask := range faces {
		side := [...]board.Side{board.SideUnknown, board.Top, board.Bottom, board.SideUnknown}[mask]
		if p := b.into.PartAt(board.PartID(id)); p.Side == board.SideUnknown {
			p.Side = side
		}
	}
}
