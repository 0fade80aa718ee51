package board

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

// Pick's theorem: a polygon with corners on a lattice has area I + B/2 - 1 for
// I lattice points inside and B on its edge. B comes from the greatest common
// divisors of its sides, I + B from asking Contains of every point.
func TestContainsByPick(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	done := 0
	for range 400 {
		o := star(rnd, Point{}, 25, 3+rnd.IntN(7))
		if crossesItself(o) {
			continue
		}
		done++
		edge, all := 0, 0
		for i := range o.Points {
			a, b := o.edge(i)
			edge += int(new(big.Int).GCD(nil, nil, big.NewInt(abs64(diff(a.X, b.X))), big.NewInt(abs64(diff(a.Y, b.Y)))).Int64())
		}
		for x := int32(-30); x <= 30; x++ {
			for y := int32(-30); y <= 30; y++ {
				if o.Contains(Point{x, y}) {
					all++
				}
			}
		}
		if want := float64(all-edge) + float64(edge)/2 - 1; o.Area() != want {
			t.Fatalf("%v: %d points in it, %d on the edge, so its area is %v, not %v", o.Points, all, edge, want, o.Area())
		}
	}
	if done < 100 {
		t.Errorf("only %d polygons were simple", done)
	}
}

func abs64(n int64) int64 { return int64(magnitude(n)) }

// crossesItself reports whether sides of a polygon meet but at shared corners.
// Rounding to the lattice can do that to a thin star.
func crossesItself(o Outline) bool {
	n := len(o.Points)
	for i := range n {
		a, b := o.edge(i)
		if a == b {
			return true
		}
		for j := range n {
			c, d := o.edge(j)
			switch {
			case i == j:
			case b == c:
				if onSegment(d, a, b) || onSegment(a, c, d) {
					return true
				}
			case d == a:
				if onSegment(c, a, b) || onSegment(b, c, d) {
					return true
				}
			case segmentsMeet(a, b, c, d):
				return true
			}
		}
	}
	return false
}

func TestContains(t *testing.T) {
	u := Polygon([]Point{{0, 0}, {9, 0}, {9, 9}, {6, 9}, {6, 3}, {3, 3}, {3, 9}, {0, 9}}) // a U
	circle := Circle(Point{100, 100}, 5)
	for _, test := range []struct {
		o    Outline
		p    Point
		want bool
	}{
		{u, Point{1, 5}, true}, {u, Point{4, 5}, false}, {u, Point{8, 5}, true}, {u, Point{4, 1}, true},
		{u, Point{0, 0}, true}, {u, Point{3, 5}, true}, {u, Point{4, 3}, true}, {u, Point{4, 9}, false}, {u, Point{4, 4}, false},
		{u, Point{-1, 0}, false}, {u, Point{10, 9}, false}, {u, Point{-1, 3}, false}, {u, Point{4, 10}, false},
		{circle, Point{103, 104}, true}, {circle, Point{105, 100}, true}, {circle, Point{104, 104}, false},
		{Spot(Point{1, 2}), Point{1, 2}, true}, {Spot(Point{1, 2}), Point{1, 3}, false},
		{Polygon([]Point{{0, 0}, {4, 4}}), Point{2, 2}, true}, {Polygon([]Point{{0, 0}, {4, 4}}), Point{2, 3}, false},
		{Outline{}, Point{}, false},
		{Circle(Point{math.MinInt32, math.MinInt32}, math.MaxInt32), Point{math.MaxInt32, math.MaxInt32}, false},
		{Box(Point{math.MinInt32, math.MinInt32}, Point{math.MaxInt32, math.MaxInt32}), Point{0, 0}, true},
		{Polygon([]Point{{math.MinInt32, math.MinInt32}, {math.MaxInt32, math.MinInt32}, {math.MaxInt32, math.MaxInt32}}), Point{7, 6}, true},
		{Polygon([]Point{{math.MinInt32, math.MinInt32}, {math.MaxInt32, math.MinInt32}, {math.MaxInt32, math.MaxInt32}}), Point{6, 7}, false},
	} {
		if got := test.o.Contains(test.p); got != test.want {
			t.Errorf("%v contains %v: %v", test.o, test.p, got)
		}
	}
}

func TestTurnAgainstBigIntegers(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	point := func() Point {
		if rnd.IntN(3) == 0 { // corners of the world and what is next to them
			at := []int32{math.MinInt32, math.MinInt32 + 1, -1, 0, 1, math.MaxInt32 - 1, math.MaxInt32}
			return Point{at[rnd.IntN(len(at))], at[rnd.IntN(len(at))]}
		}
		return Point{int32(rnd.Uint32()), int32(rnd.Uint32())}
	}
	product := func(a, b int64) *big.Int { return new(big.Int).Mul(big.NewInt(a), big.NewInt(b)) }
	for range 100000 {
		a, b, c := point(), point(), point()
		want := product(diff(b.X, a.X), diff(c.Y, a.Y)).Cmp(product(diff(b.Y, a.Y), diff(c.X, a.X)))
		if got := turn(a, b, c); got != want {
			t.Fatalf("from %v to %v, %v is on side %d; want %d", a, b, c, got, want)
		}
	}
}

// Every pair of pieces on a 4 by 4 lattice against solving for the crossing
// in fractions.
func TestSegmentsMeetOnLattice(t *testing.T) {
	var lattice []Point
	for x := range int32(4) {
		for y := range int32(4) {
			lattice = append(lattice, Point{x, y})
		}
	}
	for _, a := range lattice {
		for _, b := range lattice {
			for _, c := range lattice {
				for _, d := range lattice {
					if got, want := segmentsMeet(a, b, c, d), meetBySolving(a, b, c, d); got != want {
						t.Fatalf("%v-%v and %v-%v meet: %v; want %v", a, b, c, d, got, want)
					}
				}
			}
		}
	}
}

// meetBySolving solves a + s*(b-a) = c + t*(d-c) with 0 <= s, t <= 1. On
// parallel lines it tries the ends.
func meetBySolving(a, b, c, d Point) bool {
	ux, uy := int(b.X-a.X), int(b.Y-a.Y)
	vx, vy := int(d.X-c.X), int(d.Y-c.Y)
	wx, wy := int(c.X-a.X), int(c.Y-a.Y)
	det := ux*vy - uy*vx
	if det == 0 {
		return holdsPoint(a, b, c) || holdsPoint(a, b, d) || holdsPoint(c, d, a) || holdsPoint(c, d, b)
	}
	s, t := wx*vy-wy*vx, wx*uy-wy*ux
	if det < 0 {
		det, s, t = -det, -s, -t
	}
	return 0 <= s && s <= det && 0 <= t && t <= det
}

// holdsPoint reports whether p is on the piece: then the ways to it from both
// ends add up to the piece, as integer vectors in one direction.
func holdsPoint(a, b, p Point) bool {
	abx, aby, apx, apy := int(b.X-a.X), int(b.Y-a.Y), int(p.X-a.X), int(p.Y-a.Y)
	dot := abx*apx + aby*apy
	return abx*apy == aby*apx && dot >= 0 && apx*apx+apy*apy <= abx*abx+aby*aby && (a != b || p == a)
}
