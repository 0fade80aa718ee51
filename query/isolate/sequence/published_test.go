package sequence_test

import (
	"context"
	"math"
	"testing"

	"netlore/query/isolate/sequence"
)

// all is so much effort that small problems are solved to the end.
var all = sequence.Effort{Exact: 1 << 40, Ahead: 2, Wide: 1000, Work: 1 << 40}

// rollout follows the base policy to the end after each first test, and no more.
var rollout = sequence.Effort{Ahead: 1, Wide: 1000, Work: 1 << 40}

func planner(t testing.TB, p sequence.Problem) *sequence.Planner {
	t.Helper()
	pl, err := sequence.New(p)
	if err != nil {
		t.Fatal(err)
	}
	return pl
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %.9f, want %v", what, got, want)
	}
}

// exactly makes tests that never err of a matrix by test and state.
func exactly(costs []float64, matrix ...[]int) (tests []sequence.Test) {
	for i, column := range matrix {
		cost := 1.0
		if costs != nil {
			cost = costs[i]
		}
		tests = append(tests, sequence.Exact(cost, column))
	}
	return tests
}

// best is the mean cost of the best plan, which must be proved.
func best(t *testing.T, p sequence.Problem) float64 {
	t.Helper()
	pl := planner(t, p)
	c := pl.Next(context.Background(), pl.Start(0), all)
	if !c.Exact || c.Partial || c.Mean != c.Least {
		t.Errorf("not proved: %+v", c)
	}
	return c.Mean
}

// greedy is the mean cost of always taking what tells most per cost, without
// looking ahead.
func greedy(pl *sequence.Planner, b *sequence.Belief, tests int) float64 {
	if pl.IsDone(b) {
		return 0
	}
	first, rate, cost := sequence.None, 0.0, 0.0
	for i := range tests {
		p := pl.Try(b, i)
		if p.Bits/p.Cost > rate+1e-12 {
			first, rate, cost = i, p.Bits/p.Cost, p.Cost
		}
	}
	for o, p := range pl.Try(b, first).Outcomes {
		if p > 0 {
			after, _ := pl.After(b, first, o)
			cost += p * greedy(pl, after, tests)
		}
	}
	return cost
}

// sixStates is the example of Pattipati and Alexandridis, IEEE Trans. SMC
// 20(4):872-887, 1990, Table I.
func sixStates(costs []float64) sequence.Problem {
	return sequence.Problem{
		Prior: []float64{.70, .01, .02, .10, .05, .12},
		Tests: exactly(costs,
			[]int{0, 0, 0, 1, 1, 1},
			[]int{0, 1, 0, 0, 1, 1},
			[]int{0, 0, 1, 0, 0, 1},
			[]int{0, 0, 1, 1, 0, 1},
			[]int{0, 1, 0, 1, 0, 0}),
	}
}

// TestSixStates: the optimum 2.18 is published with the example; the other
// figures are computed from it, in Python and independently of this package.
func TestSixStates(t *testing.T) {
	p := sixStates(nil)
	pl := planner(t, p)
	start := pl.Start(0)
	near(t, "the entropy", start.Entropy(), 1.454873, 1e-6)
	for i, want := range []struct{ yes, bits float64 }{{.27, .841465}, {.18, .680077}, {.14, .584239}, {.24, .795040}, {.11, .499916}} {
		got := pl.Try(start, i)
		near(t, "P(yes)", got.Outcomes[1], want.yes, 1e-9)
		near(t, "the gain", got.Bits, want.bits, 1e-6)
	}
	near(t, "greedy", greedy(pl, start, 5), 2.86, 1e-9)
	c := pl.Next(context.Background(), start, rollout)
	near(t, "rollout", c.Mean, 2.18, 1e-9)
	if c.Exact {
		t.Errorf("rollout alone cannot know that it is the best: %+v", c)
	}
	near(t, "the bound", c.Least, 1.59, 1e-9) // Huffman
	near(t, "the best", best(t, p), 2.18, 1e-9)
	for _, r := range c.Tests {
		if r.Test == 1 {
			near(t, "t2 first", r.Mean, 2.18, 1e-9) // one of the best trees begins with it
		}
	}
	usual := pl.Next(context.Background(), start, pl.Usual())
	if near(t, "as usual", usual.Mean, 2.18, 1e-9); !usual.Exact {
		t.Errorf("not proved as usual: %+v", usual)
	}
}

