package isolate_test

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"netlore/query/isolate"
	"netlore/query/trace"
)

// device plays the device on the bench: it has a fault, and observations err at
// the rates of the model.
type device struct {
	*isolate.Device
	fault isolate.Fault
	r     *rand.Rand
	rates isolate.Rates
}

// answer makes a test and says what was seen.
func (d *device) answer(x *isolate.Test) isolate.Observation {
	switch o := x.Observation(false).(type) {
	case *isolate.Heat:
		for _, s := range d.fault.Sites {
			open := s.Spot.Cover == isolate.None || slices.Contains(x.State.Lids, s.Spot.Cover)
			if open && d.flows(x.At, &x.State, s) && d.r.Float64() < .95 {
				o.Seen, o.Part, o.Spot = true, s.Part, s.Spot
			}
		}
		return o
	case *isolate.Stain:
		o.Seen = d.r.Float64() < d.rates.Corrosion.Nothing
		return o
	case *isolate.Short:
		e := map[isolate.Method]isolate.Error{isolate.Draw: d.rates.Draw, isolate.Tape: d.rates.Tape, isolate.Reading: d.rates.Reading}[o.By]
		p := e.Alarm
		for _, site := range d.fault.Sites {
			if d.flows(x.At, &x.State, site) {
				p = 1 - e.Miss
			}
		}
		o.Seen = d.r.Float64() < p
		return o
	}
	return nil
}

// flows reports whether a current comes to a site. What may carry does.
func (d *device) flows(at []trace.Place, s *isolate.State, site isolate.Site) bool {
	cut := map[trace.TieID]bool{}
	open := func(pad int) {
		for _, t := range d.Pads[pad].Ties {
			cut[t] = true
		}
	}
	for pad := range d.Pads {
		if s.Apart {
			open(pad)
		}
	}
	for _, pad := range s.Taped {
		open(pad)
	}
	for _, part := range s.Off {
		if part == site.Part {
			return false
		}
		cut[d.Parts[part].Tie] = true
	}
	return d.Graph.Reach(at, trace.Ties{All: true, Cut: cut}).Has(site.At)
}

// TestCalibration: of simulated jobs in which the model is right but for what it
// leaves open, the suspect that is said to be sure is the one as often as that, and
// so is one of every ten that have some chance along the way.
func TestCalibration(t *testing.T) {
	jobs := 60
	if testing.Short() {
		jobs = 6
	}
	sure, right, steps, said, hits, n := 0, 0, 0, 0.0, 0.0, 0.0
	brier := 0.0
	for seed := range uint64(jobs) {
		r := rand.New(rand.NewPCG(seed, 8))
		s := randomStack(r, 6, 40)
		d := s.done()
		faults := isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil)
		c := newCase(t, d, faults, isolate.CommonPractice())
		true1 := drawFault(r, faults)
		on := &device{d, faults[true1], r, isolate.CommonPractice()}
		state := isolate.State{}
		c.Observe(on.answer(&isolate.Test{Kind: isolate.FeedIt, At: d.Source}))
		for range 40 {
			for f, p := range c.Chances() {
				if p > .05 && p < .95 {
					said, n = said+p, n+1
					x := 0.0
					if f == true1 {
						x = 1
					}
					hits += x
					brier += (p - x) * (p - x)
				}
			}
			plan, err := c.Next(context.Background(), state, bench())
			if err != nil {
				t.Fatal(err)
			}
			if len(plan.Proposals) == 0 {
				break
			}
			x := plan.Proposals[0].Test
			c.Observe(on.answer(&x))
			state = after(state, &x)
			steps++
		}
		if top := c.Suspects()[0]; top.P >= .95 {
			sure++
			if slices.Contains(top.Faults, true1) {
				right++
			}
		}
	}
	t.Logf("%d jobs: %.1f tests each, sure in %d, of which right %d; chances of 5 to 95 %%: said %.3f, true %.3f, Brier %.3f", jobs, float64(steps)/float64(jobs), sure, right, said/n, hits/n, brier/n)
	if sure < jobs/2 || float64(right) < .95*float64(sure)-2 {
		t.Errorf("of %d jobs, sure in %d, right in %d", jobs, sure, right)
	}
	near(t, "how often a fault was it that was said to be", hits/n, said/n, 3*math.Sqrt(.2/n)+.01)
}

func drawFault(r *rand.Rand, faults []isolate.Fault) int {
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
	x := r.Float64() * sum
	for i := range faults {
		if x -= known(&faults[i]); x < 0 {
			return i
		}
	}
	return 0
}

// after is the state that a test leaves: the boards loose, lids off.
func after(s isolate.State, x *isolate.Test) isolate.State {
	return isolate.State{Loose: s.Loose || x.State.Loose, Apart: x.State.Apart, Lids: x.State.Lids}
}
