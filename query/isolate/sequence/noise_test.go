package sequence_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"netlore/query/isolate/sequence"
)

// TestNoisySearch: 64 equal states on a line, tests of prefixes that err with p
// each time anew, until one state has .99. Bisection at the median took 10.54
// tests for p = .05 and 14.60 for .1 in a simulation of 4000 runs in Python; no
// method takes fewer than lg n / I(p) up to an additive term (Burnashev and
// Zigangirov 1974), here 8.41 and 11.30, and some method no more than
// (lg n + lg 1/δ + 3) / I(p), here 21.92 and 29.46 (Dereniowski, Łukasiewicz,
// Uznański, arXiv 2107.05753). Ours may take 5 % more than bisection.
func TestNoisySearch(t *testing.T) {
	const n = 64
	jobs := 800
	if testing.Short() {
		jobs = 250
	}
	base := sequence.Effort{Ahead: 1, Wide: 1, Work: 1e6, Fine: 1}
	for _, c := range []struct{ p, bisection, low, right float64 }{{.05, 10.54, 8.40, .994}, {.1, 14.60, 11.29, .997}} {
		problem := sequence.Problem{Prior: make([]float64, n), Tests: runs(n, true, c.p, c.p, true), Sure: .99}
		for s := range problem.Prior {
			problem.Prior[s] = 1
		}
		pl := planner(t, problem)
		r := rand.New(rand.NewPCG(19, uint64(c.p*100)))
		tests, right := search(pl, r, problem, base, jobs)
		if tests > c.bisection*1.05 || tests < c.low {
			t.Errorf("errors of %v: %v tests in the mean, by bisection %v", c.p, tests, c.bisection)
		}
		if right < .985 {
			t.Errorf("errors of %v: right in %v, want %v", c.p, right, c.right)
		}
		t.Logf("errors of %v: %.2f tests in the mean (bisection %v), right in %.3f", c.p, tests, c.bisection, right)
	}
}

// search looks for random states, and tells how many tests it took in the mean,
// and how often it was right.
func search(pl *sequence.Planner, r *rand.Rand, p sequence.Problem, e sequence.Effort, runs int) (tests, right float64) {
	like := newNaive(p).like
	for range runs {
		state := r.IntN(len(p.Prior))
		b := pl.Start(0)
		for !pl.IsDone(b) {
			test := pl.Next(context.Background(), b, e).Tests[0].Test
			b, _ = pl.After(b, test, draw(r, like[test], state))
			tests++
		}
		if top, _ := b.Top(); top == state {
			right++
		}
	}
	return tests / float64(runs), right / float64(runs)
}

// polybox is the example of de Kleer and Williams, Diagnosing multiple faults,
// Artificial Intelligence 32, 1987: multipliers 0 to 2 and adders 3 and 4, each
// broken with .01; F was 10 where 12 was predicted, G 12 as predicted. A state is
// a set of what is broken. What is broken may give anything.
var multipliers, adders = [3][2]float64{{3, 2}, {2, 3}, {2, 3}}, [2][2]int{{0, 1}, {1, 2}}

// inside is what can be told of X, Y and Z where some parts are broken: what the
// sound multipliers give, and what the sound adders need then. NaN is anything.
func inside(broken int) (xyz [3]float64, consistent bool) {
	for m, in := range multipliers {
		if xyz[m] = in[0] * in[1]; broken>>m&1 == 1 {
			xyz[m] = math.NaN()
		}
	}
	for range 2 {
		for a, sum := range []float64{10, 12} {
			if broken>>(3+a)&1 == 1 {
				continue
			}
			l, r := adders[a][0], adders[a][1]
			switch {
			case math.IsNaN(xyz[l]) && !math.IsNaN(xyz[r]):
				xyz[l] = sum - xyz[r]
			case !math.IsNaN(xyz[l]) && math.IsNaN(xyz[r]):
				xyz[r] = sum - xyz[l]
			case xyz[l]+xyz[r] != sum && !math.IsNaN(xyz[l]+xyz[r]):
				return xyz, false
			}
		}
	}
	return xyz, true
}

// TestPolybox: the posteriors were computed in Python from the same model; the
// candidates after X are published.
func TestPolybox(t *testing.T) {
	prior, fits := make([]float64, 32), make([]float64, 32)
	var measured [2][]float64 // X is 4, X is 6
	for i, value := range []float64{4, 6} {
		measured[i] = make([]float64, 32)
		for broken := range 32 {
			xyz, ok := inside(broken)
			if x := xyz[0]; ok && (x == value || math.IsNaN(x)) {
				measured[i][broken] = 1
			}
		}
	}
	evidence := 0.0
	for broken := range 32 {
		prior[broken] = 1
		for part := range 5 {
			if broken>>part&1 == 1 {
				prior[broken] *= .01
			} else {
				prior[broken] *= .99
			}
		}
		if _, ok := inside(broken); ok {
			fits[broken] = 1
			evidence += prior[broken]
		}
	}
	near(t, "P(seen)", evidence, .0200950399, 1e-9)
	b, err := planner(t, sequence.Problem{Prior: prior}).Start(0).Observe(fits)
	if err != nil {
		t.Fatal(err)
	}
	parts(t, "M1 M2 M3 A1 A2", b, .497635, .019609, .01478, .497635, .01478)
	four, _ := b.Observe(measured[0])
	parts(t, "after X is 4, M1 M2 M3 A1 A2", four, 1, .01, .01, .01, .01)
	six, _ := b.Observe(measured[1])
	parts(t, "after X is 6, M1 M2 M3 A1 A2", six, .01, .029127, .019516, .980680, .019516)
}

// parts compares how likely each part is broken.
func parts(t *testing.T, what string, b *sequence.Belief, want ...float64) {
	t.Helper()
	p := b.P(32)
	for part := range want {
		sum := 0.0
		for broken := range p {
			if broken>>part&1 == 1 {
				sum += p[broken]
			}
		}
		near(t, what, sum, want[part], 1e-6)
	}
}
