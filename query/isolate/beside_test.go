package isolate

import (
	"math"
	"math/rand/v2"
	"testing"
)

// nearestOf looks at all pairs.
func nearestOf(d *Device, members []int, i int) (best int, far float64) {
	best, far = None, math.Inf(1)
	for _, j := range members {
		if away := d.Parts[i].Spot.away(d.Parts[j].Spot); i != j && away < far {
			best, far = j, away
		}
	}
	return best, far
}

// TestNearest compares the part that is nearest to each with all pairs looked at, on
// parts here and there, in columns and on one spot.
func TestNearest(t *testing.T) {
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 11))
		d, members := &Device{}, []int{}
		for i := range 1 + r.IntN(60) {
			s := Spot{X: float64(r.IntN(1 + int(seed)%7)), Y: 50 * r.Float64(), Placed: r.IntN(8) > 0}
			if seed%3 == 0 {
				s.X, s.Y = s.Y, s.X
			}
			d.Parts, members = append(d.Parts, Part{Spot: s}), append(members, i)
		}
		found := d.nearest(members)
		for _, i := range members {
			best, far := nearestOf(d, members, i)
			if j, ok := found[i]; d.Parts[i].Spot.Placed && (ok != (best != None) || ok && d.Parts[i].Spot.away(d.Parts[j].Spot) != far) {
				t.Errorf("seed %d: nearest to %d is %d, want %d, %v mm away", seed, i, j, best, far)
			}
		}
	}
}

// BenchmarkNearest finds the nearest of each of 5,000 parts of one zone; the baseline
// looks at all pairs.
func BenchmarkNearest(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 11))
	d, members := &Device{}, []int{}
	for i := range 5000 {
		d.Parts = append(d.Parts, Part{Spot: Spot{X: 120 * r.Float64(), Y: 90 * r.Float64(), Placed: true}})
		members = append(members, i)
	}
	b.Run("sorted", func(b *testing.B) {
		for b.Loop() {
			d.nearest(members)
		}
	})
	b.Run("all pairs", func(b *testing.B) {
		for b.Loop() {
			for _, i := range members {
				nearestOf(d, members, i)
			}
		}
	})
}
