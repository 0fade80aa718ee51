package isolate

import (
	"context"
	"encoding/binary"
	"math"
	"slices"

	"netlore/query/isolate/sequence"
)

// Plan is what to do next.
type Plan struct {
	Proposals []Proposal // the best first; none if nothing more can be told
	// Mean is what all costs in the mean until a suspect is sure, or nothing more
	// can be told, in minutes, harm included; an estimate unless it is Exact.
	Mean    float64
	Exact   bool // no plan with these tests costs less
	Partial bool // it was stopped before all was looked into
}

// Proposal is a test, and what it is expected to do.
type Proposal struct {
	Test
	Unsolder bool    // the boards have to be unsoldered first
	Lids     []int   // covers that have to come off first
	All      Cost    // of the test and what has to be done first
	Bits     float64 // that it tells in the mean
	Mean     float64 // as in Plan, if this test comes first
	Outcomes [2]Left // if nothing is seen, and if something is
}

// Left is what an outcome leaves.
type Left struct {
	P        float64 // how likely it is
	Bits     float64 // that are still missing then, in the mean
	Suspects float64 // that share what is sure then, in the mean
}

const (
	usuallySure = .95
	worth       = .01 // bits that a test must tell
)

// sure is the chance at which a suspect is taken to be it.
func (b *Bench) sure() float64 {
	if b.Sure == 0 {
		return usuallySure
	}
	return b.Sure
}

// Next plans which test comes next, for a device in some state. It takes less than
// 0.1 s for 5,000 parts and 300 pads; if the context ends earlier, the plan is
// partial.
func (c *Case) Next(ctx context.Context, s State, b Bench) (Plan, error) {
	p := c.Chances()
	k := candidates{Case: c, bench: &b, state: s}
	k.feeds()
	k.reads()
	k.tapes(p)
	k.lifts(p, 12)
	k.heats()
	k.looks()
	k.keepCheapest()
	problem := k.problem(p)
	planner, err := sequence.New(problem)
	if err != nil {
		return Plan{}, err
	}
	choice := planner.Next(ctx, planner.Start(k.mode()), planner.Usual())
	plan := Plan{Mean: choice.Mean, Exact: choice.Exact, Partial: choice.Partial}
	for _, r := range choice.Tests {
		plan.Proposals = append(plan.Proposals, k.proposal(p, r))
	}
	return plan, nil
}

// keepCheapest leaves out tests that tell the same as another, need the same, and
// are no cheaper.
func (k *candidates) keepCheapest() {
	have := map[string]int{}
	kept := k.all[:0]
	for _, t := range k.all {
		i, ok := have[t.key()]
		switch {
		case !ok:
			have[t.key()] = len(kept)
			kept = append(kept, t)
		case kept[i].tells.Cost > t.tells.Cost:
			kept[i] = t
		}
	}
	k.all = kept
}

// key is the same for tests that tell the same and need the same.
func (t *candidate) key() string {
	key := binary.LittleEndian.AppendUint64(nil, uint64(t.tells.On))
	for _, row := range t.tells.Rows {
		for _, c := range row {
			key = binary.LittleEndian.AppendUint64(key, math.Float64bits(c.P)+uint64(c.Outcome))
		}
		key = append(key, 0xff)
	}
	for _, class := range t.tells.Class {
		key = binary.LittleEndian.AppendUint16(key, class)
	}
	return string(key)
}

// problem is that of the tests, with faults that none of them tells apart as one
// state.
func (k *candidates) problem(p []float64) sequence.Problem {
	states := map[string]int{}
	problem := sequence.Problem{Sure: k.bench.sure(), Bits: worth, Setups: k.setups()}
	for _, t := range k.all {
		t.tells.Class = nil
		problem.Tests = append(problem.Tests, t.tells)
	}
	var key []byte
	for f := range p {
		key = key[:0]
		for i := range k.all {
			key = binary.LittleEndian.AppendUint16(key, k.all[i].tells.Class[f])
		}
		s, ok := states[string(key)]
		if !ok {
			s = len(states)
			states[string(key)] = s
			problem.Prior = append(problem.Prior, 0)
			for i := range k.all {
				problem.Tests[i].Class = append(problem.Tests[i].Class, k.all[i].tells.Class[f])
			}
		}
		problem.Prior[s] += p[f]
	}
	return problem
}

