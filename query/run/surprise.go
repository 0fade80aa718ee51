package run

import (
	"fmt"
	"math"

	"netlore/query/readings"
	"netlore/query/value"
	"netlore/store/board"
)

// difference is the reading less what it is compared with, if there is one
// number of each.
func difference(r *board.Reading, base []board.Expected) value.Value {
	if len(base) != 1 || base[0].Open || r.Outcome != board.Measured || !r.Value.SameUnit(base[0].Value) {
		return value.Nothing()
	}
	less := base[0].Value
	less.Coef = -less.Coef
	sum, ok := r.Value.Add(less)
	if !ok {
		return value.Nothing()
	}
	return value.OfQuantity(sum)
}

// surprise is how many times the tolerance a reading is off; what is open or
// shorted and should not be is beyond all numbers, and what cannot be told comes
// last.
func surprise(r *board.Reading, expected, base []board.Expected, set readings.Verdicts) float64 {
	v, sure := set.Sole()
	switch {
	case len(expected) > 0 && sure && (v == readings.Shorted || v == readings.Open):
		return math.Inf(1)
	case readings.Reversed(r.Mode, r.BlackGround),
		len(base) != 1 || base[0].Open || r.Outcome != board.Measured || !r.Value.SameUnit(base[0].Value):
		return -1
	}
	off := r.Value.Float() - base[0].Value.Float()
	width := math.Abs(base[0].Value.Float()) * usualShare
	if len(expected) == 1 && !expected[0].Open {
		if low, high, ok := expected[0].Within.Bounds(expected[0].Value); ok {
			width = max(high.Float()-expected[0].Value.Float(), expected[0].Value.Float()-low.Float())
		}
	}
	return math.Abs(off) / max(width, math.SmallestNonzeroFloat64)
}

// usualShare is how far off counts as much where no tolerance is known (common
// practice, no source).
const usualShare = 0.1

// remarkOn says what a low reading in diode mode may come from, or why there is
// no one verdict.
func remarkOn(r *board.Reading, expected []board.Expected, why string, meter *board.Meter) value.Value {
	if why != "" {
		return value.OfText(why)
	}
	if len(expected) == 1 && !expected[0].Open && r.Mode == board.Diode && r.Outcome == board.Measured {
		if text := leakText(r.Value, expected[0], meter); text != "" {
			return value.OfText(text)
		}
	}
	return value.Nothing()
}

// leakText is the leak that would explain a reading below the tolerance, at the
// test current of its meter, else at those that meters have. What is lost in the
// leads is taken off, where they are stated.
func leakText(read board.Quantity, e board.Expected, meter *board.Meter) string {
	low, _, ok := e.Within.Bounds(e.Value)
	if !ok || read.Compare(low) >= 0 {
		return ""
	}
	slack := e.Value.Float() - low.Float()
	least, most := math.Inf(1), 0.0
	currents, at := []float64{leastAmps, mostAmps}, ""
	if meter.Test.Known() {
		currents, at = []float64{meter.Test.Float()}, fmt.Sprintf(", at the %s of %s", meter.Test, meter.Name)
	}
	for _, amps := range currents {
		source, lost := readings.Source{Amps: amps, Open: meter.Open.Float()}, amps*meter.Leads.Float()
		if leak, ok := readings.Leak(max(0, read.Float()-lost), e.Value.Float()-lost, slack, source, roomCelsius); ok {
			least, most = min(least, leak.Low), max(most, leak.High)
		}
	}
	switch {
	case math.IsInf(least, 1):
		return ""
	case math.IsInf(most, 1) || most > 1e6:
		return fmt.Sprintf("reads like %s to ground, or more%s", ohms(least), at)
	}
	text := ohms(least)
	if high := ohms(most); high != text {
		text += " to " + high
	}
	return fmt.Sprintf("reads like %s to ground%s", text, at)
}

// The test currents of diode mode that makers of meters state lie between
// these.
const (
	leastAmps   = 0.5e-3
	mostAmps    = 1.5e-3
	roomCelsius = 25
)

// ohms gives a resistance to two digits.
func ohms(r float64) string {
	exp := int(math.Floor(math.Log10(max(r, 1e-3)))) - 1
	q, _ := board.NewQuantity(int64(math.Round(r/math.Pow10(exp))), exp, board.Ohm)
	return q.String()
}

// Point is a row of a comparison as numbers in the unit of its mode; NaN is what
// is not known, +Inf is open.
type Point struct {
	Name      string
	Mode      board.Mode
	Read      float64
	Value     float64 // expected
	Low, High float64 // the tolerance
	// Beside is what it is compared with, else what good boards read there.
	Beside []float64
}

// Largest is the largest of all numbers that are drawn of a place, 0 if there is none;
// open is no number.
func (p *Point) Largest() (most float64) {
	for _, v := range append([]float64{p.Read, p.Value, p.High}, p.Beside...) {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			most = max(most, v)
		}
	}
	return most
}

func (c *comparison) points() []Point {
	var all []Point
	for _, r := range c.rows {
		all = append(all, r.point)
	}
	return all
}

// numbersRead are what readings showed; open is +Inf, and what is neither is left out.
func numbersRead(list []*board.Reading) (all []float64) {
	for _, e := range asExpected(list) {
		if e.Open {
			all = append(all, math.Inf(1))
		} else {
			all = append(all, e.Value.Float())
		}
	}
	return all
}

func pointOf(name string, r *board.Reading, expected []board.Expected) Point {
	p := Point{Name: name, Mode: r.Mode, Read: math.NaN(), Value: math.NaN(), Low: math.NaN(), High: math.NaN()}
	switch {
	case r.Outcome == board.Open:
		p.Read = math.Inf(1)
	case r.Outcome == board.Measured:
		p.Read = r.Value.Float()
	}
	if len(expected) != 1 {
		return p
	}
	e := expected[0]
	if e.Open {
		p.Value = math.Inf(1)
		return p
	}
	p.Value = e.Value.Float()
	if low, high, ok := e.Within.Bounds(e.Value); ok {
		p.Low, p.High = low.Float(), high.Float()
	}
	return p
}
