package readings

import (
	"math"
	"testing"
)

// Glucose in serum, materials A, D and E of eight laboratories with three
// results each: the example of ASTM E691 (data as in a public data set of it).
// Repeatability, reproducibility, h and k are those of the standard's tables,
// checked with another program; critical values 2.15 and 2.06.
func TestPrecisionOfGlucose(t *testing.T) {
	a := [][]float64{{41.03, 41.45, 41.37}, {41.17, 42.00, 41.15}, {41.01, 40.68, 42.66}, {39.37, 42.37, 42.63}, {41.88, 41.19, 41.32}, {43.28, 40.50, 42.28}, {41.08, 41.27, 39.02}, {43.36, 42.65, 41.72}}
	p, ok := ComparePrecision(a)
	if !ok {
		t.Fatal("not compared")
	}
	near(t, "A mean", p.Mean, 41.5183, 1e-4)
	near(t, "A repeatability", p.Repeat, 1.0632, 1e-4)
	near(t, "A reproducibility", p.Reproduce, 1.0632, 1e-4)
	h := []float64{-.39, -.13, -.11, -.10, -.09, .83, -1.75, 1.75}
	k := []float64{.21, .46, 1.00, 1.70, .34, 1.32, 1.17, .77}
	for i, c := range p.Consistent {
		near(t, "A h", c.H, h[i], 5.001e-3)
		near(t, "A k", c.K, k[i], 5.001e-3)
		near(t, "limit of h", c.LimitH, 2.1525, 1e-4)
		near(t, "limit of k", c.LimitK, 2.0608, 1e-4)
		if c.Stray() {
			t.Errorf("A: laboratory %d is said to be off", i+1)
		}
	}
	e := [][]float64{{292.78, 294.09, 292.89}, {292.27, 309.40, 295.08}, {295.53, 290.14, 292.34}, {295.19, 295.44, 296.83}, {293.93, 292.48, 294.28}, {297.74, 296.80, 290.33}, {287.29, 293.76, 289.36}, {298.46, 295.28, 296.12}}
	p, _ = ComparePrecision(e)
	near(t, "E mean", p.Mean, 294.4921, 1e-4)
	near(t, "E repeatability", p.Repeat, 3.9350, 1e-4)
	near(t, "E reproducibility", p.Reproduce, 4.1923, 1e-4)
	near(t, "E k of laboratory 2", p.Consistent[1].K, 2.33, 5e-3)
	if !p.Consistent[1].Stray() {
		t.Error("E: laboratory 2 is not said to be off")
	}
	d := [][]float64{{193.71, 193.59, 193.65}, {190.88, 200.14, 194.30}, {192.71, 193.28, 190.28}, {195.85, 196.36, 199.43}, {192.59, 191.44, 195.12}, {195.34, 198.26, 198.13}, {194.66, 191.99, 187.13}, {197.56, 195.99, 200.82}}
	p, _ = ComparePrecision(d)
	near(t, "D repeatability", p.Repeat, 2.6251, 1e-4)
	near(t, "D reproducibility", p.Reproduce, 3.3657, 1e-4)
	near(t, "D k of laboratory 2", p.Consistent[1].K, 1.78, 5e-3)
	near(t, "D h of laboratory 7", p.Consistent[6].H, -1.33, 5e-3)
}

// Sulfur in coal, level 1 of ISO 5725-2, annex B: 0.690, 0.015 and 0.026.
func TestPrecisionOfSulfur(t *testing.T) {
	p, _ := ComparePrecision([][]float64{{.71, .71, .70, .71}, {.69, .67, .68}, {.66, .65, .69}, {.67, .65, .66}, {.70, .69, .66, .71, .69}, {.73, .74, .73}, {.71, .71, .69}, {.70, .65, .68}})
	near(t, "mean", p.Mean, .690370, 1e-6)
	near(t, "repeatability", p.Repeat, .0151165, 1e-6)
	near(t, "reproducibility", p.Reproduce, .0263638, 1e-6)
}