// setups are what tests need: the boards unsoldered, each cover off.
func (k *candidates) setups() []sequence.Setup {
	never := math.Inf(1)
	all := []sequence.Setup{{Make: never, Undo: never}}
	if k.device.CanPart() {
		all[0].Make = k.bench.Costs.price(k.bench.Costs.Unsolder)
	}
	for _, cover := range k.device.Covers {
		off := k.bench.Costs.price(cover.Off)
		if cover.Stay {
			off = never
		}
		all = append(all, sequence.Setup{Make: off, Undo: never})
	}
	return all
}

// mode is which set-ups are made.
func (k *candidates) mode() (m sequence.Mode) {
	if k.state.Loose || k.state.Apart {
		m |= loose
	}
	for _, lid := range k.state.Lids {
		m |= 2 << lid
	}
	return m
}

// proposal is a test with all that is told of it.
func (k *candidates) proposal(p []float64, r sequence.Ranked) Proposal {
	t := &k.all[r.Test]
	missing := t.tells.On &^ k.mode()
	x := Proposal{Test: t.Test, Unsolder: missing&loose != 0, All: t.Cost, Bits: r.Bits, Mean: r.Mean, Outcomes: k.outcomes(p, t)}
	if x.Unsolder {
		x.All = x.All.and(k.bench.Costs.Unsolder)
	}
	for i, cover := range k.device.Covers {
		if missing>>(i+1)&1 == 1 {
			x.Lids = append(x.Lids, i)
			x.All = x.All.and(cover.Off)
		}
	}
	return x
}

// outcomes are what the outcomes of a test leave, all in which something is seen
// as one.
func (k *candidates) outcomes(p []float64, t *candidate) (left [2]Left) {
	after := make([][]share, t.tells.Outcomes)
	for f, class := range t.tells.Class {
		for _, c := range t.tells.Rows[class] {
			after[c.Outcome] = append(after[c.Outcome], share{k.what[f], p[f] * c.P})
		}
	}
	for o := range after {
		if w, sum := bySuspect(after[o]); sum > 0 {
			l := &left[min(o, 1)]
			l.P += sum
			l.Bits += sum * sequence.Entropy(w)
			l.Suspects += sum * float64(most(w, k.bench.sure()))
		}
	}
	for o := range left {
		if left[o].P > 0 {
			left[o].Bits /= left[o].P
			left[o].Suspects /= left[o].P
		}
	}
	return left
}

// share is how likely it is that an outcome comes and a suspect is it.
type share struct {
	what int
	p    float64
}

// bySuspect are the chances of suspects, and what their shares sum up to.
func bySuspect(all []share) (w []float64, sum float64) {
	slices.SortFunc(all, func(a, b share) int { return a.what - b.what })
	for i, s := range all {
		if i == 0 || s.what != all[i-1].what {
			w = append(w, 0)
		}
		w[len(w)-1] += s.p
		sum += s.p
	}
	for i := range w {
		w[i] /= sum
	}
	return w, sum
}

// most is how many of the likeliest share what is sure. It sorts them.
func most(p []float64, sure float64) (n int) {
	slices.Sort(p)
	for sum := 0.0; n < len(p) && sum < sure; n++ {
		sum += p[len(p)-1-n]
	}
	return n
}

// and is the cost of two steps one after the other.
func (c Cost) and(d Cost) Cost {
	return Cost{c.Minutes + d.Minutes, 1 - (1-c.Risk)*(1-d.Risk)}
}
