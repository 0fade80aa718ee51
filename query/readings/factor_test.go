package readings

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// Two-sided factors from the published tables (ISO 16269-6 and others, two
// digits), and to more digits from the integral, worked out with another program.
func TestFactorAgainstTables(t *testing.T) {
	for _, c := range []struct {
		n, content, confidence, table, exact float64
	}{
		{5, .95, .95, 5.08, 5.0769},
		{10, .90, .95, 2.86, 2.8563},
		{10, .95, .95, 3.39, 3.3934},
		{10, .99, .95, 4.44, 4.4369},
		{20, .95, .95, 2.76, 2.7604},
		{30, .95, .95, 2.55, 2.5549},
		{43, .90, .99, math.NaN(), 2.22283},
	} {
		k := Coverage{c.content, c.confidence}.Factor(c.n, c.n-1)
		near(t, "exact", k, c.exact, 1e-3)
		if !math.IsNaN(c.table) {
			near(t, "table", k, c.table, 5e-3+1e-9)
		}
	}
}

// The example of the NIST/SEMATECH handbook, 7.2.6.3: n = 43, 90 % at 99 %, mean
// 97.07 and standard deviation 0.0268 give 97.0106 to 97.1294.
func TestFactorOfHowe(t *testing.T) {
	k := Coverage{.90, .99}.howe(43, 42)
	near(t, "k2", k, 2.2173, 1e-3)
	near(t, "low", 97.07-k*0.0268, 97.0106, 1e-4)
	near(t, "high", 97.07+k*0.0268, 97.1294, 1e-4)
	near(t, "100 values", Coverage{.95, .95}.Factor(100, 99), 2.2339, 2.2339*5e-3)
	near(t, "ten values", Coverage{.95, .95}.howe(10, 9), 3.38191, 1e-4)
}

func TestFactorOfNothing(t *testing.T) {
	if k := Usual.Factor(1, 0); !math.IsInf(k, 1) {
		t.Errorf("one value alone has an interval: %g", k)
	}
	near(t, "known mean and spread", Coverage{.95, .95}.Factor(1e12, math.Inf(1)), 1.959964, 1e-5)
}

// The interval of few values with a spread that many others have lent covers
// what it promises, as often as it promises: by drawing lots, with a fixed seed.
func TestFactorKeepsItsPromise(t *testing.T) {
	for _, freedom := range []int{2, 12, 200} {
		for _, n := range []int{1, 3, 70} {
			keepsPromise(t, n, freedom)
		}
	}
}

func keepsPromise(t *testing.T, n, freedom int) {
	rng := rand.New(rand.NewPCG(7, 7))
	const rounds = 4000
	k := Usual.Factor(float64(n), float64(freedom))
	kept := 0
	for range rounds {
		mean, squares := 0.0, 0.0
		for range n {
			mean += rng.NormFloat64() / float64(n)
		}
		for range freedom {
			z := rng.NormFloat64()
			squares += z * z
		}
		half := k * math.Sqrt(squares/float64(freedom))
		if phi(mean+half)-phi(mean-half) >= Usual.Content {
			kept++
		}
	}
	near(t, fmt.Sprintf("mean of %d, freedom %d: kept", n, freedom), float64(kept)/rounds, Usual.Confidence, 0.015) // three standard errors
}

func phi(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
