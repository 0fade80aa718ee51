package sequence_test

import (
	"context"
	"math"
	"testing"

	"netlore/query/isolate/sequence"
)

// runs are the tests of every contiguous run of states, or of those that begin
// with the first one only.
func runs(states int, prefixes bool, miss, alarm float64, repeats bool) (tests []sequence.Test) {
	for i := range states {
		for j := i + 1; j <= states; j++ {
			if j-i == states || prefixes && i > 0 {
				continue
			}
			in := make([]bool, states)
			for s := i; s < j; s++ {
				in[s] = true
			}
			test := sequence.YesNo(1, in, miss, alarm)
			test.Repeats = repeats
			tests = append(tests, test)
		}
	}
	return tests
}

// letters are the relative frequencies of the space and the letters of English
// of Gilbert and Moore, Bell System Technical Journal, 1959 (from memory; they
// give all printed figures).
var letters = []float64{.1859, .0642, .0127, .0218, .0317, .1031, .0208, .0152, .0467, .0575, .0008, .0049, .0321, .0198, .0574, .0632, .0152, .0008, .0484, .0514,
	.0796, .0228, .0083, .0175, .0013, .0164, .0005}

// TestAlphabet: with prefixes alone the best tree is alphabetic, and its cost is
// published by Gilbert and Moore as 4.1978; that of Huffman's is 4.1195, entropy
// 4.0799. Every set of states is too many to try: the bound is Huffman's.
func TestAlphabet(t *testing.T) {
	p := sequence.Problem{Prior: letters, Tests: runs(len(letters), true, 0, 0, false)}
	near(t, "prefixes", best(t, p), 4.1978, 5e-5)
	pl := planner(t, p)
	near(t, "the entropy", pl.Start(0).Entropy(), 4.0799, 5e-5)
	near(t, "the bound", pl.Next(context.Background(), pl.Start(0), rollout).Least, 4.1195, 5e-5)
}

// TestEveryRun: every contiguous run is better than prefixes. Computed in
// Python by dynamic programming.
func TestEveryRun(t *testing.T) {
	uneven := []float64{.25, .01, .24, .01, .24, .01, .23, .01}
	even := []float64{.3, .05, .05, .05, .3, .05, .05, .15}
	for _, c := range []struct {
		prior    []float64
		prefixes bool
		want     float64
	}{{uneven, true, 2.99}, {uneven, false, 2.55}, {even, true, 2.6}, {even, false, 2.6}} {
		near(t, "the best", best(t, sequence.Problem{Prior: c.prior, Tests: runs(8, c.prefixes, 0, 0, false)}), c.want, 1e-9)
	}
}

// TestLineOfPads: one bridge between neighbours on a line of n pads is n-1
// states. With equal weights the best plan is as short as Huffman's code, which
// is within 0.0861 of the logarithm (the redundancy of Huffman's code for equal
// weights).
func TestLineOfPads(t *testing.T) {
	base := sequence.Effort{Ahead: 1, Wide: 1, Work: 1 << 40}
	for pads, want := range map[int]float64{8: 2.857143, 16: 3.933333, 40: 5.358974, 64: 5.984127, 120: 6.924370} {
		prior := make([]float64, pads-1)
		for i := range prior {
			prior[i] = 1
		}
		pl := planner(t, sequence.Problem{Prior: prior, Tests: runs(pads-1, false, 0, 0, false)})
		c := pl.Next(context.Background(), pl.Start(0), base)
		if near(t, "the best", c.Mean, want, 1e-6); !c.Exact {
			t.Errorf("%d pads: not known to be the best: %+v", pads, c)
		}
		if got := c.Mean; got-math.Log2(float64(pads-1)) > 0.0861 {
			t.Errorf("%d pads: %v is too far from the logarithm", pads, got)
		}
	}
}

// TestTape: four suspects, tape over two of them that shows it with .95 and
// errs with .02. Computed in Python.
func TestTape(t *testing.T) {
	pl := planner(t, sequence.Problem{Prior: []float64{1, 1, 1, 1}, Sure: .95,
		Tests: []sequence.Test{sequence.YesNo(1, []bool{true, true, false, false}, .05, .02)}})
	p := pl.Try(pl.Start(0), 0)
	near(t, "P(gone)", p.Outcomes[1], .485, 1e-9)
	near(t, "the gain", p.Bits, .785432, 1e-6)
	gone, err := pl.After(pl.Start(0), 0, 1)
	if err != nil {
		t.Fatal(err)
	}
	for s, want := range []float64{.489691, .489691, .010309, .010309} {
		near(t, "after gone", gone.P(4)[s], want, 1e-6)
	}
	if !pl.IsDone(gone) {
		t.Error("a test that would err in the same way is to be made again")
	}
}

// TestChannel: a test of two equal states that errs with p tells 1-H(p) bits
// (Shannon 1948); by hand.
func TestChannel(t *testing.T) {
	for p, want := range map[float64]float64{.01: .919207, .05: .713603, .1: .531004, .2: .278072} {
		pl := planner(t, sequence.Problem{Prior: []float64{1, 1}, Tests: []sequence.Test{sequence.Dense(1, [][]float64{{1 - p, p}, {p, 1 - p}})}})
		near(t, "the gain", pl.Try(pl.Start(0), 0).Bits, want, 1e-6)
	}
}
