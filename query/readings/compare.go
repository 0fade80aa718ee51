package readings

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Precision says how well meters agree that have read the same thing, each more
// than once: the terms are those of ISO 5725-2, with laboratories for meters.
type Precision struct {
	Mean       float64
	Repeat     float64 // standard deviation of one meter's readings
	Reproduce  float64 // standard deviation of readings by different meters
	Consistent []Consistency
}

// Consistency is how one meter lies among the others, by Mandel's statistics.
type Consistency struct {
	H, K           float64 // its mean off the others', its spread over theirs
	LimitH, LimitK float64 // beyond which chance goes once in 200 times
}

// Stray reports whether the meter lies beyond a limit.
func (c Consistency) Stray() bool { return math.Abs(c.H) > c.LimitH || c.K > c.LimitK }

// ComparePrecision takes the readings of each meter; at least two meters, each
// with at least two readings. It follows ISO 5725-2, 7.4, of which ASTM E691 is
// the case of equally many readings each.
func ComparePrecision(meters [][]float64) (Precision, bool) {
	if len(meters) < 2 {
		return Precision{}, false
	}
	means := make([]float64, len(meters))
	sds := make([]float64, len(meters))
	var total, inside, all, squares float64
	for i, list := range meters {
		if len(list) < 2 {
			return Precision{}, false
		}
		n := float64(len(list))
		means[i], sds[i] = plain(list)
		all += n
		squares += n * n
		total += n * means[i]
		inside += (n - 1) * sds[i] * sds[i]
	}
	p := float64(len(meters))
	out := Precision{Mean: total / all, Repeat: math.Sqrt(inside / (all - p))}
	between := 0.0
	for i, list := range meters {
		between += float64(len(list)) * (means[i] - out.Mean) * (means[i] - out.Mean) / (p - 1)
	}
	each := (all - squares/all) / (p - 1)
	more := max(0, (between-out.Repeat*out.Repeat)/each)
	out.Reproduce = math.Sqrt(out.Repeat*out.Repeat + more)
	out.Consistent = consistency(meters, means, sds)
	return out, true
}

func consistency(meters [][]float64, means, sds []float64) []Consistency {
	p := float64(len(meters))
	middle, spread := plain(means)
	within := 0.0
	for _, sd := range sds {
		within += sd * sd / p
	}
	list := make([]Consistency, len(meters))
	for i := range meters {
		list[i] = Consistency{
			H: (means[i] - middle) / spread, K: sds[i] / math.Sqrt(within),
			LimitH: limitH(p), LimitK: limitK(p, float64(len(meters[i]))),
		}
	}
	return list
}

// oneIn200 is the level at which ASTM E691 draws the line.
const oneIn200 = 0.005

// limitH and limitK are the critical values of Mandel's statistics (ISO 5725-2,
// 8.3; the forms by Wilrich).
func limitH(p float64) float64 {
	if p < 3 {
		return math.Inf(1) // two meters lie equally far off their middle
	}
	t := distuv.StudentsT{Sigma: 1, Nu: p - 2}.Quantile(1 - oneIn200/2)
	return (p - 1) * t / math.Sqrt(p*(t*t+p-2))
}

func limitK(p, n float64) float64 {
	f := distuv.F{D1: n - 1, D2: (p - 1) * (n - 1)}.Quantile(1 - oneIn200)
	return math.Sqrt(p / (1 + (p-1)/f))
}

// Consensus is what several say together of one value.
type Consensus struct {
	Value   float64
	Error   float64 // standard error of Value
	Between float64 // standard deviation by which they differ beyond what each states
}

// Agree takes what several say, each with the variance of what it says, by the
// method of Mandel and Paule (1982): those that are surer weigh more, the less so
// the more they differ.
func Agree(values, variances []float64) Consensus {
	q := func(between float64) (Consensus, float64) {
		weights, sum := 0.0, 0.0
		for i, v := range values {
			w := 1 / (variances[i] + between)
			weights += w
			sum += w * v
		}
		mean, excess := sum/weights, 0.0
		for i, v := range values {
			excess += (v - mean) * (v - mean) / (variances[i] + between)
		}
		return Consensus{mean, math.Sqrt(1 / weights), math.Sqrt(between)}, excess - float64(len(values)-1)
	}
	c, excess := q(0)
	if excess <= 0 || len(values) < 2 {
		return c
	}
	_, spread := plain(values)
	low, high := 0.0, spread*spread
	for range 100 {
		between := (low + high) / 2
		if c, excess = q(between); excess > 0 {
			low = between
		} else {
			high = between
		}
	}
	return c
}