func TestPrecisionNeedsMeters(t *testing.T) {
	for _, few := range [][][]float64{nil, {{1, 2}}, {{1, 2}, {3}}} {
		if _, ok := ComparePrecision(few); ok {
			t.Errorf("%v can be compared", few)
		}
	}
	if p, _ := ComparePrecision([][]float64{{1, 2}, {3, 4}}); p.Consistent[0].Stray() || !math.IsInf(p.Consistent[0].LimitH, 1) {
		t.Errorf("which of two is off cannot be told: %+v", p.Consistent)
	}
}

// Worked examples of meta-analysis: DerSimonian and Kacker (2007), CLASP, tables 3
// and 4; Normand (1999); Hine (1989), where nothing lies between; dietary fibre in
// apricots (Li and Cardozo 1994; Rukhin and others 2000), by laboratory. The values
// that are not the papers' were had with the package metafor for R, which finds
// the variance between to about 1.2e-4. What the method asks for, that the excess
// is nothing, is held to more digits.
func TestAgree(t *testing.T) {
	for _, c := range []struct {
		name                  string
		values, variances     []float64
		value, err, tau2, tol float64
	}{
		{"CLASP", []float64{-1.297629, -1.264877, .120792, -.329377, -.200671, -.128534}, []float64{.346774, .265676, .198390, .026477, .223297, .006499}, -.381062, .205990, .368069 * .368069, 1e-5},
		{"Normand", []float64{-20, -2, -55, -71, -4, 1, 11, -10, 7}, []float64{40.5863, 2.0468, 15.2809, 150.2222, 20.1923, 1.2235, 95.3756, 8.0321, 20.6936}, -15.15989, math.NaN(), 728.1415, 1e-3},
		{"Hine", []float64{2.8026, 0, 1.9711, 1.7961, 3.5334, 4.4031}, []float64{17.7575, 37.5657, 8.1323, 10.8998, 8.0114, 6.1320}, 2.9444, (5.5058 - .3831) / 2 / 1.959964, 0, 1e-4},
		{"lead in wine", []float64{2.893, 2.936, 2.940, 2.960, 2.980, 3.000, 3.001, 3.070, 3.130}, squares(.02065728, .0125, .0165, .0333333, .10050251, .050, .068, .085, .060), 2.968550, .022797, .052172 * .052172, 1.2e-4},
	} {
		got := Agree(c.values, c.variances)
		holdsMandelPaule(t, c.name, c.values, c.variances, got)
		near(t, c.name+", value", got.Value, c.value, c.tol)
		near(t, c.name+", between", got.Between*got.Between, c.tau2, c.tol)
		if !math.IsNaN(c.err) {
			near(t, c.name+", error", got.Error, c.err, c.tol)
		}
	}
	fibre := [][2]float64{{25.05, 25.58}, {26.29, 27.16}, {27.64, 28.14}, {29.01, 26.39}, {26.99, 27.85}, {24.45, 24.15}, {26.85, 27.37}, {27.21, 27.34}, {25.31, 25.43}}
	var values, variances []float64
	for _, pair := range fibre {
		mean, sd := plain(pair[:])
		values, variances = append(values, mean), append(variances, sd*sd/2)
	}
	got := Agree(values, variances)
	holdsMandelPaule(t, "fibre", values, variances, got)
	near(t, "fibre, value", got.Value, 26.478985, 1e-4)
	near(t, "fibre, between", got.Between*got.Between, 1.454916, 1.2e-4)
	near(t, "fibre, error", got.Error, .424372, 1e-4)
}

// holdsMandelPaule checks the defining equation: the weighted squares off the
// value add up to one less than there are values.
func holdsMandelPaule(t *testing.T, name string, values, variances []float64, got Consensus) {
	t.Helper()
	sum := 0.0
	for i, v := range values {
		sum += (v - got.Value) * (v - got.Value) / (variances[i] + got.Between*got.Between)
	}
	if got.Between > 0 {
		near(t, name+", sum of squares", sum, float64(len(values)-1), 1e-9)
	} else if sum > float64(len(values)-1) {
		t.Errorf("%s: nothing between, and a sum of %g", name, sum)
	}
}

func squares(sds ...float64) []float64 {
	for i := range sds {
		sds[i] *= sds[i]
	}
	return sds
}
