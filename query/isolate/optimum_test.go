package isolate_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"netlore/query/isolate"
	"netlore/query/isolate/sequence"
	"netlore/query/trace"
)

// onePrice is a bench on which tape and readings cost a minute each, nothing errs
// and nothing else is worth while.
func onePrice() isolate.Bench {
	b := onlyTape()
	b.Costs.Read = isolate.Cost{Minutes: 1}
	return b
}

// matrix are all runs of tape and all readings of a loose device as tests of its
// faults, by one search of the graph each.
func matrix(d *isolate.Device, faults []isolate.Fault) (tests []sequence.Test) {
	add := func(at []trace.Place, cut map[trace.TieID]bool) {
		reach := d.Graph.Reach(at, trace.Ties{Cut: cut})
		seen := make([]bool, len(faults))
		for f := range faults {
			seen[f] = reach.Has(faults[f].Sites[0].At)
		}
		tests = append(tests, sequence.YesNo(1, seen, 0, 0))
	}
	apart := map[trace.TieID]bool{}
	for first := range d.Pads {
		cut := map[trace.TieID]bool{}
		for _, pad := range d.Pads[first:] {
			cut[pad.Ties[0]] = true
			add(d.Source, cut)
		}
		apart[d.Pads[first].Ties[0]] = true
	}
	for _, probe := range d.Probes {
		add([]trace.Place{probe.At}, apart)
	}
	return tests
}

// TestNearOptimum: tape and readings alone, on random stacks whose pieces of copper
// are more or less likely: the tests that are proposed, one after the other, are in
// the mean at most 1.15 times as many as those of the best plan over every run of
// tape and every reading, and at most 1.3 times the entropy where that cannot be
// computed.
func TestNearOptimum(t *testing.T) {
	stacks := 16
	if testing.Short() {
		stacks = 2
	}
	proved, took, least, entropy := 0, 0.0, 0.0, 0.0
	for seed := range uint64(stacks) {
		r := rand.New(rand.NewPCG(seed, 31))
		s := randomStack(r, 4+r.IntN(8), 0)
		var faults []isolate.Fault
		for _, at := range append([]trace.Place{s.upper}, s.branches...) {
			part := s.part(at, lowerBoard, isolate.None, 0)
			faults = append(faults, isolate.Fault{Sites: []isolate.Site{{At: at, Part: part, Spot: s.Parts[part].Spot}}, Weight: r.ExpFloat64() + .05})
		}
		d := s.done()
		c := newCase(t, d, faults, exact())
		problem := sequence.Problem{Tests: matrix(d, faults)}
		for _, f := range faults {
			problem.Prior = append(problem.Prior, f.Weight)
		}
		planner, err := sequence.New(problem)
		if err != nil {
			t.Fatal(err)
		}
		best := planner.Next(context.Background(), planner.Start(0), sequence.Effort{Exact: 1e8, Ahead: 1, Wide: 4, Work: 1e8})
		mean := playAll(t, d, c)
		if mean > 1.3*c.Entropy()+1e-9 {
			t.Errorf("seed %d: %v tests, the entropy is %v", seed, mean, c.Entropy())
		}
		if best.Exact {
			proved, took, least = proved+1, took+mean, least+best.Mean
		}
		entropy += mean / c.Entropy()
	}
	t.Logf("%d stacks, %d solved: %.4f times the best plans, %.3f times the entropy", stacks, proved, took/least, entropy/float64(stacks))
	if proved < stacks/2 || took > 1.15*least || took < least-1e-9 {
		t.Errorf("%d of %d solved: %v tests where the best plans take %v", proved, stacks, took, least)
	}
}

// playAll is the mean number of tests over all faults, each as likely as it is.
func playAll(t *testing.T, d *isolate.Device, c *isolate.Case) (mean float64) {
	t.Helper()
	bench := onePrice()
	for f, p := range c.Chances() {
		on := &device{d, *c.Fault(f), rand.New(rand.NewPCG(0, 0)), exact()}
		now, state := c, isolate.State{Loose: true}
		for n := 0; ; n++ {
			plan, err := now.Next(context.Background(), state, bench)
			if err != nil {
				t.Fatal(err)
			}
			if len(plan.Proposals) == 0 || n > 50 {
				if top := now.Suspects()[0]; top.Faults[0] != f {
					t.Errorf("fault %d was taken for %+v", f, top)
				}
				mean += p * float64(n)
				break
			}
			x := plan.Proposals[0].Test
			now = now.With(on.answer(&x))
			state = after(state, &x)
		}
	}
	return mean
}
