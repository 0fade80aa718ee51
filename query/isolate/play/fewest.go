package play

import (
	"context"
	"math/rand/v2"

	"netlore/query/isolate"
	"netlore/query/isolate/sequence"
	"netlore/query/trace"
)

// Exact are rates without any error.
func Exact() isolate.Rates { return isolate.Rates{Unsure: .5} }

// TapeAndRead is a bench on which tape and readings cost a minute each, nothing
// errs and nothing else is worth while.
func TapeAndRead() isolate.Bench {
	dear, one := isolate.Cost{Minutes: 1e6}, isolate.Cost{Minutes: 1}
	return isolate.Bench{Costs: isolate.Costs{Unsolder: dear, Feed: dear, Tape: one, Read: one, Inject: dear, Look: dear, Lift: dear}, Sure: 1}
}

// Pieces are faults of the pieces of a rail that tape and readings tell apart, one
// for each that a supply surely comes to, as likely as those of a device there are
// together.
func Pieces(d *isolate.Device, faults []isolate.Fault) (all []isolate.Fault) {
	places := byPlace(d, faults)
	tests := matrix(d, places)
	at := map[string]int{}
	for f := range places {
		key := make([]byte, len(tests))
		for i := range tests {
			key[i] = byte(tests[i].Class[f])
		}
		n, ok := at[string(key)]
		if !ok {
			n = len(all)
			at[string(key)] = n
			all = append(all, isolate.Fault{Kind: isolate.Zone, Sites: places[f].Sites})
		}
		all[n].Weight += places[f].Weight
	}
	return all
}

// byPlace are the faults of one site, those at the same place taken together.
func byPlace(d *isolate.Device, faults []isolate.Fault) (all []isolate.Fault) {
	surely := d.Graph.Reach(d.Source, trace.Ties{})
	at := map[trace.Place]int{}
	for _, f := range faults {
		if len(f.Sites) != 1 || !surely.Has(f.Sites[0].At) {
			continue
		}
		site := isolate.Site{At: f.Sites[0].At, Part: isolate.None, Spot: f.Sites[0].Spot}
		n, ok := at[site.At]
		if !ok {
			n = len(all)
			at[site.At] = n
			all = append(all, isolate.Fault{Kind: isolate.Zone, Sites: []isolate.Site{site}})
		}
		all[n].Weight += f.Weight
	}
	return all
}

// matrix are all runs of tape and all readings of a loose device as tests of its
// faults, by one search of the graph each.
func matrix(d *isolate.Device, faults []isolate.Fault) (tests []sequence.Test) {
	add := func(at []trace.Place, cut map[trace.TieID]bool) {
		reach := d.Graph.Reach(at, trace.Ties{Cut: cut})
		seen := make([]bool, len(faults))
		for f := range faults {
			seen[f] = len(faults[f].Sites) > 0 && reach.Has(faults[f].Sites[0].At)
		}
		tests = append(tests, sequence.YesNo(1, seen, 0, 0))
	}
	apart := map[trace.TieID]bool{}
	for first := range d.Pads {
		cut := map[trace.TieID]bool{}
		n := len(d.Pads)
		if !d.Ring {
			n -= first
		}
		for k := range n {
			ties := d.Pads[(first+k)%len(d.Pads)].Ties
			if len(ties) == 0 {
				continue
			}
			for _, t := range ties {
				cut[t] = true
			}
			add(d.Source, cut)
		}
		for _, t := range d.Pads[first].Ties {
			apart[t] = true
		}
	}
	for _, probe := range d.Probes {
		add([]trace.Place{probe.At}, apart)
	}
	return tests
}

// Fewest is how many tests of tape and readings the plan takes in the mean until
// a piece of the rail is sure, by making them for each; and what the best plan over
// every run of tape and every reading takes, which is no more than a bound, the
// entropy, unless it was found within some work.
type Fewest struct {
	Took, Least, Entropy float64
	Solved               bool
}

// TapeAlone finds out how many tests some faults, one for each piece, take.
func TapeAlone(ctx context.Context, d *isolate.Device, pieces []isolate.Fault, work int) (f Fewest, err error) {
	c, err := isolate.NewCase(d, pieces, Exact())
	if err != nil {
		return f, err
	}
	f.Entropy = c.Entropy()
	if work > 0 {
		if f.Least, f.Solved, err = best(ctx, d, pieces, work); err != nil {
			return f, err
		}
	}
	for i, p := range c.Chances() {
		n, err := count(ctx, d, c, i)
		if err != nil {
			return f, err
		}
		f.Took += p * float64(n)
	}
	return f, nil
}

// best looks for the best plan there is.
func best(ctx context.Context, d *isolate.Device, pieces []isolate.Fault, work int) (mean float64, solved bool, err error) {
	problem := sequence.Problem{Tests: different(matrix(d, pieces))}
	for i := range pieces {
		problem.Prior = append(problem.Prior, pieces[i].Weight)
	}
	planner, err := sequence.New(problem)
	if err != nil {
		return 0, false, err
	}
	choice := planner.Next(ctx, planner.Start(0), sequence.Effort{Exact: work, Ahead: 1, Wide: 4, Work: work})
	return choice.Mean, choice.Exact, nil
}

// different leaves out tests that split faults as another does.
func different(tests []sequence.Test) (all []sequence.Test) {
	have := map[string]bool{}
	for _, t := range tests {
		key := make([]byte, len(t.Class))
		for i, class := range t.Class {
			key[i] = byte(class ^ t.Class[0])
		}
		if !have[string(key)] {
			have[string(key)] = true
			all = append(all, t)
		}
	}
	return all
}

// count is how many tests are made until a piece is told from the others.
func count(ctx context.Context, d *isolate.Device, now *isolate.Case, bad int) (n int, err error) {
	on := Hide(d, *now.Fault(bad), 0, rand.New(rand.NewPCG(0, 0)))
	clear(on.open)
	state := isolate.State{Loose: true}
	for ; n <= most; n++ {
		plan, err := now.Next(ctx, state, TapeAndRead())
		if err != nil || len(plan.Proposals) == 0 {
			return n, err
		}
		x := &plan.Proposals[0].Test
		now = now.With(on.Answer(x))
		state.Apart = x.State.Apart
	}
	return n, nil
}
