package board

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// star is a random polygon, concave but not crossing itself: corners at rising
// angles round c, each at its own distance up to r.
func star(rnd *rand.Rand, c Point, r float64, corners int) Outline {
	pts := make([]Point, corners)
	for i := range pts {
		angle := 2 * math.Pi * (float64(i) + 0.9*rnd.Float64()) / float64(corners)
		d := r * (0.2 + 0.8*rnd.Float64())
		pts[i] = c.moved(int64(d*math.Cos(angle)), int64(d*math.Sin(angle)))
	}
	if rnd.IntN(2) == 0 {
		for i, j := 0, len(pts)-1; i < j; i, j = i+1, j-1 {
			pts[i], pts[j] = pts[j], pts[i]
		}
	}
	return Polygon(pts)
}

// changed is the outline with f done to every point.
func changed(o Outline, f func(Point) Point) Outline {
	pts := make([]Point, len(o.Points))
	for i, p := range o.Points {
		pts[i] = f(p)
	}
	return Outline{Points: pts, Radius: o.Radius}
}

// motions leave areas, distances and overlaps as they are, exactly.
var motions = map[string]func(Point) Point{
	"moved":          func(p Point) Point { return Point{p.X + 123457, p.Y - 98765} },
	"mirrored":       func(p Point) Point { return Point{-p.X, p.Y} },
	"turned by 90":   func(p Point) Point { return Point{-p.Y, p.X} },
	"turned by 180":  func(p Point) Point { return Point{-p.X, -p.Y} },
	"axes exchanged": func(p Point) Point { return Point{p.Y, p.X} },
}

func near(a, b, within float64) bool { return math.Abs(a-b) <= within }

func TestBoxAndBounds(t *testing.T) {
	o := Box(Point{30, 2}, Point{-4, 18})
	want := Bounds{Point{-4, 2}, Point{30, 18}}
	if o.Bounds() != want || o.Area() != 34*16 {
		t.Errorf("the box has bounds %v and area %v", o.Bounds(), o.Area())
	}
	if got := Circle(Point{10, 20}, 5).Bounds(); got != (Bounds{Point{5, 15}, Point{15, 25}}) {
		t.Errorf("the circle has bounds %v", got)
	}
	if got := Spot(Point{3, 4}); got.Bounds() != (Bounds{Point{3, 4}, Point{3, 4}}) || got.Area() != 0 || got.Zero() {
		t.Errorf("the spot is %v", got)
	}
	if (Outline{}).Bounds() != (Bounds{}) || !(Outline{}).Zero() || (Outline{}).Area() != 0 {
		t.Error("the outline that is not known has a place")
	}
}

func TestBoundsAtTheEdgeOfTheWorld(t *testing.T) {
	far := Point{math.MaxInt32, math.MinInt32}
	want := Bounds{Point{math.MaxInt32 - 7, math.MinInt32}, Point{math.MaxInt32, math.MinInt32 + 7}}
	for name, o := range map[string]Outline{
		"circle": Circle(far, 7), "box": TurnedBox(far, Size{14, 14}, 0),
	} {
		if o.Bounds() != want {
			t.Errorf("%s: bounds are %v; want %v", name, o.Bounds(), want)
		}
	}
	if got := (Bounds{far, far}).Grow(7); got != want {
		t.Errorf("grown bounds are %v", got)
	}
}

func TestPolygonDropsRepeatedEnd(t *testing.T) {
	a, b, c := Point{0, 0}, Point{4, 0}, Point{0, 3}
	if d := cmp.Diff(Polygon([]Point{a, b, c}), Polygon([]Point{a, b, c, a})); d != "" {
		t.Error(d)
	}
}

func TestTurnedBox(t *testing.T) {
	size := Size{125, 50} // an odd width: 62.5 to each side
	for turn, want := range map[int32]Size{0: {125, 50}, 90_000: {50, 125}, 180_000: {125, 50}, 270_000: {50, 125}, -90_000: {50, 125}, 720_000: {125, 50}} {
		b := TurnedBox(Point{1000, 2000}, size, turn).Bounds()
		got := Size{b.Max.X - b.Min.X, b.Max.Y - b.Min.Y}
		if got != want {
			t.Errorf("turned by %d it measures %v; want %v", turn, got, want)
		}
	}
	// Turned by 45 degrees a square of side 1000 has its corners at half the
	// diagonal, 707.1.
	want := []Point{{0, -707}, {707, 0}, {0, 707}, {-707, 0}}
	if d := cmp.Diff(want, TurnedBox(Point{}, Size{1000, 1000}, 45_000).Points); d != "" {
		t.Error(d)
	}
	// Counter-clockwise: a long box turned a little points up on the right.
	if p := TurnedBox(Point{}, Size{1000, 2}, 30_000).Points[1]; p.X < 430 || p.Y < 245 {
		t.Errorf("turned by 30 degrees the right end is at %v", p)
	}
	rnd := rand.New(rand.NewPCG(1, 1))
	for range 1000 {
		s := Size{1 + rnd.Int32N(50000), 1 + rnd.Int32N(50000)}
		o := TurnedBox(Point{}, s, rnd.Int32())
		// Each corner is off by at most 0.71 um.
		if area := float64(s.W) * float64(s.H); !near(o.Area(), area, 1.5*float64(s.W+s.H)+4) {
			t.Fatalf("a box of %v has area %v when turned", s, o.Area())
		}
	}
}

