package sequence_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"sort"
	"testing"

	"netlore/query/isolate/sequence"
)

// naive solves a problem of tests that are made once each by looking at every
// test after every row of outcomes, with nothing but Bayes's rule.
type naive struct {
	p    sequence.Problem
	like [][][]float64 // by test, outcome and state
	seen map[string]float64
}

func newNaive(p sequence.Problem) *naive {
	n := &naive{p: p, seen: map[string]float64{}}
	for _, t := range p.Tests {
		like := make([][]float64, t.Outcomes)
		for o := range like {
			like[o] = make([]float64, len(p.Prior))
			for s, class := range t.Class {
				for _, c := range t.Rows[class] {
					if c.Outcome == o {
						like[o][s] = c.P
					}
				}
			}
		}
		n.like = append(n.like, like)
	}
	return n
}

func (n *naive) cost(w []float64, came []int, mode sequence.Mode) float64 {
	total, top := 0.0, 0.0
	for _, x := range w {
		total += x
		top = max(top, x)
	}
	if top >= n.p.Sure*total {
		return n.end(w, came, mode, total)
	}
	key := fmt.Sprint(came, mode)
	if cost, ok := n.seen[key]; ok {
		return cost
	}
	best := math.Inf(1)
	for i := range n.p.Tests {
		if came[i] < 0 {
			best = min(best, n.through(w, came, mode, i, total))
		}
	}
	if math.IsInf(best, 1) {
		best = n.end(w, came, mode, total)
	}
	n.seen[key] = best
	return best
}

// end is what it costs in the mean to mend what is true, state by state.
func (n *naive) end(w []float64, came []int, mode sequence.Mode, total float64) (cost float64) {
	if n.p.Ends == nil {
		return 0
	}
	order, top := make([]int, len(w)), 0
	for s := range order {
		order[s] = s
		if w[s] > w[top] {
			top = s
		}
	}
	sort.SliceStable(order, func(i, j int) bool { return w[order[i]] > w[order[j]] })
	isMended := func(s int) bool { return n.p.Ends[s].By >= 0 && came[n.p.Ends[s].By] >= 0 }
	for truth := range w {
		if w[truth] == 0 || isMended(truth) {
			continue
		}
		for now, tried := mode, 0; ; tried++ {
			s := order[tried]
			if w[top] >= n.p.Sure*total && tried > 0 {
				s, now = truth, mode // what was sure was not it, and the next one is
			}
			if isMended(s) {
				continue
			}
			e := n.p.Ends[s]
			for k, u := range n.p.Setups {
				if bit := sequence.Mode(1) << k; e.On&bit != 0 && now&bit == 0 {
					cost += w[truth] / total * u.Make
				}
			}
			now |= e.On
			if s == truth {
				cost += w[truth] / total * e.Mend
				break
			}
			cost += w[truth] / total * e.Vain
		}
	}
	return cost
}

// through is the cost if a test is made, +Inf if it tells nothing.
func (n *naive) through(w []float64, came []int, mode sequence.Mode, i int, total float64) float64 {
	t := n.p.Tests[i]
	cost, tells := t.Cost, false
	for k, u := range n.p.Setups {
		bit := sequence.Mode(1) << k
		if t.On&bit != 0 && mode&bit == 0 {
			cost += u.Make
		}
		if t.Off&bit != 0 && mode&bit != 0 {
			cost += u.Undo
		}
	}
	for o, like := range n.like[i] {
		after, sum, ratio := make([]float64, len(w)), 0.0, -1.0
		for s := range w {
			after[s] = w[s] * like[s]
			sum += after[s]
			if w[s] > 0 {
				tells = tells || ratio >= 0 && math.Abs(like[s]-ratio) > 1e-9
				ratio = like[s]
			}
		}
		if sum > 0 {
			next := append([]int(nil), came...)
			next[i] = o
			cost += sum / total * n.cost(after, next, mode&^t.Off|t.On)
		}
	}
	if !tells {
		return math.Inf(1)
	}
	return cost
}

// randomProblem has tests that err, others that do not, covers, and costs of all
// kinds.
func randomProblem(r *rand.Rand) sequence.Problem {
	states, tests := 2+r.IntN(5), 1+r.IntN(5)
	p := sequence.Problem{Sure: .7 + .3*r.Float64(), Setups: []sequence.Setup{{Make: 5 * r.Float64(), Undo: 2}, {Make: 1, Undo: math.Inf(1)}}}
	for range states {
		p.Prior = append(p.Prior, math.Exp(2*r.NormFloat64()))
	}
	for range tests {
		like := make([][]float64, states)
		outcomes, sharp := 2+r.IntN(2), r.IntN(2) == 0
		for s := range like {
			like[s] = randomRow(r, outcomes, sharp)
		}
		t := sequence.Dense(.2+r.Float64(), like)
		switch r.IntN(4) {
		case 0:
			t.On = 1 << r.IntN(2)
		case 1:
			t.Off = 1 << r.IntN(2)
		}
		p.Tests = append(p.Tests, t)
	}
	if r.IntN(2) == 0 {
		p.Ends = randomEnds(r, &p)
	}
	return p
}

