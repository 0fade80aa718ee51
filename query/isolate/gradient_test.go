package isolate_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"

	"netlore/query/isolate"
)

// rail is a straight rail with parts every few mm along it, all of them on ground.
type rail struct {
	*isolate.Device
	at []float64 // mm, by part
}

func newRail(parts int, pitch float64) rail {
	s := newStack(1)
	r := rail{}
	for i := range parts {
		x := float64(i) * pitch
		s.part(s.branches[0], lowerBoard, isolate.None, x)
		r.at = append(r.at, x)
	}
	r.Device = s.done()
	return r
}

// tip is a reading x mm along the rail.
func (r rail) tip(x, ohms, sigma float64, w isolate.Ways, perMM float64) isolate.Tip {
	t := isolate.Tip{Point: int(x * 1000), Ohms: ohms, Sigma: sigma, Ways: w}
	for _, at := range r.at {
		t.Parts = append(t.Parts, math.Abs(at-x)*perMM)
	}
	for range r.Pads {
		t.Pads = append(t.Pads, math.NaN())
	}
	return t
}

// read takes readings into account, one after the other.
func (r rail) read(t *testing.T, c *isolate.Case, tips ...isolate.Tip) *isolate.Case {
	t.Helper()
	for i := range tips {
		c = c.With(&isolate.Gradient{Short: isolate.Short{By: isolate.Reading, At: r.Halves[1].Feed, Seen: true}, Before: tips[:i], Tip: tips[i]})
	}
	return c
}

func (r rail) begin(t *testing.T) *isolate.Case {
	return newCase(t, r.Device, isolate.Faults(r.Device, isolate.PriorsFor(isolate.NoHistory), nil), isolate.CommonPractice())
}

// TestAlongRail: a rail of 24 milliohms with a short of 13 milliohms three quarters
// along it reads 31, 25, 19, 13 and 19 milliohms at its quarters (by the method of
// Murray's loop, computed by hand): the part there is it, whether the ways are known
// in ohms or by the mm only.
func TestAlongRail(t *testing.T) {
	const perMM = .024 / 60
	r := newRail(21, 3)
	for ways, unit := range map[isolate.Ways]float64{isolate.Solved: perMM, isolate.Straight: 1} {
		var tips []isolate.Tip
		for i, ohms := range []float64{.031, .025, .019, .013, .019} {
			tips = append(tips, r.tip(15*float64(i), ohms, .0005, ways, unit))
		}
		c := r.read(t, r.begin(t), tips...)
		all := of(c, func(f *isolate.Fault) bool { return f.Kind == isolate.Single })
		for part := range r.at {
			if p, best := of(c, onPart(part)), of(c, onPart(15)); part != 15 && p >= best {
				t.Errorf("by %d, part %d has %v, the one three quarters along %v", ways, part, p, best)
			}
		}
		if p := of(c, onPart(14)) + of(c, onPart(15)) + of(c, onPart(16)); p < .7*all {
			t.Errorf("by %d, it and those beside it have %v of %v", ways, p, all)
		}
		if a, b := of(c, onPart(15)), of(c, onPart(5)); a < 1000*b {
			t.Errorf("by %d, the part three quarters along has %v, one at a quarter %v", ways, a, b)
		}
	}
}

// TestOneWrongReading: one reading of five that is quite wrong does not mislead.
func TestOneWrongReading(t *testing.T) {
	r := newRail(21, 3)
	var tips []isolate.Tip
	for i, x := range []float64{0, 12, 24, 36, 60} {
		ohms := .05 + .0005*math.Abs(45-x)
		if i == 2 {
			ohms += .08
		}
		tips = append(tips, r.tip(x, ohms, .001, isolate.Straight, 1))
	}
	c := r.read(t, r.begin(t), tips...)
	if p := of(c, onPart(14)) + of(c, onPart(15)) + of(c, onPart(16)); p < .5 {
		t.Errorf("the parts at the lowest resistance have %v", p)
	}
}

