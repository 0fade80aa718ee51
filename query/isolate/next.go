package isolate

import (
	"context"
	"math"
	"slices"

	"netlore/query/isolate/sequence"
)

// Plan is what to do next.
type Plan struct {
	Proposals []Proposal // the best first; none if nothing more can be told
	// Mean is what all costs in the mean until what is bad is mended, in minutes, harm
	// included; an estimate unless it is Exact. Suspects are mended, the likeliest
	// first, when one is sure or nothing more can be told.
	Mean    float64
	Exact   bool // no plan with these tests costs less
	Partial bool // the context ended before all was looked into
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

// Next plans which test comes next, for a device in some state. It is meant to take
// 0.1 s for 5,000 parts and 300 pads (BenchmarkNext measures); if the context ends
// earlier, the plan is partial.
func (c *Case) Next(ctx context.Context, s State, b Bench) (Plan, error) {
	c = c.ahead(&s)
	p := c.Chances()
	k := c.candidates(p, s, &b)
	planner, err := sequence.New(k.problem(c, p))
	if err != nil {
		return Plan{}, err
	}
	choice := planner.Next(ctx, planner.Start(k.mode()), planner.Usual())
	plan := Plan{Mean: choice.Mean, Exact: choice.Exact, Partial: choice.Partial && ctx.Err() != nil}
	plan.Proposals = k.proposals(c, p, choice.Tests)
	return plan, nil
}

// candidates are the tests that can be made and were not made yet.
func (c *Case) candidates(p []float64, s State, b *Bench) *candidates {
	lifted := c.worthLifting(p, s.Off, 12)
	k := &candidates{crowd: c.crowd(p, lifted), bench: b, state: s}
	k.feeds()
	k.reads()
	k.tapes()
	k.lifts(lifted)
	k.measures()
	k.heats()
	k.looks()
	k.all = slices.DeleteFunc(k.all, func(t candidate) bool { return c.isAsked(&t.Test, p) })
	k.keepCheapest()
	return k
}

// keepCheapest leaves out tests that tell the same as another, need the same, and
// are no cheaper.
func (k *candidates) keepCheapest() {
	have := map[uint64][]int{}
	kept := k.all[:0]
	for _, t := range k.all {
		key := t.hash()
		i := slices.IndexFunc(have[key], func(at int) bool { return kept[at].tellsAs(&t) })
		switch {
		case i < 0:
			have[key] = append(have[key], len(kept))
			kept = append(kept, t)
		case kept[have[key][i]].tells.Cost > t.tells.Cost:
			kept[have[key][i]] = t
		}
	}
	k.all = kept
}

// hash is the same for tests that tell the same: FNV-1a of the classes.
func (t *candidate) hash() uint64 {
	h := uint64(14695981039346656037)
	for _, class := range t.tells.Class {
		h = (h ^ uint64(class)) * 1099511628211
	}
	return h
}

// tellsAs reports whether two tests tell the same and need the same.
func (t *candidate) tellsAs(o *candidate) bool {
	return t.tells.On == o.tells.On && slices.Equal(t.tells.Class, o.tells.Class) &&
		slices.EqualFunc(t.tells.Rows, o.tells.Rows, slices.Equal[[]sequence.Chance])
}

// problem is that of the tests, and of mending what the whole case says is bad.
func (k *candidates) problem(c *Case, p []float64) sequence.Problem {
	problem := sequence.Problem{Prior: k.p, Sure: k.bench.sure(), Bits: worth, Setups: k.setups(), Ends: k.ends(c, p)}
	for i := range k.all {
		problem.Tests = append(problem.Tests, k.all[i].tells)
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

// proposals are tests with all that is told of them, of the whole case that k was
// made for.
func (k *candidates) proposals(c *Case, p []float64, tests []sequence.Ranked) []Proposal {
	all := make([]Proposal, len(tests))
	inParallel(len(tests), func(i int) {
		all[i] = k.proposal(tests[i])
		all[i].Outcomes = c.outcomes(p, &k.all[tests[i].Test].tells, k.of, k.bench.sure())
	})
	return all
}

// proposal is a test, and what has to be done first.
func (k *candidates) proposal(r sequence.Ranked) Proposal {
	t := &k.all[r.Test]
	missing := t.tells.On &^ k.mode()
	x := Proposal{Test: t.Test, Unsolder: missing&loose != 0, All: t.Cost, Bits: r.Bits, Mean: r.Mean}
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
// as one. Of each fault, of is the one that stands for it in the test.
func (c *Case) outcomes(p []float64, t *sequence.Test, of []int32, sure float64) (left [2]Left) {
	after := make([][]share, t.Outcomes)
	counts := make([]int, t.Outcomes)
	for f := range p {
		for _, x := range t.Rows[t.Class[of[f]]] {
			counts[x.Outcome]++
		}
	}
	for o, n := range counts {
		after[o] = make([]share, 0, n)
	}
	for f := range p {
		for _, x := range t.Rows[t.Class[of[f]]] {
			after[x.Outcome] = append(after[x.Outcome], share{c.what[f], p[f] * x.P})
		}
	}
	for o := range after {
		if w, sum := bySuspect(after[o]); sum > 0 {
			l := &left[min(o, 1)]
			l.P += sum
			l.Bits += sum * sequence.Entropy(w)
			l.Suspects += sum * float64(most(w, sure))
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