func TestPadShapeAt(t *testing.T) {
	at := Point{100, 200}
	for _, test := range []struct {
		shape PadShape
		want  Outline
	}{
		{PadShape{}, Spot(at)},
		{PadShape{W: 1000}, Circle(at, 500)},
		{PadShape{W: 300, H: 600}, Box(Point{-50, -100}, Point{250, 500})},
		{PadShape{W: 600, H: 300, Turn: 180_000}, Box(Point{-200, 50}, Point{400, 350})},
	} {
		got := test.shape.At(at)
		if got.Bounds() != test.want.Bounds() || got.Radius != test.want.Radius || got.Area() != test.want.Area() {
			t.Errorf("%v is %v; want %v", test.shape, got, test.want)
		}
	}
}

// Areas by known formulas.
func TestArea(t *testing.T) {
	if got, want := Circle(Point{5, 5}, 1000).Area(), math.Pi*1e6; got != want {
		t.Errorf("a circle of 1 mm has area %v", got)
	}
	// An L of three unit squares, and a triangle of 3, 4, 5.
	for name, test := range map[string]struct {
		pts  []Point
		want float64
	}{
		"L":             {[]Point{{0, 0}, {2, 0}, {2, 1}, {1, 1}, {1, 2}, {0, 2}}, 3},
		"triangle":      {[]Point{{0, 0}, {4, 0}, {0, 3}}, 6},
		"clockwise":     {[]Point{{0, 0}, {0, 3}, {4, 0}}, 6},
		"line":          {[]Point{{0, 0}, {4, 4}}, 0},
		"2 km square":   {[]Point{{-999999999, -999999999}, {999999999, -999999999}, {999999999, 999999999}, {-999999999, 999999999}}, 1999999998.0 * 1999999998.0},
		"far unit cell": {[]Point{{2147483646, 2147483646}, {2147483647, 2147483646}, {2147483647, 2147483647}, {2147483646, 2147483647}}, 1},
	} {
		if got := Polygon(test.pts).Area(); got != test.want {
			t.Errorf("%s: area is %v; want %v", name, got, test.want)
		}
	}
	// A regular polygon of n corners on a circle of radius r: n r² sin(2π/n) / 2.
	const r = 1e7
	for n := 3; n <= 60; n++ {
		pts := make([]Point, n)
		for i := range pts {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			pts[i] = Point{int32(math.Round(r * cos)), int32(math.Round(r * sin))}
		}
		want := float64(n) * r * r * math.Sin(2*math.Pi/float64(n)) / 2
		if got := Polygon(pts).Area(); !near(got, want, 1e-6*want) {
			t.Errorf("%d corners: area is %v; want %v", n, got, want)
		}
	}
}

func TestAreaStaysWhenMoved(t *testing.T) {
	rnd := rand.New(rand.NewPCG(2, 2))
	for range 300 {
		o := star(rnd, Point{}, 50000, 3+rnd.IntN(20))
		for name, move := range motions {
			if changed(o, move).Area() != o.Area() {
				t.Fatalf("%s: area of %v is %v, not %v", name, o, changed(o, move).Area(), o.Area())
			}
		}
	}
}

// Bounds that are worked out without an outline are those of the outline.
func TestBoundsWithoutOutlines(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	bu := NewBuilder(Ref{})
	for range 500 {
		part := bu.Part(fmt.Sprint("U", r.IntN(1000)))
		p := bu.PartAt(part)
		p.Placed, p.At = r.IntN(3) > 0, Point{int32(r.Uint32()) / 4, int32(r.Uint32()) / 4}
		p.Turn = int32(r.IntN(8)) * 45_000
		if r.IntN(2) == 0 {
			p.Size = Size{int32(r.IntN(9999)), int32(r.IntN(9999))}
		}
		pin := bu.PinAt(bu.Pin(part, "1"))
		pin.Placed, pin.At = r.IntN(2) == 0, Point{int32(r.IntN(9999)), int32(r.IntN(9999))}
		pin.Shape = PadShape{int32(r.IntN(3)) * 501, int32(r.IntN(3)) * 501, int32(r.IntN(360_000))}
	}
	b := bu.Build()
	for p := range PartID(len(b.Parts)) {
		want, basis := b.PartOutline(p)
		if got, of := b.PartBounds(p); got != want.Bounds() || of != basis {
			t.Errorf("%+v: %v by %s, want %v by %s", b.Parts[p], got, of, want.Bounds(), basis)
		}
	}
}
