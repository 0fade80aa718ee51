package board

import (
	"math"
	"math/rand/v2"
	"testing"
)

func TestOverlapOfBoxes(t *testing.T) {
	box := Box(Point{0, 0}, Point{100, 100})
	for name, test := range map[string]struct {
		b    Outline
		want float64
	}{
		"corner":           {Box(Point{60, 70}, Point{200, 200}), 40 * 30},
		"whole":            {Box(Point{-5, -5}, Point{500, 500}), 100 * 100},
		"same":             {box, 100 * 100},
		"inside":           {Box(Point{10, 20}, Point{30, 50}), 20 * 30},
		"touching":         {Box(Point{100, 0}, Point{200, 100}), 0},
		"touching corners": {Box(Point{100, 100}, Point{200, 200}), 0},
		"apart":            {Box(Point{300, 300}, Point{400, 400}), 0},
		"cross":            {Box(Point{40, -50}, Point{60, 150}), 20 * 100},
		"spot":             {Spot(Point{50, 50}), 0},
		"line":             {Polygon([]Point{{0, 0}, {100, 100}}), 0},
		"not known":        {Outline{}, 0},
		// A square of diagonal 100 on its corner, half of it over the edge.
		"diamond": {Polygon([]Point{{50, 100}, {100, 50}, {150, 100}, {100, 150}}), 25 * 50},
		// The U leaves out 60 by 40 of the box.
		"concave": {Polygon([]Point{{0, 0}, {100, 0}, {100, 100}, {80, 100}, {80, 40}, {20, 40}, {20, 100}, {0, 100}}), 100*100 - 60*60},
	} {
		for _, got := range []float64{Overlap(box, test.b), Overlap(test.b, box)} {
			if !near(got, test.want, 1e-9) {
				t.Errorf("%s: overlap is %v; want %v", name, got, test.want)
			}
		}
	}
}

// Circles by handbook formulas.
func TestOverlapOfCircles(t *testing.T) {
	const r = 1_000_000
	circle := Circle(Point{0, 0}, r)
	whole := math.Pi * r * r
	for name, test := range map[string]struct {
		b    Outline
		want float64
	}{
		// Two circles through each other's middles, the vesica: (2π/3 - √3/2) r².
		"vesica":       {Circle(Point{r, 0}, r), (2*math.Pi/3 - math.Sqrt(3)/2) * r * r},
		"same":         {Circle(Point{0, 0}, r), whole},
		"inside":       {Circle(Point{r / 4, 0}, r/2), whole / 4},
		"touching":     {Circle(Point{2 * r, 0}, r), 0},
		"apart":        {Circle(Point{2 * r, 2 * r}, r), 0},
		"half plane":   {Box(Point{0, -3 * r}, Point{3 * r, 3 * r}), whole / 2},
		"quadrant":     {Box(Point{0, 0}, Point{3 * r, 3 * r}), whole / 4},
		"square round": {Box(Point{-r, -r}, Point{r, r}), whole},
		"square in":    {Box(Point{-r / 2, -r / 2}, Point{r / 2, r / 2}), r * r},
		// A segment of height r/2: r² (π/3 - √3/4).
		"segment": {Box(Point{r / 2, -3 * r}, Point{3 * r, 3 * r}), (math.Pi/3 - math.Sqrt(3)/4) * r * r},
		// A wedge of 45 degrees from the middle.
		"wedge": {Polygon([]Point{{0, 0}, {3 * r, 0}, {3 * r, 3 * r}}), whole / 8},
	} {
		for _, got := range []float64{Overlap(circle, test.b), Overlap(test.b, circle)} {
			if !near(got, test.want, 1e-9*whole) {
				t.Errorf("%s: overlap is %v; want %v", name, got, test.want)
			}
		}
	}
}

// Cutting the plane into cells cuts an outline into pieces whose areas add up
// to its own.
func TestOverlapAddsUp(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 3))
	for range 200 {
		o := anyOutline(rnd)
		sum := 0.0
		for x := int32(-20000); x < 20000; x += 5000 {
			for y := int32(-20000); y < 20000; y += 8000 {
				sum += Overlap(o, Box(Point{x, y}, Point{x + 5000, y + 8000}))
			}
		}
		if !near(sum, o.Area(), 1e-9*o.Area()+1e-3) {
			t.Fatalf("the pieces of %v add up to %v, not %v", o, sum, o.Area())
		}
	}
}

