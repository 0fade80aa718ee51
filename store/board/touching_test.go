package board

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/graph/simple"
	"gonum.org/v1/gonum/graph/topo"
)

// A second opinion on what touches, in floating point and by another method:
// polygons are apart if there is a line between them along an edge, and the
// distance of lines is found by calculus. All pairs are looked at, and gonum
// finds the components.

// ink is a piece of copper as the second opinion sees it.
type ink struct {
	corners  []vec
	r        float64
	from, to int
	pin, pad int // the thing it is of, or -1
}

// apart is how far two pieces are from touching; below 0 they overlap.
func (a ink) apart(b ink) float64 {
	const far = 5500 // more than two things reach
	if p, q := a.corners[0], b.corners[0]; a.to < b.from || b.to < a.from || math.Hypot(p.x-q.x, p.y-q.y) > far {
		return math.Inf(1)
	}
	if len(a.corners) > 2 && len(b.corners) > 2 {
		if deep := max(separation(a.corners, b.corners), separation(b.corners, a.corners)); deep < 0 {
			return deep
		}
	} else if separation(a.corners, b.corners[:1]) < 0 || separation(b.corners, a.corners[:1]) < 0 {
		return math.Inf(-1)
	}
	least := math.Inf(1)
	for i := range a.corners {
		for k := range b.corners {
			least = min(least, lineGap(a.corners[i], a.corners[(i+1)%len(a.corners)], b.corners[k], b.corners[(k+1)%len(b.corners)]))
		}
	}
	return least - a.r - b.r
}

// separation is the widest gap between two convex polygons across an edge of the
// first. Points and lines have no inside, so nothing overlaps them.
func separation(a, b []vec) float64 {
	if len(a) < 3 {
		return math.Inf(1)
	}
	widest := math.Inf(-1)
	for i, p := range a {
		edge := a[(i+1)%len(a)].less(p)
		out := vec{edge.y, -edge.x} // the corners run counter-clockwise
		nearest := math.Inf(1)
		for _, q := range b {
			nearest = min(nearest, q.less(p).dot(out)/math.Hypot(out.x, out.y))
		}
		widest = max(widest, nearest)
	}
	return widest
}

// lineGap is the distance of two lines: the least of a convex function on the
// first, found by halving.
func lineGap(p, q, u, v vec) float64 {
	low, high := 0.0, 1.0
	at := func(t float64) float64 { return pointGap(p.plus(q.less(p), t), u, v) }
	for range 40 {
		third := (high - low) / 3
		if at(low+third) < at(high-third) {
			high -= third
		} else {
			low += third
		}
	}
	return at(low)
}

func pointGap(p, u, v vec) float64 {
	d := v.less(u)
	t := 0.0
	if length := d.dot(d); length > 0 {
		t = max(0, min(1, p.less(u).dot(d)/length))
	}
	g := u.plus(d, t).less(p)
	return math.Hypot(g.x, g.y)
}

// inks are the copper of a board of four layers, all of which is on one net.
func inks(b *Board) []ink {
	var all []ink
	add := func(s PadShape, from, to, pin, pad int, path ...Point) {
		x := ink{from: from, to: to, pin: pin, pad: pad, r: float64(s.W / 2)}
		if s.H == 0 {
			for _, p := range path {
				x.corners = append(x.corners, vec{float64(p.X), float64(p.Y)})
			}
			all = append(all, x)
			return
		}
		x.r = 0
		all = append(all, x.swept(s, path))
	}
	sides := map[Side][2]int{Top: {1, 1}, Bottom: {4, 4}, BothSides: {1, 4}}
	for i, p := range b.Pins {
		if !p.Placed {
			continue
		}
		add(p.Shape, sides[p.Side][0], sides[p.Side][1], i, -1, p.At)
	}
	for i, p := range b.Pads {
		if !p.Placed {
			continue
		}
		add(p.Shape, sides[p.Side][0], sides[p.Side][1], -1, i, p.At)
	}
	for _, v := range b.Vias {
		add(v.Shape, int(v.From), int(v.To), -1, -1, v.At)
	}
	for _, t := range b.Tracks {
		add(t.Pen, int(t.Layer), int(t.Layer), -1, -1, t.Path...)
	}
	return all
}

