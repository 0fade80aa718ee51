package play

import (
	"math"
	"math/rand/v2"

	"netlore/query/isolate"
	"netlore/store/board"
)

// Draw draws a fault by its weight, of those that the device tells of.
func Draw(r *rand.Rand, faults []isolate.Fault) int {
	known := func(f *isolate.Fault) float64 {
		if f.Kind == isolate.Elsewhere {
			return 0
		}
		return f.Weight
	}
	sum := 0.0
	for i := range faults {
		sum += known(&faults[i])
	}
	x, last := r.Float64()*sum, 0
	for i := range faults {
		if w := known(&faults[i]); w > 0 {
			if last = i; x < w {
				return i
			}
			x -= w
		}
	}
	return last
}

// Skew are faults of which each kind, and each class of parts, is likelier or less
// likely by a factor, and each fault by up to so much more.
func Skew(r *rand.Rand, d *isolate.Device, faults []isolate.Fault, factor float64) []isolate.Fault {
	type group struct {
		kind  isolate.Kind
		class board.Class
	}
	by := map[group]float64{}
	skewed := make([]isolate.Fault, len(faults))
	for i, f := range faults {
		g := group{kind: f.Kind}
		if f.Kind == isolate.Single {
			g.class = d.Parts[f.Sites[0].Part].Class
		}
		if _, ok := by[g]; !ok {
			by[g] = math.Pow(factor, float64(2*r.IntN(2)-1))
		}
		skewed[i] = f
		skewed[i].Weight *= by[g] * math.Pow(factor, 2*r.Float64()-1)
	}
	return skewed
}

// Errs are the usual rates, but for draws, tape and readings, which err as often
// as that.
func Errs(p float64) isolate.Rates {
	rates := isolate.CommonPractice()
	e := isolate.Error{Miss: p, Alarm: p}
	rates.Draw, rates.Tape, rates.Reading = e, e, e
	rates.Camera.Alarm = max(p, rates.Camera.Alarm/4)
	return rates
}