// randomEnds are states that cost something to mend, some of which tests mend.
func randomEnds(r *rand.Rand, p *sequence.Problem) (all []sequence.End) {
	for range p.Prior {
		e := sequence.End{Mend: 2 * r.Float64(), Vain: 3 * r.Float64(), By: sequence.None}
		if r.IntN(3) == 0 {
			e.On = 1 << r.IntN(2)
		}
		if r.IntN(3) == 0 {
			e.By = r.IntN(len(p.Tests))
		}
		all = append(all, e)
	}
	return all
}

func randomRow(r *rand.Rand, outcomes int, sharp bool) []float64 {
	row, sum := make([]float64, outcomes), 0.0
	if sharp {
		row[r.IntN(outcomes)] = 1
		return row
	}
	for o := range row {
		row[o] = .02 + r.Float64()*r.Float64()
		sum += row[o]
	}
	for o := range row {
		row[o] /= sum
	}
	return row
}

// TestAgainstNaive: the best plan of random problems is that of looking at
// everything, and one that looks ahead is never better than it, nor below the
// bound.
func TestAgainstNaive(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	sum, looked := 0.0, 0.0
	for i := range 300 {
		p := randomProblem(r)
		n := newNaive(p)
		came := make([]int, len(p.Tests))
		for k := range came {
			came[k] = -1
		}
		want := n.cost(p.Prior, came, 0)
		pl := planner(t, p)
		got := pl.Next(context.Background(), pl.Start(0), all)
		if !got.Exact || math.Abs(got.Mean-want) > 1e-9 {
			t.Fatalf("problem %d: %+v, want %v", i, got, want)
		}
		ahead := pl.Next(context.Background(), pl.Start(0), rollout)
		if ahead.Mean < want-1e-9 || ahead.Least > want+1e-9 {
			t.Fatalf("problem %d: looking ahead gives %+v, and the best is %v", i, ahead, want)
		}
		sum, looked = sum+want, looked+ahead.Mean
	}
	if looked > 1.02*sum {
		t.Errorf("looking ahead costs %v in all, the best plans %v", looked, sum)
	}
}

// TestBayes: the belief after some outcomes is that of Bayes's rule over all of
// them at once, in whatever order they came.
func TestBayes(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 100 {
		p := randomProblem(r)
		pl, n := planner(t, p), newNaive(p)
		state := r.IntN(len(p.Prior))
		b, w := pl.Start(0), append([]float64(nil), p.Prior...)
		for _, i := range r.Perm(len(p.Tests)) {
			o := draw(r, n.like[i], state)
			b, _ = pl.After(b, i, o)
			sum := 0.0
			for s := range w {
				w[s] *= n.like[i][o][s]
				sum += w[s]
			}
			for s, got := range b.P(len(w)) {
				near(t, "the chance", got, w[s]/sum, 1e-9)
			}
		}
	}
}

// draw is an outcome that comes in a state.
func draw(r *rand.Rand, like [][]float64, state int) int {
	x := r.Float64()
	for o := range like {
		if x -= like[o][state]; x < 0 {
			return o
		}
	}
	return len(like) - 1
}

// TestHuffman: on a balanced random matrix with equal weights every plan that
// splits in halves is as good as Huffman's code.
func TestHuffman(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	for _, c := range []struct {
		states, tests int
		want          float64
	}{{40, 20, 5.4}, {60, 30, 5.933333333}, {100, 50, 6.72}} {
		for range 20 {
			p := sequence.Problem{Prior: make([]float64, c.states)}
			for s := range p.Prior {
				p.Prior[s] = 1
			}
			for range c.tests {
				column := make([]int, c.states)
				for _, s := range r.Perm(c.states)[:c.states/2] {
					column[s] = 1
				}
				p.Tests = append(p.Tests, sequence.Exact(1, column))
			}
			pl := planner(t, p)
			got := pl.Next(context.Background(), pl.Start(0), sequence.Effort{Ahead: 1, Wide: 1, Work: 1 << 40})
			if near(t, "the best", got.Mean, c.want, 1e-8); !got.Exact {
				t.Errorf("not known to be the best: %+v", got)
			}
		}
	}
}

// TestTruth: where the model is right, the mean of -lg of the chance that the
// true state was given at the end is the mean entropy that was left, and the
// likeliest state is the true one as often as it is said to be.
func TestTruth(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 17))
	loss, entropy, hits, said := 0.0, 0.0, 0.0, 0.0
	const n = 3000
	for range n {
		p := randomProblem(r)
		pl, like := planner(t, p), newNaive(p).like
		b := pl.Start(0)
		state := pick(r, b.P(len(p.Prior)))
		for e := pl.Usual(); !pl.IsDone(b); {
			test := pl.Next(context.Background(), b, e).Tests[0].Test
			b, _ = pl.After(b, test, draw(r, like[test], state))
		}
		loss -= math.Log2(b.P(len(p.Prior))[state])
		entropy += b.Entropy()
		top, chance := b.Top()
		said += chance
		if top == state {
			hits++
		}
	}
	near(t, "the loss", loss/n, entropy/n, .03)
	near(t, "the rate of hits", hits/n, said/n, .02)
}

func pick(r *rand.Rand, p []float64) int {
	x := r.Float64()
	for s := range p {
		if x -= p[s]; x < 0 {
			return s
		}
	}
	return len(p) - 1
}
