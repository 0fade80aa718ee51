package readings

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"
)

// Data of the Analytical Methods Committee (1989), as in Venables and Ripley,
// Modern Applied Statistics with S, whose values for Huber's proposal 2 with 1.5
// are 3.205498 and 0.673652, and 11.731517 and 5.258493.
var (
	copper = []float64{2.20, 2.20, 2.40, 2.40, 2.50, 2.70, 2.80, 2.90, 3.03, 3.03, 3.10, 3.37, 3.40, 3.40, 3.40, 3.50, 3.60, 3.70, 3.70, 3.70, 3.70, 3.77, 5.28, 28.95}
	nickel = []float64{5.2, 6.5, 6.9, 7, 7, 7, 7.4, 8, 8, 8, 8, 8.5, 9, 9, 10, 11, 11, 12, 12, 13.7, 14, 14, 14, 16, 17, 17, 18, 24, 28, 34, 125}
)

func TestRobust(t *testing.T) {
	mean, sd := Robust(slices.Clone(copper))
	near(t, "copper, mean", mean, 3.205498, 1e-5)
	near(t, "copper, sd", sd, 0.673652, 1e-5)
	mean, sd = Robust(slices.Clone(nickel))
	near(t, "nickel, mean", mean, 11.731517, 1e-4)
	near(t, "nickel, sd", sd, 5.258493, 1e-4)
	mean, sd = Robust([]float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 100}) // worked out with another program
	near(t, "one far off, mean", mean, 6.091269, 1e-3)
	near(t, "one far off, sd", sd, 3.941794, 1e-3)
}

func TestRobustOfFew(t *testing.T) {
	for _, c := range []struct {
		values   []float64
		mean, sd float64
	}{{[]float64{3}, 3, 0}, {[]float64{1, 3}, 2, math.Sqrt2}, {[]float64{2, 2, 2, 2, 9}, 2, 0}, {[]float64{2, 2, 5}, 3, math.Sqrt(3)}} {
		if mean, sd := Robust(slices.Clone(c.values)); mean != c.mean || math.Abs(sd-c.sd) > 1e-15 {
			t.Errorf("%v: %g, %g", c.values, mean, sd)
		}
	}
}

// With a standard deviation that is known, of few values the one far off counts
// as 1.5 of them: (2 + 2.1 + 2.1+1.5·0.1)/3 by hand, settled at where that holds.
func TestRobustAtKnownSpread(t *testing.T) {
	mean, _ := robustAt([]float64{2, 50, 2.1}, 0.1)
	near(t, "mean", mean, (2+2.1+mean+0.15)/3, 1e-6)
	near(t, "mean", mean, 2.125, 1e-6)
}

// The key comparison CCQM-K30 (lead in wine, Hearn and others 2008): all eleven
// results, two of which the experts left out to get their reference of 2.99 with
// an uncertainty of 0.06.
func TestRobustAgreesWithExperts(t *testing.T) {
	mean, _ := Robust([]float64{1.620, 2.893, 2.936, 2.940, 2.960, 2.980, 3.000, 3.001, 3.070, 3.130, 7.710})
	near(t, "lead in wine", mean, 2.99, 0.005)
}

// Univariate sets of the NIST Statistical Reference Datasets: NumAcc1 to 4 by
// their rule, Mavro and Michelso in full, with the certified mean and standard
// deviation. The last two of NumAcc cannot be had to more than eight digits in
// float64; a plain sum of squares would give none.
func TestPlainAgainstCertified(t *testing.T) {
	check := func(name string, values []float64, wantMean, wantSD, digits float64) {
		mean, sd := plain(values)
		near(t, name+", mean", mean, wantMean, 1e-14*wantMean)
		near(t, name+", sd", sd, wantSD, digits*wantSD)
	}
	check("NumAcc1", []float64{10000001, 10000003, 10000002}, 10000002, 1, 1e-15)
	for name, first := range map[string]float64{"NumAcc2": 1.2, "NumAcc3": 1000000.2, "NumAcc4": 10000000.2} {
		values := []float64{first}
		for range 500 {
			values = append(values, math.Round(first*10-1)/10, math.Round(first*10+1)/10)
		}
		check(name, values, first, 0.1, 1e-8)
	}
	for _, set := range certified {
		check(set.name, set.values, set.mean, set.sd, 1e-9)
	}
}

func TestMedian(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for n := 1; n < 150; n++ {
		for range 50 {
			values := make([]float64, n)
			for i := range values {
				values[i] = float64(rng.IntN(1 + n/3)) // few different ones, as meters show
			}
			sorted := slices.Sorted(slices.Values(values))
			want := (sorted[(n-1)/2] + sorted[n/2]) / 2
			if got := medianOf(values); got != want {
				t.Fatalf("%v: %g, want %g", sorted, got, want)
			}
			near(t, "mean", stat.Mean(values, nil), stat.Mean(sorted, nil), 1e-12) // nothing is lost
		}
	}
	if !math.IsNaN(medianOf(nil)) {
		t.Error("the median of nothing is a number")
	}
	none := make([]float64, 100)
	for i := range none {
		none[i] = math.NaN()
	}
	if !math.IsNaN(medianOf(none)) { // and it ends
		t.Error("the median of no numbers is a number")
	}
}
