package isolate_test

import (
	"math/rand/v2"
	"testing"

	"netlore/query/isolate"
	"netlore/query/isolate/play"
)

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
		n := 4 + r.IntN(8)
		d := play.Stack(r, play.Size{Parts: 10 * n, Pads: 3 * n, Branches: n})
		pieces := play.Pieces(d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil))
		f, err := play.TapeAlone(t.Context(), d, pieces, 1e8)
		if err != nil {
			t.Fatal(err)
		}
		if f.Took > 1.3*f.Entropy+1e-9 && !f.Solved {
			t.Errorf("seed %d: %v tests, the entropy is %v", seed, f.Took, f.Entropy)
		}
		if f.Solved {
			proved, took, least = proved+1, took+f.Took, least+f.Least
		}
		entropy += f.Took / f.Entropy
	}
	t.Logf("%d stacks, %d solved: %.4f times the best plans, %.3f times the entropy", stacks, proved, took/least, entropy/float64(stacks))
	if proved < stacks/2 || took > 1.15*least || took < least-1e-9 {
		t.Errorf("%d of %d solved: %v tests where the best plans take %v", proved, stacks, took, least)
	}
}