// TestAgainstQuadrature: the chances are those of the model as it is written, with
// the short's resistance integrated out by gonum and the scale finely.
func TestAgainstQuadrature(t *testing.T) {
	r := newRail(9, 5)
	rates := isolate.CommonPractice()
	g := rand.New(rand.NewPCG(1, 1))
	for range 5 {
		var tips []isolate.Tip
		short, perMM := r.at[g.IntN(9)], .0003+.0005*g.Float64()
		for range 4 {
			x := 40 * g.Float64()
			tips = append(tips, r.tip(x, .03+perMM*math.Abs(x-short)+.001*g.NormFloat64(), .001, isolate.Straight, 1))
		}
		before := r.begin(t)
		c := r.read(t, before, tips...)
		var got, want []float64
		sum, sumWant := 0.0, 0.0
		for part := range r.at {
			p := of(c, onPart(part))
			w := model(tips, part, rates.Milliohms)
			got, want = append(got, p), append(want, w)
			sum, sumWant = sum+p, sumWant+w
		}
		for i := range got {
			if d := math.Abs(got[i]/sum - want[i]/sumWant); d > .02 {
				t.Errorf("part %d of %v has %.4f, by quadrature %.4f", i, short/5, got[i]/sum, want[i]/sumWant)
			}
		}
	}
}

// model is P(r | f) up to a factor, ways in mm.
func model(tips []isolate.Tip, part int, wrong float64) float64 {
	const least, most, slack, c0 = .02e-3, 5e-3, .3, .02
	sum := 0.0
	for i := range 100 {
		s := least * math.Pow(most/least, (float64(i)+.5)/100)
		f := func(c float64) float64 {
			p := 1 / (c + c0)
			for _, x := range tips {
				far := s * x.Parts[part]
				sigma := math.Hypot(x.Sigma, slack*far)
				z := (x.Ohms - c - far) / sigma
				u := 1 / (x.Ohms + c0) / math.Log((isolate.MostOhms+c0)/c0)
				p *= (1-wrong)*math.Exp(-z*z/2)/(math.Sqrt(2*math.Pi)*sigma) + wrong*u
			}
			return p
		}
		sum += quad.Fixed(f, 0, .1, 400, nil, 0) + quad.Fixed(f, .1, isolate.MostOhms, 100, nil, 0)
	}
	return sum
}

// TestWaysNotKnown: what no way is known to is neither ruled out nor ahead of what
// fits.
func TestWaysNotKnown(t *testing.T) {
	r := newRail(9, 5)
	var tips []isolate.Tip
	for _, x := range []float64{0, 10, 20, 40} {
		tip := r.tip(x, .05+.0005*math.Abs(30-x), .001, isolate.Straight, 1)
		tip.Parts[8] = math.NaN()
		tips = append(tips, tip)
	}
	c := r.read(t, r.begin(t), tips...)
	fits, not, unknown := of(c, onPart(6)), of(c, onPart(0)), of(c, onPart(8))
	if !(fits > unknown && unknown > 10*not) {
		t.Errorf("what fits has %v, what is not known of %v, what does not fit %v", fits, unknown, not)
	}
	if k, ok := c.Conflict(); ok {
		t.Errorf("readings that agree conflict: %+v", k)
	}
}

// BenchmarkGradient takes a sixth reading in milliohms into account, on a rail of
// 5,000 parts. Beside it stands a reading that only shows the short.
func BenchmarkGradient(b *testing.B) {
	r := newRail(5000, .02)
	c, err := isolate.NewCase(r.Device, isolate.Faults(r.Device, isolate.PriorsFor(isolate.NoHistory), nil), isolate.CommonPractice())
	if err != nil {
		b.Fatal(err)
	}
	var tips []isolate.Tip
	for i := range 6 {
		x := 16 * float64(i)
		tips = append(tips, r.tip(x, .03+.0005*math.Abs(60-x), .001, isolate.Straight, 1))
	}
	short := isolate.Short{By: isolate.Reading, At: r.Halves[1].Feed, Seen: true}
	b.Run("milliohms", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			c.With(&isolate.Gradient{Short: short, Before: tips[:5], Tip: tips[5]})
		}
	})
	b.Run("short", func(b *testing.B) {
		for b.Loop() {
			c.With(&short)
		}
	})
}
