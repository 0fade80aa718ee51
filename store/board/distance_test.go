package board

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

func TestDistance(t *testing.T) {
	box := Box(Point{0, 0}, Point{100, 100})
	u := Polygon([]Point{{0, 0}, {90, 0}, {90, 90}, {60, 90}, {60, 30}, {30, 30}, {30, 90}, {0, 90}})
	for name, test := range map[string]struct {
		a, b Outline
		want int32
	}{
		"side by side":             {box, Box(Point{130, 0}, Point{200, 50}), 30},
		"corner to corner, 3-4-5":  {box, Box(Point{130, 140}, Point{200, 200}), 50},
		"touching sides":           {box, Box(Point{100, 0}, Point{200, 50}), 0},
		"touching corners":         {box, Box(Point{100, 100}, Point{200, 200}), 0},
		"one inside the other":     {box, Box(Point{10, 10}, Point{20, 20}), 0},
		"crossing without corners": {Box(Point{0, 40}, Point{100, 60}), Box(Point{40, 0}, Point{60, 100}), 0},
		"corner to corner, 1-1":    {box, Spot(Point{101, 101}), 2}, // 1.41 rounded up
		"in the mouth of a U":      {u, Box(Point{40, 40}, Point{45, 95}), 10},
		"spot in the mouth of a U": {u, Spot(Point{45, 60}), 15},
		"circle and circle":        {Circle(Point{0, 0}, 10), Circle(Point{30, 40}, 15), 25},
		"circles touching":         {Circle(Point{0, 0}, 20), Circle(Point{30, 40}, 30), 0},
		"circle in circle":         {Circle(Point{0, 0}, 100), Circle(Point{3, 4}, 5), 0},
		"circle and side":          {Circle(Point{50, 130}, 10), box, 20},
		"circle and corner":        {box, Circle(Point{130, 140}, 20), 30},
		"circle over box":          {box, Circle(Point{50, 50}, 500), 0},
		"circle in box":            {box, Circle(Point{50, 50}, 5), 0},
		"spot and spot":            {Spot(Point{0, 0}), Spot(Point{3, 4}), 5},
		"spot on spot":             {Spot(Point{3, 4}), Spot(Point{3, 4}), 0},
		"not known":                {box, Outline{}, math.MaxInt32},
		"end to end of the world":  {Spot(Point{math.MinInt32, 0}), Spot(Point{math.MaxInt32, 0}), math.MaxInt32},
		"1.5 km":                   {Spot(Point{-750_000_000, 0}), Box(Point{750_000_000, -5}, Point{750_000_005, 5}), 1_500_000_000},
	} {
		if got := Distance(test.a, test.b); got != test.want {
			t.Errorf("%s: distance is %d; want %d", name, got, test.want)
		}
		if got := Distance(test.b, test.a); got != test.want {
			t.Errorf("%s: distance the other way is %d; want %d", name, got, test.want)
		}
	}
}

// The rounded-up distance d from a point to a piece is exact: in fractions,
// d-1 is less than the distance, and d is not.
func TestDistanceToSegmentIsExact(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	for _, scale := range []int32{4, 100, 100_000, 500_000_000} {
		for range 20000 {
			point := func() Point { return Point{rnd.Int32N(2*scale) - scale, rnd.Int32N(2*scale) - scale} }
			p, a, b := point(), point(), point()
			d := distanceToSegment(p, a, b)
			square := squareDistance(p, a, b)
			whole := func(n int64) *big.Rat { return new(big.Rat).SetInt(new(big.Int).Mul(big.NewInt(n), big.NewInt(n))) }
			if whole(d).Cmp(square) < 0 || d > 0 && whole(d-1).Cmp(square) >= 0 {
				t.Fatalf("from %v to %v-%v is %d; the square is %s", p, a, b, d, square.FloatString(3))
			}
		}
	}
}

