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

// errs are the usual rates, but for readings, draws and tape, which err as often as
// that.
func errs(p float64) isolate.Rates {
	r := isolate.CommonPractice()
	e := isolate.Error{Miss: p, Alarm: p}
	r.Draw, r.Tape, r.Reading = e, e, e
	return r
}

// TestCalibration: of simulated jobs in which the model is right but for what it
// leaves open, with 0, 2 and 5 % of the observations wrong, the suspect that is said
// to be sure is first or second as often as that, and of the faults that are given
// some chance along the way as many are it as were said to be.
func TestCalibration(t *testing.T) {
	jobs := 25
	if testing.Short() {
		jobs = 4
	}
	for _, p := range []float64{0, .02, .05} {
		var x tally
		for seed := range uint64(jobs) {
			x.job(t, rand.New(rand.NewPCG(seed, 8)), errs(p))
		}
		said, hits, brier := x.said/x.n, x.hits/x.n, x.brier/x.n
		t.Logf("errors of %v, %d jobs: %.1f tests each, sure in %d, of which first in %d, first or second in %d; chances of 5 to 95 %%: said %.3f, true %.3f, Brier %.3f",
			p, jobs, float64(x.tests)/float64(jobs), x.sure, x.first, x.second, said, hits, brier)
		if x.sure < jobs/2 || float64(x.second) < .95*float64(x.sure)-1 {
			t.Errorf("errors of %v: of %d jobs, sure in %d, first or second in %d", p, jobs, x.sure, x.second)
		}
		near(t, "how often a fault was it that was said to be", hits, said, 3*math.Sqrt(.2/x.n)+.01)
	}
}

// tally is what came of some jobs.
type tally struct {
	tests, sure, first, second int
	said, hits, brier, n       float64 // of faults that were given 5 to 95 %
}

// job plays one, of a fault as likely as it is.
func (x *tally) job(t *testing.T, r *rand.Rand, rates isolate.Rates) {
	t.Helper()
	d := randomStack(r, 6, 40).done()
	faults := isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil)
	c := newCase(t, d, faults, rates)
	bad := drawFault(r, faults)
	on := &device{d, faults[bad], r, rates}
	state := isolate.State{}
	c.Observe(on.answer(&isolate.Test{Kind: isolate.FeedIt, At: d.Source}))
	for range 40 {
		x.count(c, bad)
		plan, err := c.Next(context.Background(), state, bench())
		if err != nil {
			t.Fatal(err)
		}
		if len(plan.Proposals) == 0 {
			break
		}
		test := plan.Proposals[0].Test
		c.Observe(on.answer(&test))
		state = after(state, &test)
		x.tests++
	}
	if all := c.Suspects(); all[0].P >= .95 {
		x.sure++
		if slices.Contains(all[0].Faults, bad) {
			x.first++
		}
		if slices.Contains(append(all[0].Faults, all[1].Faults...), bad) {
			x.second++
		}
	}
}

// count counts the faults that are given some chance.
func (x *tally) count(c *isolate.Case, bad int) {
	for f, p := range c.Chances() {
		if p < .05 || p > .95 {
			continue
		}
		is := 0.0
		if f == bad {
			is = 1
		}
		x.said, x.hits, x.brier, x.n = x.said+p, x.hits+is, x.brier+(p-is)*(p-is), x.n+1
	}
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
