package copper

import (
	"cmp"
	"slices"

	"netlore/store/board"
)

// Layout is the drawn copper of a net in a circuit.
type Layout struct {
	Pins  map[board.PinID]Node
	Pads  map[board.PadID]Node
	Lines []Line
}

// Line is a piece of a track between two nodes.
type Line struct {
	A, B    Node
	Ohms    float64
	Width   float64 // mm
	Layer   int
	Outside bool
	Middle  board.Point
}

// What is taken for a track or a hole of which the width is not known, in mm: common
// practice, without a source.
const (
	thinTrack = .1
	thinHole  = .2
)

// layer is what lays a net.
type layer struct {
	Metal
	c     *Circuit
	b     *board.Board
	all   []board.Conductor
	along []float64      // of each line, mm of its track before it
	stops [][]stop       // of each line
	vias  []map[int]Node // of each via, by layer
	spots []spot
	out   Layout
}

// spot is that a pin, pad or via touches a line.
type spot struct {
	is   Node
	line int
	t    float64 // where on the line it is nearest
	away float64 // mm from there to the middle of the spot
	r    float64 // mm that the spot is across, halved
}

// stop is a node on a line, as far along as t, from 0 to 1.
type stop struct {
	t  float64
	at Node
}

// Lay adds the drawn copper of a net to a circuit. It reports false if none is
// drawn, or if it lies too closely to be compared.
func (m Metal) Lay(c *Circuit, b *board.Board, g *board.Drawing, net board.NetID) (Layout, bool) {
	drawn, ok := g.Net(net)
	if !ok {
		return Layout{}, false
	}
	n := len(drawn.Conductors)
	l := layer{Metal: m, c: c, b: b, all: drawn.Conductors, along: make([]float64, n), stops: make([][]stop, n), vias: make([]map[int]Node, n),
		out: Layout{Pins: map[board.PinID]Node{}, Pads: map[board.PadID]Node{}}}
	for i := range l.all {
		l.place(i)
	}
	for _, pair := range drawn.Touching {
		l.join(int(pair[0]), int(pair[1]))
	}
	l.joinSpots()
	for i := range l.all {
		l.lay(i)
		l.drill(i)
	}
	return l.out, true
}

// place makes the node of a pin or pad, and finds how far along its track a line is.
func (l *layer) place(i int) {
	switch x := &l.all[i]; x.Kind {
	case board.PinCopper:
		l.out.Pins[board.PinID(x.ID)] = l.c.Node()
	case board.PadCopper:
		if _, ok := l.out.Pads[board.PadID(x.ID)]; !ok {
			l.out.Pads[board.PadID(x.ID)] = l.c.Node()
		}
	case board.ViaCopper:
		l.vias[i] = map[int]Node{}
	case board.TrackCopper:
		if x.Line > 0 {
			before := segment(&l.all[i-1])
			l.along[i] = l.along[i-1] + before.length()
		}
	}
}

// node is that of a pin, a pad, or a via on a layer.
func (l *layer) node(i, on int) Node {
	switch x := &l.all[i]; x.Kind {
	case board.PinCopper:
		return l.out.Pins[board.PinID(x.ID)]
	case board.PadCopper:
		return l.out.Pads[board.PadID(x.ID)]
	}
	n, ok := l.vias[i][on]
	if !ok {
		n = l.c.Node()
		l.vias[i][on] = n
	}
	return n
}

// join joins two conductors that touch.
func (l *layer) join(i, k int) {
	x, y := &l.all[i], &l.all[k]
	on := max(x.From, y.From)
	isX, isY := x.Kind == board.TrackCopper, y.Kind == board.TrackCopper
	switch {
	case isX && isY:
		l.joinLines(i, k)
	case isX:
		l.spot(i, y, l.node(k, on))
	case isY:
		l.spot(k, x, l.node(i, on))
	default:
		l.c.Wire(l.node(i, on), l.node(k, on))
	}
}

func (l *layer) spot(i int, x *board.Conductor, is Node) {
	s, middle := segment(&l.all[i]), mm(x.A)
	t := s.nearest(middle)
	l.spots = append(l.spots, spot{is, i, t, apart(s.at(t), middle), float64(x.Width) / 2000})
}

