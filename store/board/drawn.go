package board

import (
	"cmp"
	"math"
	"slices"
)

// drawn is the copper of a board that can be compared: by net, pins, pads, tracks
// and vias whose place is known. Copper of which the net is not known joins
// nothing.
type drawn struct {
	b      *Board
	tracks [][]int32 // by net
	vias   [][]int32
	bottom int16 // the lowest layer
	looks  int   // how many are allowed
}

// lowest is below every layer that a track can be on. The bottom of a board of
// which the number of layers is not known is there.
const lowest = 256

func newDrawn(b *Board) *drawn {
	d := &drawn{b: b, bottom: lowest, looks: looksOfBoard}
	if b.Layers > 1 && b.Layers < lowest {
		d.bottom = int16(b.Layers)
	}
	if len(b.Tracks) == 0 {
		return d
	}
	d.tracks, d.vias = make([][]int32, len(b.Nets)), make([][]int32, len(b.Nets))
	for i := range b.Tracks {
		if net := b.Tracks[i].Net; net != None {
			d.tracks[net] = append(d.tracks[net], int32(i))
		}
	}
	for i := range b.Vias {
		if net := b.Vias[i].Net; net != None {
			d.vias[net] = append(d.vias[net], int32(i))
		}
	}
	return d
}

// layers are a range of copper layers, both ends in it.
type layers struct{ from, to int16 }

// through is all layers, whatever their number.
var through = layers{1, lowest}

func (l layers) meets(m layers) bool { return l.from <= m.to && m.from <= l.to }

// shape is a piece of copper: within r of a point, a straight line or a polygon.
// Its corners are not to be changed.
type shape struct {
	layers
	r       int32
	corners []Point
	box     Bounds
	owner   owner
	id      int32
}

// owner is what a shape is of.
type owner uint8

const (
	ofPin owner = iota
	ofPad
	ofVia
	ofTrack // the first line of a track
	ofLine  // one more line of the track before
	ofBack  // the other side of a pad
)

func newShape(l layers, o Outline, by owner, id int32) shape {
	return shape{l, o.Radius, o.Points, o.Bounds(), by, id}
}

// net is what touches of a net. Nothing is compared if it has no tracks.
func (d *drawn) net(net NetID) touching {
	if d.tracks == nil || d.tracks[net] == nil {
		return touching{}
	}
	all := d.shapes(net)
	looks := min(looksAtLeast+looksEach*len(all), d.looks)
	t, left := touch(net, all, looks)
	d.looks -= looks - left
	return t
}

// shapes are the copper of a net.
func (d *drawn) shapes(net NetID) []shape {
	var all []shape
	for _, id := range d.b.PinsOn(net) {
		all = d.pin(all, id)
	}
	for _, id := range d.b.PadsOn(net) {
		all = d.pad(all, id)
	}
	for _, id := range d.vias[net] {
		v := &d.b.Vias[id]
		all = append(all, newShape(v.layers(), v.copper(), ofVia, id))
	}
	for _, id := range d.tracks[net] {
		all = appendTrack(all, &d.b.Tracks[id], id)
	}
	return all
}

// pin adds a pin. One whose side is not known is where its part is.
func (d *drawn) pin(all []shape, id PinID) []shape {
	p := &d.b.Pins[id]
	side := p.Side
	if side == SideUnknown {
		side = d.b.PartSide(p.Part)
	}
	on := through
	if side != BothSides {
		on = d.face(side)
	}
	if !p.Placed || on == (layers{}) {
		return all
	}
	return append(all, newShape(on, p.Shape.At(p.At), ofPin, int32(id)))
}

// pad adds a pad. One on both sides is not known to go through those between.
func (d *drawn) pad(all []shape, id PadID) []shape {
	p := &d.b.Pads[id]
	if !p.Placed {
		return all
	}
	o := p.Shape.At(p.At)
	if p.Side != BothSides {
		if on := d.face(p.Side); on != (layers{}) {
			all = append(all, newShape(on, o, ofPad, int32(id)))
		}
		return all
	}
	return append(all, newShape(d.face(Top), o, ofPad, int32(id)), newShape(d.face(Bottom), o, ofBack, int32(id)))
}