// swept is a box drawn along a line: of the corners at both ends those that have
// no other further out on some bearing.
func (a ink) swept(s PadShape, path []Point) ink {
	var corners []vec
	sin, cos := math.Sincos(float64(s.Turn) * math.Pi / 180_000)
	for _, p := range path {
		for _, c := range [][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
			w, h := c[0]*float64(s.W)/2, c[1]*float64(s.H)/2
			corners = append(corners, vec{float64(p.X) + w*cos - h*sin, float64(p.Y) + w*sin + h*cos})
		}
	}
	for bearing := range 720 { // counter-clockwise
		sin, cos := math.Sincos(float64(bearing) * math.Pi / 360)
		far := slices.MaxFunc(corners, func(p, q vec) int {
			return int(math.Copysign(1, p.x*cos+p.y*sin-q.x*cos-q.y*sin))
		})
		if !slices.Contains(a.corners, far) {
			a.corners = append(a.corners, far)
		}
	}
	return a
}

// settled leaves out of a board what touches, or does not touch, so narrowly that
// rounding decides.
func settled(b *Board) *Board {
	var kept []ink
	keep := func(x ink) bool {
		for _, k := range kept {
			if math.Abs(x.apart(k)) < 3 {
				return false
			}
		}
		kept = append(kept, x)
		return true
	}
	all := inks(b)
	for i := range b.Pins {
		b.Pins[i].Placed = keep(all[i])
	}
	for i := range b.Pads {
		b.Pads[i].Placed = keep(all[len(b.Pins)+i])
	}
	all = all[len(b.Pins)+len(b.Pads):]
	vias, tracks := b.Vias, b.Tracks
	b.Vias, b.Tracks = nil, nil
	for i := range vias {
		if keep(all[i]) {
			b.Vias = append(b.Vias, vias[i])
		}
	}
	for i := range tracks {
		if keep(all[len(vias)+i]) {
			b.Tracks = append(b.Tracks, tracks[i])
		}
	}
	return b
}

// secondOpinion is the pins and pads that touch, group by group.
func secondOpinion(b *Board) (groups []string) {
	all := inks(b)
	g := simple.NewUndirectedGraph()
	for i := range all {
		g.AddNode(simple.Node(i))
		for k := range i {
			if all[i].apart(all[k]) < 0 {
				g.SetEdge(simple.Edge{F: simple.Node(i), T: simple.Node(k)})
			}
		}
	}
	for _, nodes := range topo.ConnectedComponents(g) {
		x, drawn := Piece{}, false
		for _, n := range nodes {
			switch s := all[n.ID()]; {
			case s.pin >= 0:
				x.Pins = append(x.Pins, PinID(s.pin))
			case s.pad >= 0:
				x.Pads = append(x.Pads, PadID(s.pad))
			default:
				drawn = true
			}
		}
		slices.Sort(x.Pins)
		slices.Sort(x.Pads)
		if s := contents(b, &x); drawn && s != "" {
			groups = append(groups, s)
		}
	}
	slices.Sort(groups)
	return groups
}

// randomCopper is a net of n pins, pads, vias and tracks in a square.
func randomCopper(rnd *rand.Rand, n int, edge int32) *Board {
	bu := NewBuilder(Ref{Name: "Plover-A"})
	net := bu.Net("V")
	bu.Board().Layers = 4
	point := func() Point { return Point{rnd.Int32N(edge), rnd.Int32N(edge)} }
	shape := func() PadShape {
		if rnd.IntN(2) == 0 {
			return PadShape{W: 2 * (100 + rnd.Int32N(300))}
		}
		return PadShape{W: 2 * (100 + rnd.Int32N(300)), H: 2 * (50 + rnd.Int32N(100)), Turn: rnd.Int32N(8) * 30_000}
	}
	side := func() Side { return []Side{Top, Bottom, BothSides}[rnd.IntN(3)] }
	for i := range n {
		pin := bu.Pin(bu.Part(fmt.Sprint("R", i)), "1")
		bu.Connect(pin, net)
		p := bu.PinAt(pin)
		p.Placed, p.At, p.Side, p.Shape = true, point(), side(), shape()
		pad := bu.PadAt(bu.Pad(fmt.Sprint("P", i)))
		pad.Net, pad.Placed, pad.At, pad.Side, pad.Shape = net, true, point(), []Side{Top, Bottom}[rnd.IntN(2)], shape()
		from := 1 + uint8(rnd.IntN(3))
		bu.Board().Vias = append(bu.Board().Vias, Via{Net: net, At: point(), Shape: shape(), From: from, To: from + 1 + uint8(rnd.IntN(int(4-from)))})
		at, far := point(), int32(3000)
		to := Point{at.X + rnd.Int32N(far) - far/2, at.Y + rnd.Int32N(far) - far/2}
		bu.Board().Tracks = append(bu.Board().Tracks, Track{Net: net, Layer: 1 + uint8(rnd.IntN(4)), Pen: shape(), Path: []Point{at, to}})
	}
	return bu.Build()
}