// Counting points of a fine lattice gives the same area, roughly.
func TestOverlapByCounting(t *testing.T) {
	rnd := rand.New(rand.NewPCG(2, 4))
	const step = 100
	worst := 0.0
	for range 150 {
		a, b := anyOutline(rnd), anyOutline(rnd)
		box := a.Bounds()
		count := 0
		for x := box.Min.X + rnd.Int32N(step); x <= box.Max.X; x += step {
			for y := box.Min.Y + rnd.Int32N(step); y <= box.Max.Y; y += step {
				if p := (Point{x, y}); a.Contains(p) && b.Contains(p) {
					count++
				}
			}
		}
		off := math.Abs(Overlap(a, b)-float64(count)*step*step) / 1e8
		if worst = max(worst, off); off > 0.02 {
			t.Fatalf("%v and %v have %v in common, by counting %v", a, b, Overlap(a, b), count*step*step)
		}
	}
	t.Logf("worst difference: %.4f of a square centimetre", worst)
}

// Against clipping a polygon by the sides of a convex one, one after the other
// (Sutherland and Hodgman, 1974).
func TestOverlapByClipping(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 5))
	for range 3000 {
		c := Point{rnd.Int32N(8000), rnd.Int32N(8000)}
		convex := TurnedBox(c, Size{1 + rnd.Int32N(9000), 1 + rnd.Int32N(9000)}, rnd.Int32N(360_000))
		o := star(rnd, Point{}, 7000, 3+rnd.IntN(15))
		if convex.Area() == 0 {
			continue
		}
		want := clippedArea(o, convex)
		if got := Overlap(o, convex); !near(got, want, 1e-9*o.Area()+1e-3) {
			t.Fatalf("%v and %v have %v in common; by clipping %v", o, convex, got, want)
		}
	}
}

// clippedArea is the area of o within a convex outline that runs
// counter-clockwise.
func clippedArea(o, convex Outline) float64 {
	var pts []vec
	for _, p := range o.Points {
		pts = append(pts, from(Point{}, p))
	}
	for i := range convex.Points {
		p, q := convex.edge(i)
		pts = clip(pts, from(Point{}, p), from(p, q))
	}
	sum := 0.0
	for i, p := range pts {
		sum += p.cross(pts[(i+1)%len(pts)])
	}
	return math.Abs(sum) / 2
}

// clip keeps what lies left of the line through a in direction d.
func clip(pts []vec, a, d vec) []vec {
	var kept []vec
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		sp, sq := d.cross(p.less(a)), d.cross(q.less(a))
		if sp >= 0 {
			kept = append(kept, p)
		}
		if sp*sq < 0 {
			kept = append(kept, p.plus(q.less(p), sp/(sp-sq)))
		}
	}
	return kept
}

func TestOverlapStaysWhenMoved(t *testing.T) {
	rnd := rand.New(rand.NewPCG(4, 6))
	for range 500 {
		a, b := anyOutline(rnd), anyOutline(rnd)
		want := Overlap(a, b)
		if got := Overlap(b, a); !near(got, want, 1e-3) {
			t.Fatalf("%v and %v: %v one way, %v the other", a, b, want, got)
		}
		for name, move := range motions {
			if got := Overlap(changed(a, move), changed(b, move)); !near(got, want, 1e-3) {
				t.Fatalf("%s: %v and %v have %v in common, not %v", name, a, b, got, want)
			}
		}
		if most := min(a.Area(), b.Area()); want > most+1e-3 {
			t.Fatalf("%v and %v have %v in common; the smaller is %v", a, b, want, most)
		}
	}
}

// A circle and a polygon of 256 corners round it differ by no more than the
// slivers between them: less than 1 - cos(π/256) < 0.0001 of the area.
func TestCircleIsLikePolygon(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 7))
	for range 300 {
		c, r := Point{rnd.Int32N(9000), rnd.Int32N(9000)}, 1000+rnd.Int32N(5000)
		var pts []Point
		for i := range 256 {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / 256)
			pts = append(pts, c.moved(int64(math.Round(float64(r)*cos)), int64(math.Round(float64(r)*sin))))
		}
		o := anyOutline(rnd)
		got, want := Overlap(Circle(c, r), o), Overlap(Polygon(pts), o)
		if !near(got, want, 1e-3*math.Pi*float64(r)*float64(r)) {
			t.Fatalf("circle and %v: %v, polygon: %v", o, got, want)
		}
	}
}