// face is the layer of a side; none if it is not known.
func (d *drawn) face(s Side) layers {
	switch s {
	case Top:
		return layers{1, 1}
	case Bottom:
		return layers{d.bottom, d.bottom}
	}
	return layers{}
}

// layers are those that a via joins: all, unless two are said.
func (v *Via) layers() layers {
	if v.From == 0 || v.To <= v.From {
		return through
	}
	return layers{int16(v.From), int16(v.To)}
}

// copper is the outline of a via on each of its layers: its ring, else its hole.
func (v *Via) copper() Outline {
	if v.Shape == (PadShape{}) {
		return Circle(v.At, v.Drill/2)
	}
	return v.Shape.At(v.At)
}

// appendTrack adds the lines of a track. A track of one point is its pen.
func appendTrack(all []shape, t *Track, id int32) []shape {
	on := layers{int16(t.Layer), int16(t.Layer)}
	by := ofTrack
	for i := range max(1, len(t.Path)-1) {
		if len(t.Path) == 0 {
			break
		}
		all = append(all, stroke(on, t.Pen, t.Path[i:min(i+2, len(t.Path))], by, id))
		by = ofLine
	}
	return all
}

// stroke is what a pen draws from one point to the next.
func stroke(on layers, pen PadShape, line []Point, by owner, id int32) shape {
	if pen.H == 0 {
		r := max(pen.W/2, 0)
		return shape{on, r, line, Outline{Points: line}.Bounds().Grow(r), by, id}
	}
	var corners []Point
	for _, p := range line {
		corners = append(corners, pen.At(p).Points...)
	}
	return newShape(on, Polygon(hull(corners)), by, id)
}

// hull is the smallest convex polygon round some points, counter-clockwise: the
// lower side from left to right, and the upper one back.
func hull(points []Point) []Point {
	slices.SortFunc(points, func(p, q Point) int { return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y)) })
	points = slices.Compact(points)
	if len(points) < 3 {
		return points
	}
	side := func(points []Point) []Point {
		var list []Point
		for _, p := range points {
			for n := len(list); n > 1 && turn(list[n-2], list[n-1], p) <= 0; n-- {
				list = list[:n-1]
			}
			list = append(list, p)
		}
		return list[:len(list)-1]
	}
	lower := side(points)
	slices.Reverse(points)
	return append(lower, side(points)...)
}

// touches reports whether two shapes share at least a point, if it is on a layer
// that both are on.
// Pens and pads of an odd width count as a micrometre narrower.
func (s *shape) touches(t *shape) bool {
	r := int64(s.r) + int64(t.r)
	for i := range s.edges() {
		p, q := s.edge(i)
		for k := range t.edges() {
			u, v := t.edge(k)
			if beside(p, q, u, v, r) || beside(u, v, p, q, r) {
				continue
			}
			if segmentsMeet(p, q, u, v) || r > 0 && min(distanceToSegment(p, u, v), distanceToSegment(q, u, v),
				distanceToSegment(u, p, q), distanceToSegment(v, p, q)) <= r {
				return true
			}
		}
	}
	return Outline{Points: s.corners}.Contains(t.corners[0]) || Outline{Points: t.corners}.Contains(s.corners[0])
}

// beside reports whether a line from u to v surely lies more than r away from the
// line through p and q, on one side of it. Rounding makes up less than the
// micrometre that it must lie further away.
func beside(p, q, u, v Point, r int64) bool {
	d := from(p, q)
	a, b, far := d.cross(from(p, u)), d.cross(from(p, v)), float64(r+1)*math.Hypot(d.x, d.y)
	return min(a, b) > far || max(a, b) < -far
}

// edges is how many edges a shape has: a point and a line have one.
func (s *shape) edges() int {
	if len(s.corners) < 3 {
		return 1
	}
	return len(s.corners)
}

func (s *shape) edge(i int) (Point, Point) {
	return s.corners[i], s.corners[(i+1)%len(s.corners)]
}