func TestTouchingAgainstSecondOpinion(t *testing.T) {
	boards := 150
	if testing.Short() {
		boards = 20
	}
	most := 0
	for seed := range uint64(boards) {
		rnd := rand.New(rand.NewPCG(seed, 5))
		b := settled(randomCopper(rnd, 4+rnd.IntN(30), 4000+rnd.Int32N(9000)))
		want := secondOpinion(b)
		var got []string
		for _, x := range newDrawn(b).net(0).pieces {
			got = append(got, contents(b, &x))
			most = max(most, strings.Count(got[len(got)-1], " ")+1)
		}
		slices.Sort(got)
		if d := cmp.Diff(want, got); d != "" {
			t.Fatalf("seed %d: %s", seed, d)
		}
	}
	if most < 10 {
		t.Errorf("no piece has more than %d pins and pads: the boards test little", most)
	}
}

// Whatever the order in which a board is said, the same touches.
func TestTouchingInAnyOrder(t *testing.T) {
	for seed := range uint64(20) {
		rnd := rand.New(rand.NewPCG(seed, 6))
		b := randomCopper(rnd, 40, 15_000)
		want := told(b)
		rnd.Shuffle(len(b.Tracks), func(i, k int) { b.Tracks[i], b.Tracks[k] = b.Tracks[k], b.Tracks[i] })
		rnd.Shuffle(len(b.Vias), func(i, k int) { b.Vias[i], b.Vias[k] = b.Vias[k], b.Vias[i] })
		for i := range b.Tracks {
			slices.Reverse(b.Tracks[i].Path)
		}
		again := *b
		if err := Assemble(&again); err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want, told(&again)); d != "" {
			t.Fatalf("seed %d: %s", seed, d)
		}
	}
}

// oneSpot is a pad and n tracks, all in one place and by turns on two layers.
func oneSpot(n int, path func(i int) []Point) *Board {
	bu := NewBuilder(Ref{Name: "Plover-A"})
	pad := bu.PadAt(bu.Pad("A"))
	pad.Net, pad.Placed, pad.Side, pad.At = bu.Net("V"), true, Top, Point{}
	bu.Board().Tracks = make([]Track, n)
	for i := range n {
		bu.Board().Tracks[i] = Track{Layer: 1 + uint8(i%2), Pen: PadShape{W: 100}, Path: path(i)}
	}
	return bu.Build()
}

// A million tracks on one spot: a bounded number of looks is enough.
func TestTouchingOnOneSpot(t *testing.T) {
	n := 1_000_000
	if testing.Short() {
		n = 50_000
	}
	b := oneSpot(n, func(int) []Point { return []Point{{0, 0}, {1000, 1000}} })
	if x := b.Copper().Pieces[0]; x.Tracks != n/2 || x.Dense || x.Basis != ByTracks {
		t.Errorf("%d tracks of %d, dense %v, %s", x.Tracks, n/2, x.Dense, basisNames[x.Basis])
	}
}

// Slanted lines side by side all have boxes that meet. Too many are given up, and
// that is said.
func TestTouchingTooDense(t *testing.T) {
	n := 50_000
	if testing.Short() {
		n = 10_000
	}
	far := int32(100_000_000)
	b := oneSpot(n, func(i int) []Point { return []Point{{int32(i) * 400, 0}, {int32(i)*400 + far, far}} })
	if x := b.Copper().Pieces[0]; !x.Dense || x.Basis != ByName {
		t.Errorf("dense %v, %s", x.Dense, basisNames[x.Basis])
	}
	few := oneSpot(300, func(i int) []Point { return []Point{{int32(i) * 400, 0}, {int32(i)*400 + far, far}} })
	if few.Copper().Pieces[0].Dense {
		t.Error("300 of them are too many")
	}
}

// Places at the edge of what a point can hold.
func TestTouchingFarOff(t *testing.T) {
	far := []Point{{math.MinInt32, math.MinInt32}, {math.MaxInt32, math.MaxInt32}}
	b := oneSpot(4, func(i int) []Point { return [][]Point{far, nil, far[:1], far[1:]}[i] })
	if x := b.Copper().Pieces[0]; x.Basis != ByTracks || x.Tracks != 2 {
		t.Errorf("%+v", x)
	}
}

