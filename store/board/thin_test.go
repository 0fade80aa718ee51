package board

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// Thinning by the heap agrees with looking at every corner each time.
func TestThinned(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		points := make([]Point, 4+r.IntN(60))
		for i := range points {
			points[i] = Point{int32(r.IntN(20)), int32(r.IntN(20))} // many equal triangles
		}
		most := 3 + r.IntN(len(points))
		got := Outline{Points: points}.Thinned(most).Points
		if want := thinnedSlowly(points, most); !slices.Equal(got, want) {
			t.Fatalf("%d of %v: %v, want %v", most, points, got, want)
		}
	}
}

func thinnedSlowly(points []Point, most int) []Point {
	points = slices.Clone(points)
	for len(points) > most {
		flattest, least := 0, -1
		for i, p := range points {
			a, b := points[(i+len(points)-1)%len(points)], points[(i+1)%len(points)]
			area := int(a.X-p.X)*int(b.Y-p.Y) - int(b.X-p.X)*int(a.Y-p.Y)
			if area = max(area, -area); least < 0 || area < least {
				flattest, least = i, area
			}
		}
		points = slices.Delete(points, flattest, flattest+1)
	}
	return points
}

// A drawing of a million points is thinned in one go, at the ends of what a
// Point holds too.
func TestThinnedLarge(t *testing.T) {
	points := make([]Point, 1_000_000)
	for i := range points {
		points[i] = Point{int32(i*4294) - 2_000_000_000, int32(i%2) * 2_000_000_000}
	}
	if n := len(Outline{Points: points}.Thinned(MaxCorners).Points); n != MaxCorners {
		t.Errorf("%d corners are left", n)
	}
}
