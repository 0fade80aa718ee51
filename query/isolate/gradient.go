package isolate

import (
	"fmt"
	"math"
	"slices"

	"netlore/query/trace"
)

// Gradient is a reading in milliohms between a place of the rail and ground, after
// others by the same meter in the same state: the short is where the resistance is
// lowest, and it grows with the way. Of the readings r together,
//
//	r(i) = c + s way(i, f) + error
//
// where c is what the short and the leads have, and s by how much the ways are
// longer than they were said to be. Both are integrated out:
//
//	P(r | f) ∝ Σ_s p(s) ∫ p(c) Π_i ((1-wrong) N(r(i) - c - s way(i, f); σ(i)) + wrong/u(r(i))) dc
//
// with p(c) ∝ 1/(c + c0), so that from some milliohms on each factor is as likely,
// u the density of a reading by the same law, and σ(i)² = sigma(i)² + (τ s way)², for
// ways are not known exactly either. What the last reading tells is the ratio of that with it
// and without it. A fault of which the way is not known may be anywhere
// on its copper: it has the mean of the parts there, and a zone that of its
// parts. Readings of ground, of another meter or another state say nothing here.
type Gradient struct {
	Short
	Before []Tip // the readings before it, of which the ways are told alike
	Tip
}

// Tip is a reading in ohms, and how far it is from there to whatever may be bad.
type Tip struct {
	Point       int // where it was, by any number
	Ohms, Sigma float64
	Ways        Ways
	Parts, Pads []float64 // by part and pad of the device; NaN if it is not known
}

// Ways is what tells how far it is along the rail.
type Ways uint8

// The ways.
const (
	Solved   Ways = iota // ohms, from the copper that is drawn
	Straight             // mm from place to place
	Counted              // parts and joints on the way, so that hardly more than the order counts
)

// scale is from how little to how much one of a way can be in ohms, and how wrong a
// way is: common practice, without a source. A track 1 mm wide of an ounce has half
// a milliohm a mm, a plane hardly anything.
func (w Ways) scale() (least, most, wrong float64) {
	switch w {
	case Solved:
		return .5, 2, .1
	case Straight:
		return .02e-3, 5e-3, .3
	}
	return .5e-3, 50e-3, .5
}

func (g *Gradient) asks(c *Case) []string {
	return append(g.Short.asks(c), measured(g.Point, g.At, &g.State))
}

// measured is the question for the milliohms at a point.
func measured(point int, at []trace.Place, s *State) string {
	return fmt.Sprint("ohms ", point, question(at, s))
}

func (g *Gradient) answers() string { return fmt.Sprint(g.Ohms) }

func (g *Gradient) weigh(c *Case) (likelihood, right []float64) {
	l, right := g.Short.weigh(c)
	before, after := g.fit(c, g.Before), g.fit(c, append(slices.Clip(g.Before), g.Tip))
	e := c.rates.Reading
	for f, flows := range c.conducts(g.At, &g.State) {
		if c.faults[f].Kind == Elsewhere || flows == 0 {
			continue
		}
		more := after[f] / before[f]
		l[f] = flows*(1-e.Miss)*more + (1-flows)*e.Alarm
		right[f] = flows * (1 - e.Miss) * max(more-c.rates.Milliohms, 0) / l[f]
	}
	return l, right
}

// fit is how much likelier some readings are with each fault than if they told
// nothing.
func (g *Gradient) fit(c *Case, tips []Tip) []float64 {
	m := newFitting(tips, c.rates.Milliohms)
	parts, pads := make([]float64, len(g.Parts)), make([]float64, len(g.Pads))
	for i := range parts {
		parts[i] = m.fit(func(t *Tip) float64 { return t.Parts[i] })
	}
	for i := range pads {
		pads[i] = m.fit(func(t *Tip) float64 { return t.Pads[i] })
	}
	around := c.around(parts)
	all := make([]float64, len(c.faults))
	for f := range c.faults {
		all[f] = c.fitOf(&c.faults[f], &g.State, parts, pads, around)
	}
	return all
}

// fitOf is the mean over the sites of a fault.
func (c *Case) fitOf(f *Fault, s *State, parts, pads []float64, around map[any]float64) float64 {
	sum, n := 0.0, 0.0
	for i := range f.Sites {
		x := &f.Sites[i]
		if !x.there(s) {
			continue
		}
		fit := math.NaN()
		switch {
		case x.Part != None:
			fit = parts[x.Part]
		case f.Kind == Bridge:
			fit = pads[f.Pads[0]]
		}
		for _, where := range []any{zone{x.At, x.Spot.Board, x.Spot.Side, x.Spot.Cover, x.Spot.Inside}, x.At, nil} {
			if mean, ok := around[where]; ok && math.IsNaN(fit) {
				fit = mean
			}
		}
		sum, n = sum+fit, n+1
	}
	if n == 0 || math.IsNaN(sum) {
		return 1
	}
	return sum / n
}

// around is the mean of the parts of which the way is known, of each zone, of each
// piece of copper, and, at nil, of all.
func (c *Case) around(parts []float64) map[any]float64 {
	sums, n := map[any]float64{}, map[any]float64{}
	for i, fit := range parts {
		x := &c.device.Parts[i]
		if math.IsNaN(fit) || len(x.At) == 0 {
			continue
		}
		for _, where := range []any{x.zone(), x.At[0], nil} {
			sums[where] += fit
			n[where]++
		}
	}
	for where := range sums {
		sums[where] /= n[where]
	}
	return sums
}