// Shapes of any size anywhere: nothing fails, and touching has no direction.
func TestTouchingAnywhere(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 7))
	number := func() int32 {
		return []int32{0, 1, -1, rnd.Int32N(1000), math.MaxInt32, math.MinInt32, rnd.Int32()}[rnd.IntN(7)]
	}
	random := func() shape {
		path := []Point{{number(), number()}, {number(), number()}}[:1+rnd.IntN(2)]
		return stroke(through, PadShape{number(), number(), number()}, path, ofTrack, 0)
	}
	for range 20_000 {
		a, b := random(), random()
		if a.touches(&b) != b.touches(&a) {
			t.Fatalf("%+v and %+v", a, b)
		}
		if !a.touches(&a) {
			t.Fatalf("%+v does not touch itself", a)
		}
	}
}

// routed is a board of n parts with four pins each and ten tracks for each part,
// on nets of 20 parts that run over two layers.
func routed(rnd *rand.Rand, n int) *Board {
	bu := NewBuilder(Ref{Name: "Plover-A"})
	bu.Board().Layers = 4
	const pitch = 1000
	side := int32(math.Ceil(math.Sqrt(float64(n))))
	for i := range int32(n) {
		at := Point{i % side * pitch, i / side * pitch}
		part := bu.Part(fmt.Sprint("C", i))
		for k := range int32(4) {
			net := bu.Net(fmt.Sprint("N", i/20, ".", k))
			pin := bu.Pin(part, fmt.Sprint(k))
			bu.Connect(pin, net)
			p := bu.PinAt(pin)
			p.Placed, p.Side, p.Shape = true, Top, PadShape{W: 120, H: 150}
			p.At = Point{at.X, at.Y + k*200}
			next := Point{at.X + pitch, p.At.Y}
			bu.Board().Tracks = append(bu.Board().Tracks, Track{Net: net, Layer: 1, Pen: PadShape{W: 80}, Path: []Point{p.At, {at.X + pitch/2, p.At.Y}}},
				Track{Net: net, Layer: 2, Pen: PadShape{W: 80}, Path: []Point{{at.X + pitch/2, p.At.Y}, next}})
			if k < 2 {
				bu.Board().Tracks = append(bu.Board().Tracks, Track{Net: net, Layer: 3, Pen: PadShape{W: 80}, Path: []Point{p.At, {at.X + rnd.Int32N(pitch), p.At.Y}, next}})
			}
			for _, x := range []Point{p.At, {at.X + pitch/2, p.At.Y}} {
				bu.Board().Vias = append(bu.Board().Vias, Via{Net: net, At: x, Drill: 60, Shape: PadShape{W: 110}})
			}
		}
	}
	return bu.Build()
}

// onOneNet is the same board with everything on one net.
func onOneNet(b *Board) *Board {
	one := *b
	one.Nets, one.Pins, one.Tracks, one.Vias = b.Nets[:1], slices.Clone(b.Pins), slices.Clone(b.Tracks), slices.Clone(b.Vias)
	for i := range one.Pins {
		one.Pins[i].Net = 0
	}
	for i := range one.Tracks {
		one.Tracks[i].Net = 0
	}
	for i := range one.Vias {
		one.Vias[i].Net = 0
	}
	if err := Assemble(&one); err != nil {
		panic(err)
	}
	return &one
}

// allPairs finds the sets of the shapes of a net by looking at every pair.
func allPairs(all []shape) joiner {
	w := joiner{all: all, sets: make([]shapeID, len(all))}
	for i := range all {
		w.sets[i] = shapeID(i)
	}
	for i := range all {
		for k := range i {
			if all[i].meets(all[k].layers) && all[i].box.Meets(all[k].box) && all[i].touches(&all[k]) {
				w.join(shapeID(i), shapeID(k))
			}
		}
	}
	return w
}

// BenchmarkCopper works out the copper of a board of 5,000 parts, 20,000 pins,
// 50,000 tracks and 40,000 vias, beside looking at all pairs of each net: with
// 1,000 nets, and with a single one, of which all pairs of a tenth are looked at.
func BenchmarkCopper(b *testing.B) {
	nets := routed(rand.New(rand.NewPCG(1, 1)), 5000)
	one, tenth := onOneNet(nets), onOneNet(routed(rand.New(rand.NewPCG(1, 1)), 500))
	for _, c := range []struct {
		name  string
		board *Board
		pairs bool
	}{{"1,000 nets", nets, false}, {"1,000 nets, all pairs", nets, true}, {"one net", one, false}, {"one net, a tenth", tenth, false}, {"one net, a tenth, all pairs", tenth, true}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if !c.pairs {
					newCopper(c.board)
					continue
				}
				d := newDrawn(c.board)
				for net := range c.board.Nets {
					allPairs(d.shapes(NetID(net)))
				}
			}
		})
	}
}