// joinSpots joins spots with lines: of each track those that pass through the spot,
// or if there is none the one that is nearest. Others touch it because the pen is
// wide, and no current gains by that.
func (l *layer) joinSpots() {
	track := func(s spot) int32 { return l.all[s.line].ID }
	slices.SortStableFunc(l.spots, func(a, b spot) int {
		return cmp.Or(cmp.Compare(a.is, b.is), cmp.Compare(track(a), track(b)), cmp.Compare(a.away, b.away))
	})
	for i, s := range l.spots {
		first := i == 0 || l.spots[i-1].is != s.is || track(l.spots[i-1]) != track(s)
		if first || s.away <= s.r {
			l.stop(s.line, s.t, s.is)
		}
	}
}

func (l *layer) stop(i int, t float64, at Node) { l.stops[i] = append(l.stops[i], stop{t, at}) }

// joinLines joins two lines: those of one track where one follows the other, others
// wherever they touch. Lines of one track that are near to each other along it
// touch because the pen is wide, and no current gains by that.
func (l *layer) joinLines(i, k int) {
	x, y := &l.all[i], &l.all[k]
	if x.ID == y.ID {
		if x.Line > y.Line {
			i, k, x, y = k, i, y, x
		}
		if y.Line == x.Line+1 {
			n := l.c.Node()
			l.stop(i, 1, n)
			l.stop(k, 0, n)
			return
		}
		if l.along[k]-l.along[i]-segment(x).length() < 3*l.width(x) {
			return
		}
	}
	for _, c := range contacts(segment(x), segment(y), (l.width(x)+l.width(y))/2) {
		a, b := l.c.Node(), l.c.Node()
		l.stop(i, c.t, a)
		l.stop(k, c.u, b)
		l.c.Resistor(a, b, l.Track(c.away, min(l.width(x), l.width(y)), l.outside(x.From)))
	}
}

func (l *layer) width(x *board.Conductor) float64 {
	if x.Width <= 0 {
		return thinTrack
	}
	return float64(x.Width) / 1000
}

// outside reports whether a layer is the top or the bottom. That of a board of which
// the number of layers is not known is taken to be outside.
func (l *layer) outside(on int) bool { return on <= 1 || l.b.Layers < 2 || on >= int(l.b.Layers) }

// lay puts resistors between the stops of a line.
func (l *layer) lay(i int) {
	x, stops := &l.all[i], l.stops[i]
	slices.SortFunc(stops, func(a, b stop) int { return cmp.Or(cmp.Compare(a.t, b.t), cmp.Compare(a.at, b.at)) })
	s := segment(x)
	for k := 1; k < len(stops); k++ {
		p, q := stops[k-1], stops[k]
		length := (q.t - p.t) * s.length()
		line := Line{A: p.at, B: q.at, Ohms: l.Track(length, l.width(x), l.outside(x.From)), Width: l.width(x), Layer: x.From, Outside: l.outside(x.From), Middle: s.point((p.t + q.t) / 2)}
		l.c.Resistor(p.at, q.at, line.Ohms)
		if line.Ohms > least {
			l.out.Lines = append(l.out.Lines, line)
		}
	}
}

// drill puts the barrel of a via between the layers that it meets.
func (l *layer) drill(i int) {
	if len(l.vias[i]) < 2 {
		return
	}
	var on []int
	for layer := range l.vias[i] {
		on = append(on, layer)
	}
	slices.Sort(on)
	drill := float64(l.b.Vias[l.all[i].ID].Drill) / 1000
	if drill <= 0 {
		drill = thinHole
	}
	for k := 1; k < len(on); k++ {
		l.c.Resistor(l.vias[i][on[k-1]], l.vias[i][on[k]], l.Barrel(drill, l.depth(on[k])-l.depth(on[k-1])))
	}
}

// depth is how deep a layer lies, in mm. Of a board of which the number of layers is
// not known those inside are taken to be in the middle.
func (l *layer) depth(on int) float64 {
	last := int(l.b.Layers)
	switch {
	case on <= 1:
		return 0
	case last < 2 && on < 256:
		return l.Thick / 2
	case last < 2 || on >= last:
		return l.Thick
	}
	return l.Thick * float64(on-1) / float64(last-1)
}