// TestSixStatesWithCosts: computed from the same example in Python.
func TestSixStatesWithCosts(t *testing.T) {
	for _, c := range []struct {
		costs        []float64
		best, greedy float64
	}{
		{[]float64{1, 2, 1, 1, 1}, 2.85, 2.86},
		{[]float64{1, 1, 1, 1, 5}, 2.18, 2.86},
		{[]float64{2, 1, 3, 1, 1}, 2.18, 2.18},
	} {
		p := sixStates(c.costs)
		near(t, "the best", best(t, p), c.best, 1e-9)
		pl := planner(t, p)
		near(t, "greedy", greedy(pl, pl.Start(0), 5), c.greedy, 1e-9)
	}
}

// TestCaseBase: five defects of a board and four tests, from "Circuit diagnosis
// support system for electronics assembly operations" (Balakrishnan and
// Semmelbauer, 1999; authors from memory); the costs computed in Python.
func TestCaseBase(t *testing.T) {
	tests := exactly(nil, []int{0, 0, 0, 0, 1}, []int{0, 0, 0, 1, 1}, []int{0, 0, 1, 1, 1}, []int{0, 1, 1, 1, 1})
	near(t, "the best", best(t, sequence.Problem{Prior: []float64{1, 1, 1, 1, 1}, Tests: tests}), 2.4, 1e-9)
	near(t, "the best with one likely", best(t, sequence.Problem{Prior: []float64{1, 1, 6, 1, 1}, Tests: tests}), 2.2, 1e-9)

	pl := planner(t, sequence.Problem{Prior: []float64{1, 1, 1, 1, 1}, Tests: tests})
	b := pl.Start(0)
	for _, step := range []struct{ test, outcome, left int }{{0, 0, 4}, {1, 0, 3}, {2, 1, 1}} { // the trace of the paper
		b, _ = pl.After(b, step.test, step.outcome)
		left := 0
		for _, p := range b.P(5) {
			if p > 0 {
				left++
			}
		}
		if left != step.left {
			t.Errorf("after T%d %d are left, want %d", step.test+1, left, step.left)
		}
	}
	if s, p := b.Top(); s != 2 || p != 1 || !pl.IsDone(b) {
		t.Errorf("ends with D%d at %v, want D3", s+1, p)
	}
}

// single tests each state on its own.
func single(costs []float64, states int) (tests []sequence.Test) {
	for s := range costs {
		column := make([]int, states)
		column[s] = 1
		tests = append(tests, sequence.Exact(costs[s], column))
	}
	return tests
}

// TestRatioRule: of suspects that are looked at one by one, the one goes first
// whose chance is largest for its cost (Kadane and Simon 1977), if the last one
// must be looked at, too; here there is one more state that is hardly ever true.
// If the last is inferred, another order is better. Computed in Python.
func TestRatioRule(t *testing.T) {
	costs := []float64{4, 1, 2}
	near(t, "all looked at", best(t, sequence.Problem{Prior: []float64{.5, .3, .2, 1e-9}, Tests: single(costs, 4)}), 4.2, 1e-6)
	pl := planner(t, sequence.Problem{Prior: []float64{.5, .3, .2}, Tests: single(costs, 3)})
	c := pl.Next(context.Background(), pl.Start(0), all)
	near(t, "the last inferred", c.Mean, 2.4, 1e-9)
	if c.Tests[0].Test != 1 {
		t.Errorf("begins with %d, want the second", c.Tests[0].Test+1)
	}
}

// TestCover: two suspects in the open, two under a cover that costs 10 once; a
// look at each costs 1. Computed in Python.
func TestCover(t *testing.T) {
	tests := single([]float64{1, 1, 1, 1}, 4)
	tests[2].On, tests[3].On = 1, 1
	pl := planner(t, sequence.Problem{Prior: []float64{.3, .2, .3, .2}, Tests: tests, Setups: []sequence.Setup{{Make: 10, Undo: 2}}})
	c := pl.Next(context.Background(), pl.Start(0), all)
	if near(t, "the open ones first", c.Mean, 7.2, 1e-9); !c.Exact || c.Tests[0].Test != 0 {
		t.Errorf("begins with %+v, want the first", c)
	}
	for _, r := range c.Tests {
		if r.Test == 2 {
			near(t, "a look under the cover", r.Cost, 11, 1e-9)
		}
	}
	first, _ := pl.After(pl.Start(0), 2, 0)
	if first.Mode() != 1 {
		t.Errorf("the cover is on after a look under it")
	}
	// Lifted first: 11 for the first look under it, and then the best that is left.
	lifted := 11 + .7*pl.Next(context.Background(), first, all).Mean
	near(t, "the cover first", lifted, 12.1, 1e-9)
}
