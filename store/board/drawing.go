package board

import (
	"cmp"
	"slices"
)

// ConductorKind is what a piece of drawn copper is.
type ConductorKind uint8

const (
	PinCopper ConductorKind = iota
	PadCopper
	ViaCopper
	TrackCopper // one straight line of a track
)

// Conductor is a piece of the drawn copper of a net.
type Conductor struct {
	Kind     ConductorKind
	ID       int32 // of the pin, pad, via or track
	Line     int   // of a track, which of its lines it is, from 0
	A, B     Point // the ends of a line; else both are the middle
	Width    int32 // of the pen, or of the pin, pad or via: its narrower side
	From, To int   // layers, 1 at the top; a plated hole is on all of them
}

// DrawnNet is the copper of a net as it is drawn: pins, pads, vias and tracks of
// which the place is known.
type DrawnNet struct {
	Conductors []Conductor
	// Touching are pairs of conductors that share a point on a layer, each pair
	// once, in order; the lines of a track that follow each other are among them.
	Touching [][2]int32
}

// Drawing is the drawn copper of a board, to be asked net by net, by one
// goroutine.
type Drawing struct{ d *drawn }

// Drawing returns the drawn copper of the board.
func (b *Board) Drawing() *Drawing { return &Drawing{newDrawn(b)} }

// Net returns the copper of a net. It reports false if no track of it is known, or
// if it lies too closely to be compared (see Copper, which needs fewer looks).
func (g *Drawing) Net(net NetID) (n DrawnNet, ok bool) {
	if g.d.tracks == nil || g.d.tracks[net] == nil {
		return n, false
	}
	all := g.d.shapes(net)
	looks := min(looksAtLeast+looksEach*len(all), g.d.looks)
	w := newJoiner(all, looks)
	lines := 0
	for i := range all {
		if all[i].owner == ofTrack {
			lines = 0
		}
		n.Conductors = append(n.Conductors, g.conductor(&all[i], lines))
		if all[i].owner == ofTrack || all[i].owner == ofLine {
			lines++
		}
	}
	n.Touching = w.pairs()
	g.d.looks -= looks - max(w.looks, 0)
	return n, w.looks >= 0
}

// conductor is what a shape is of.
func (g *Drawing) conductor(s *shape, line int) Conductor {
	c := Conductor{ID: s.id, From: int(s.from), To: int(s.to)}
	b := g.d.b
	switch s.owner {
	case ofPin:
		c.A, c.Width = b.Pins[s.id].At, b.Pins[s.id].Shape.narrow()
	case ofPad, ofBack:
		c.Kind, c.A, c.Width = PadCopper, b.Pads[s.id].At, b.Pads[s.id].Shape.narrow()
	case ofVia:
		c.Kind, c.A, c.Width = ViaCopper, b.Vias[s.id].At, max(b.Vias[s.id].Shape.narrow(), b.Vias[s.id].Drill)
	default:
		t := &b.Tracks[s.id]
		c.Kind, c.Line, c.A, c.Width = TrackCopper, line, t.Path[line], t.Pen.narrow()
		c.B = t.Path[min(line+1, len(t.Path)-1)]
		return c
	}
	c.B = c.A
	return c
}

// narrow is the narrower side of a shape.
func (s PadShape) narrow() int32 {
	if s.H > 0 {
		return min(s.W, s.H)
	}
	return s.W
}

// pairs are all pairs of shapes that touch, as far as looks are left.
func (w *joiner) pairs() (all [][2]int32) {
	for i := range w.beds {
		for k := i; k < len(w.beds); k++ {
			if !w.beds[i].meets(w.beds[k].layers) {
				continue
			}
			d := &w.beds[k]
			top := len(d.levels) - 1
			for _, id := range w.beds[i].ids {
				if !d.levels[top][0].Meets(w.all[id].box) {
					continue
				}
				w.touched(id, d, top, 0, func(other shapeID) {
					if k > i || other > id {
						all = append(all, [2]int32{int32(id), int32(other)})
					}
				})
			}
		}
	}
	slices.SortFunc(all, func(p, q [2]int32) int { return cmp.Or(cmp.Compare(p[0], q[0]), cmp.Compare(p[1], q[1])) })
	return all
}

// touched finds the shapes in a box of a bed, which its own box meets, that another
// one touches.
func (w *joiner) touched(id shapeID, d *bed, level, box int, found func(shapeID)) {
	if w.looks--; w.looks < 0 {
		return
	}
	if level == 0 {
		if other := d.ids[box]; other != id && w.all[id].touches(&w.all[other]) {
			found(other)
		}
		return
	}
	first, end := d.kids(level, box)
	for kid := first; kid < end; kid++ {
		if d.levels[level-1][kid].Meets(w.all[id].box) {
			w.touched(id, d, level-1, kid, found)
		}
	}
}
