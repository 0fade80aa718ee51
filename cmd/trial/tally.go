package main

import (
	"math"

	"netlore/query/isolate/play"
)

// tally is what came of the jobs of a series.
type tally struct {
	jobs                int
	tests               float64 // in the mean
	plan, half          mean    // minutes
	saved               mean    // minutes of halving less those of the plan, job by job
	list, planOfListed  mean
	sure, first, second int
	loss, entropy       mean // bits, at all moments
	short               mean // loss less entropy, by job
	brier               mean // Σ (p - is)², at all moments
	bins                [len(edges) + 1]bin
}

// mean is one that is made of numbers as they come.
type mean struct{ n, sum, squares float64 }

func (m *mean) add(x float64) { m.n, m.sum, m.squares = m.n+1, m.sum+x, m.squares+x*x }
func (m *mean) of() float64   { return m.sum / m.n }

// err is the standard error of the mean.
func (m *mean) err() float64 {
	if m.n < 2 {
		return math.Inf(1)
	}
	return math.Sqrt(max(m.squares/m.n-m.of()*m.of(), 0) / (m.n - 1))
}

// String is the mean and its standard error.
func (m *mean) String() string { return number(m.of()) + " ± " + number(m.err()) }

// edges are between the bins of chances.
var edges = [...]float64{.05, .1, .2, .4, .6, .8, .95}

// bin is the suspects that were given some chance.
type bin struct{ n, said, is float64 }

func (b *bin) add(p float64, is bool) {
	b.n++
	b.said += p
	if is {
		b.is++
	}
}

// lowOf is where a bin begins.
func lowOf(bin int) float64 {
	switch {
	case bin == 0:
		return play.Told
	case bin > len(edges):
		return 1
	}
	return edges[bin-1]
}

func binOf(p float64) int {
	for i, edge := range edges {
		if p < edge {
			return i
		}
	}
	return len(edges)
}

// count counts the jobs that are done.
func count(jobs []job) (t tally) {
	for i := range jobs {
		j := &jobs[i]
		if !j.done {
			continue
		}
		t.jobs++
		t.tests += float64(j.plan.Tests)
		t.plan.add(j.plan.Minutes)
		t.half.add(j.half.Minutes)
		t.saved.add(j.half.Minutes - j.plan.Minutes)
		if j.listed {
			t.list.add(j.list)
			t.planOfListed.add(j.plan.Minutes)
		}
		t.place(&j.plan)
		t.said(j.plan.Said)
	}
	t.tests /= float64(t.jobs)
	return t
}

func (t *tally) place(o *play.Outcome) {
	if !o.Sure {
		return
	}
	t.sure++
	if o.Place == 0 {
		t.first++
	}
	if o.Place <= 1 {
		t.second++
	}
}

func (t *tally) said(all []play.Said) {
	short := 0.0
	for i := range all {
		s := &all[i]
		loss := -math.Log2(max(s.True, 1e-12))
		t.loss.add(loss)
		t.entropy.add(s.Entropy)
		t.brier.add(s.Brier)
		short += (loss - s.Entropy) / float64(len(all))
		for k, p := range s.Chances {
			t.bins[binOf(p)].add(p, k == s.Is)
		}
	}
	t.short.add(short)
}
