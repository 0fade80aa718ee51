package readings

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// Spread is a variance with the degrees of freedom that it rests on.
type Spread struct {
	Variance float64
	Freedom  float64 // may be infinite; 0 if nothing is known
}

// SD is the standard deviation.
func (s Spread) SD() float64 { return math.Sqrt(s.Variance) }

// with is two spreads taken together, each by its degrees of freedom.
func (s Spread) with(o Spread) Spread {
	switch {
	case math.IsInf(s.Freedom, 1):
		return s
	case math.IsInf(o.Freedom, 1):
		return o
	case s.Freedom+o.Freedom == 0:
		return Spread{}
	}
	freedom := s.Freedom + o.Freedom
	return Spread{(s.Variance*s.Freedom + o.Variance*o.Freedom) / freedom, freedom}
}

// plus is the spread of a sum, its freedom by Welch and Satterthwaite.
func (s Spread) plus(o Spread) Spread {
	variance := s.Variance + o.Variance
	if o.Variance == 0 || variance == 0 {
		return Spread{variance, s.Freedom}
	}
	lost := s.Variance*s.Variance/s.Freedom + o.Variance*o.Variance/o.Freedom
	return Spread{variance, variance * variance / lost}
}

// commonSpread is what the spreads of many nets say about that of any other
// one: the prior of G. K. Smyth (2004, Linear models and empirical Bayes
// methods, 6.2), a scaled chi-square. Nets that differ far more than the rest
// are left out first. It is the zero Spread if there are fewer than
// enoughNets.
func commonSpread(nets []Spread) Spread {
	nets = slices.DeleteFunc(slices.Clone(nets), func(s Spread) bool { return s.Freedom <= 0 || s.Variance <= 0 })
	if len(nets) < enoughNets {
		return Spread{}
	}
	middle := middleVariance(nets)
	usual := slices.DeleteFunc(nets, func(s Spread) bool { return apart(s, Spread{middle, math.Inf(1)}) })
	return priorOf(usual)
}

const enoughNets = 8

// middleVariance is robust: the median of the nets' own, each over the median
// that chance gives to a variance of its degrees of freedom.
func middleVariance(nets []Spread) float64 {
	medians := map[float64]float64{}
	all := make([]float64, len(nets))
	for i, s := range nets {
		m, ok := medians[s.Freedom]
		if !ok {
			m = distuv.ChiSquared{K: s.Freedom}.Quantile(0.5) / s.Freedom
			medians[s.Freedom] = m
		}
		all[i] = s.Variance / m
	}
	return medianOf(all)
}

// apart reports whether a variance is larger than chance makes it from the
// usual one, but for once in a thousand nets.
func apart(s, usual Spread) bool {
	if s.Freedom <= 0 || usual.Freedom <= 0 || s.Variance <= usual.Variance {
		return false
	}
	if math.IsInf(usual.Freedom, 1) {
		return distuv.ChiSquared{K: s.Freedom}.Survival(s.Freedom*s.Variance/usual.Variance) < rare
	}
	return distuv.F{D1: s.Freedom, D2: usual.Freedom}.Survival(s.Variance/usual.Variance) < rare
}

// rare is how seldom chance may do what is held against a reading.
const rare = 0.001

// priorOf fits the scaled chi-square to the logarithms of variances.
func priorOf(nets []Spread) Spread {
	n := float64(len(nets))
	logs := make([]float64, len(nets))
	mean, noise := 0.0, 0.0
	for i, s := range nets {
		half := s.Freedom / 2
		logs[i] = math.Log(s.Variance) - mathext.Digamma(half) + math.Log(half)
		mean += logs[i] / n
		noise += trigamma(half) / n
	}
	squares := 0.0
	for _, l := range logs {
		squares += (l - mean) * (l - mean)
	}
	more := squares/(n-1) - noise
	if more <= 0 { // they differ by no more than chance
		return Spread{math.Exp(mean), math.Inf(1)}
	}
	half := trigammaInverse(more)
	return Spread{math.Exp(mean + mathext.Digamma(half) - math.Log(half)), 2 * half}
}

func trigamma(x float64) float64 { return mathext.Zeta(2, x) }

// trigammaInverse is by Newton's method on its reciprocal, which is nearly a
// straight line (Smyth 2004, appendix).
func trigammaInverse(y float64) float64 {
	switch {
	case y > 1e7:
		return 1 / math.Sqrt(y)
	case y < 1e-6:
		return 1 / y
	}
	x := 0.5 + 1/y
	for range 50 {
		tri := trigamma(x)
		tetra := -2 * mathext.Zeta(3, x)
		step := tri * (1 - tri/y) / tetra
		if x += step; -step/x < 1e-10 {
			break
		}
	}
	return x
}