// squareDistance is the exact square of the distance, from the foot of the
// perpendicular, held to the piece.
func squareDistance(p, a, b Point) *big.Rat {
	rat := func(n int64) *big.Rat { return new(big.Rat).SetInt64(n) }
	mul := func(x, y *big.Rat) *big.Rat { return new(big.Rat).Mul(x, y) }
	add := func(x, y *big.Rat) *big.Rat { return new(big.Rat).Add(x, y) }
	sub := func(x, y *big.Rat) *big.Rat { return new(big.Rat).Sub(x, y) }
	dx, dy := rat(diff(b.X, a.X)), rat(diff(b.Y, a.Y))
	px, py := rat(diff(p.X, a.X)), rat(diff(p.Y, a.Y))
	t := rat(0)
	if length := add(mul(dx, dx), mul(dy, dy)); length.Sign() != 0 {
		t = new(big.Rat).Quo(add(mul(px, dx), mul(py, dy)), length)
	}
	if t.Sign() < 0 {
		t = rat(0)
	}
	if t.Cmp(rat(1)) > 0 {
		t = rat(1)
	}
	x, y := sub(px, mul(t, dx)), sub(py, mul(t, dy))
	return add(mul(x, x), mul(y, y))
}

// Points sampled along the edges come as near as the distance, and no nearer.
func TestDistanceBySampling(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 8))
	for range 60 {
		a := star(rnd, Point{}, 5000, 3+rnd.IntN(8))
		b := star(rnd, Point{rnd.Int32N(14000), rnd.Int32N(14000)}, 5000, 3+rnd.IntN(8))
		d := float64(Distance(a, b))
		sampled := math.Inf(1)
		for _, p := range alongEdge(a) {
			for _, q := range alongEdge(b) {
				sampled = min(sampled, math.Hypot(p.x-q.x, p.y-q.y))
			}
		}
		const step = 50 // between samples at most 100 um apart
		if d > 0 && (sampled < d-1 || sampled > d+2*step) {
			t.Fatalf("distance is %v, sampled %v", d, sampled)
		}
	}
}

func alongEdge(o Outline) []vec {
	var samples []vec
	for i := range o.Points {
		a, b := o.edge(i)
		u, d := from(Point{}, a), from(a, b)
		n := int(math.Hypot(d.x, d.y)/100) + 1
		for k := range n {
			samples = append(samples, u.plus(d, float64(k)/float64(n)))
		}
	}
	return samples
}

// Distance is 0 just when the outlines share a point, so it agrees with
// Overlap; and moving both leaves it as it is.
func TestDistanceAndOverlapAgree(t *testing.T) {
	rnd := rand.New(rand.NewPCG(9, 10))
	apart := 0
	for range 2000 {
		a, b := anyOutline(rnd), anyOutline(rnd)
		d, common := Distance(a, b), Overlap(a, b)
		if d > 0 {
			apart++
			if common > 1e-6 {
				t.Fatalf("%v and %v are %d apart and have %v in common", a, b, d, common)
			}
		}
		for name, move := range motions {
			if got := Distance(changed(a, move), changed(b, move)); got != d {
				t.Fatalf("%s: %v and %v are %d apart, not %d", name, a, b, got, d)
			}
		}
	}
	if apart < 200 {
		t.Errorf("only %d pairs were apart", apart)
	}
}

// anyOutline is a random box, turned box, star, circle or spot.
func anyOutline(rnd *rand.Rand) Outline {
	c := Point{rnd.Int32N(20000) - 10000, rnd.Int32N(20000) - 10000}
	switch rnd.IntN(5) {
	case 0:
		return Box(c, Point{rnd.Int32N(20000) - 10000, rnd.Int32N(20000) - 10000})
	case 1:
		return TurnedBox(c, Size{1 + rnd.Int32N(8000), 1 + rnd.Int32N(8000)}, rnd.Int32N(360_000))
	case 2:
		return Circle(c, 1+rnd.Int32N(5000))
	case 3:
		return Spot(c)
	}
	return star(rnd, c, 6000, 3+rnd.IntN(12))
}
