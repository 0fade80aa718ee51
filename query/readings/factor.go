package readings

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// Coverage says how much an interval promises.
type Coverage struct {
	Content    float64 // share of all good boards that lie in it: 0.95
	Confidence float64 // how surely it is at least that share: 0.9
}

// Usual is what an interval promises if nothing else is asked for.
var Usual = Coverage{Content: 0.95, Confidence: 0.90}

// Factor is the two-sided tolerance factor k: the interval mean ± k·sd covers
// as much as asked for, where the mean has the precision of a mean of n normal
// values and the standard deviation has freedom degrees of freedom. It is
// infinite if either is not above zero.
//
// It solves the defining integral (Wald and Wolfowitz 1946; the form is in ISO
// 16269-6). Where there are many of both it is Howe's approximation (1969), which
// is there within half a percent of it.
func (c Coverage) Factor(n, freedom float64) float64 {
	switch {
	case n <= 0 || freedom <= 0:
		return math.Inf(1)
	case math.IsInf(freedom, 1):
		return c.reach(1 / math.Sqrt(n) * distuv.UnitNormal.Quantile((1+c.Confidence)/2))
	case min(n, freedom) > many:
		return c.howe(n, freedom)
	}
	return c.solve(n, freedom)
}

const many = 60

// howe is the approximation of W. G. Howe (1969), as in the NIST/SEMATECH
// handbook, 7.2.6.3.
func (c Coverage) howe(n, freedom float64) float64 {
	chi := distuv.ChiSquared{K: freedom}.Quantile(1 - c.Confidence)
	return distuv.UnitNormal.Quantile((1+c.Content)/2) * math.Sqrt(freedom*(1+1/n)/chi)
}

// solve halves an interval around Howe's value.
func (c Coverage) solve(n, freedom float64) float64 {
	reaches, weights := c.reaches(n)
	low, high := 0.5*c.howe(n, freedom), 2*c.howe(n, freedom)
	for range 24 { // to seven digits
		k := (low + high) / 2
		if confidence(reaches, weights, k, freedom) < c.Confidence {
			low = k
		} else {
			high = k
		}
	}
	return (low + high) / 2
}

// reaches are nodes and weights over how far the mean of n values may be off.
func (c Coverage) reaches(n float64) (reaches, weights []float64) {
	const nodes, width = 40, 8
	at := make([]float64, nodes)
	weights = make([]float64, nodes)
	quad.Legendre{}.FixedLocations(at, weights, 0, width)
	reaches = make([]float64, nodes)
	for i, z := range at {
		reaches[i] = c.reach(z / math.Sqrt(n))
		weights[i] *= 2 * distuv.UnitNormal.Prob(z)
	}
	return reaches, weights
}

// confidence is how surely mean ± k·sd covers enough.
func confidence(reaches, weights []float64, k, freedom float64) float64 {
	chi := distuv.ChiSquared{K: freedom}
	sum := 0.0
	for i, r := range reaches {
		sum += weights[i] * chi.Survival(freedom*r*r/(k*k))
	}
	return sum
}

// reach is how far an interval has to reach, in true standard deviations to both
// sides of a middle that is off by some of them, to cover the content.
func (c Coverage) reach(off float64) float64 {
	low, high := 0.0, off+10
	for range 60 {
		r := (low + high) / 2
		if distuv.UnitNormal.CDF(off+r)-distuv.UnitNormal.CDF(off-r) < c.Content {
			low = r
		} else {
			high = r
		}
	}
	return (low + high) / 2
}
