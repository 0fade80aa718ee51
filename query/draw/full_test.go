package draw

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// TestFull holds what is remembered of an area against the boxes that were put there:
// what it finds taken is taken, and it finds most of that.
func TestFull(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	found, taken := 0, 0
	for range 200 {
		area := box{0, 0, 40 + 300*rng.Float64(), 40 + 200*rng.Float64()}
		least := 9 + 20*rng.Float64()
		f := newFull(area, least)
		var boxes []box
		for range 1 + rng.IntN(12) {
			x, y := area.x1*(1.2*rng.Float64()-0.1), area.y1*(1.2*rng.Float64()-0.1)
			b := box{x, y, x + 60*rng.Float64(), y + 30*rng.Float64()}
			boxes = append(boxes, b)
			f.add(b)
		}
		for range 300 {
			w := least * (1 + rng.Float64()*rng.Float64())
			x, y := rng.Float64()*(area.x1-w), rng.Float64()*(area.y1-labelHeight)
			name := box{x, y, x + w, y + labelHeight}
			is := slices.ContainsFunc(boxes, name.meets)
			switch meets := f.meets(name); {
			case meets && !is:
				t.Fatalf("%v is free of %v in %v, names being %v wide or more", name, boxes, area, least)
			case meets:
				found, taken = found+1, taken+1
			case is:
				taken++
			}
		}
	}
	if found*10 < taken*7 {
		t.Errorf("of %d places that are taken it finds %d", taken, found)
	}
}
