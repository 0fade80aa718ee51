package readings

import (
	"math"
	"math/rand/v2"
	"testing"
)

// trigamma(1) is π²/6, trigamma(1/2) is π²/2 (Handbook of Mathematical
// Functions, 6.4.2 and 6.4.4).
func TestTrigamma(t *testing.T) {
	near(t, "1", trigamma(1), math.Pi*math.Pi/6, 1e-12)
	near(t, "1/2", trigamma(.5), math.Pi*math.Pi/2, 1e-12)
	for _, x := range []float64{1e-3, .1, .5, 1, 3, 20, 500} {
		near(t, "inverse", trigammaInverse(trigamma(x)), x, 1e-7*x)
	}
}

// By drawing lots, with a fixed seed: variances that come from a scaled
// chi-square of 10 degrees of freedom around 4, measured with 3 each.
func TestCommonSpread(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	chi := func(k int) (sum float64) {
		for range k {
			z := rng.NormFloat64()
			sum += z * z
		}
		return sum
	}
	nets := make([]Spread, 4000)
	for i := range nets {
		own := 4 * 10 / chi(10)
		nets[i] = Spread{own * chi(3) / 3, 3}
	}
	for i := range 40 { // one in a hundred is a bad board
		nets[i*100].Variance *= 1e4
	}
	got := commonSpread(nets)
	near(t, "variance", got.Variance, 4, 0.4)
	near(t, "freedom", got.Freedom, 10, 2.5)
	if alike := commonSpread([]Spread{{1, 3}, {1, 3}, {1.1, 3}, {.9, 3}, {1, 3}, {1, 3}, {1, 3}, {1, 3}}); !math.IsInf(alike.Freedom, 1) {
		t.Errorf("nets that differ less than chance makes them: %+v", alike)
	}
	if few := commonSpread(nets[1:enoughNets]); few != (Spread{}) {
		t.Errorf("of %d nets: %+v", enoughNets-1, few)
	}
}

// The freedom of two equal variances with 9 each is 18 (Welch's formula, by
// hand); pooled they have 18, too.
func TestSpreads(t *testing.T) {
	a := Spread{2, 9}
	if got := a.plus(a); got != (Spread{4, 18}) {
		t.Errorf("plus: %+v", got)
	}
	if got := a.with(Spread{5, 18}); got != (Spread{4, 27}) {
		t.Errorf("with: %+v", got)
	}
	if got := a.plus(Spread{}); got != a {
		t.Errorf("nothing more: %+v", got)
	}
}
