package isolate

import (
	"fmt"
	"math"
	"slices"

	"netlore/query/isolate/sequence"
	"netlore/query/trace"
)

// Point is a place along the rail where milliohms can be read. The ways from those
// of one piece of copper are told alike; of the Tip no reading is set.
type Point struct {
	Tip
	At   trace.Place // the piece of copper
	Half int         // None if the device is of one board
	Spot Spot
}

// Where a reading is lowest if ways differ by so much of the longest: the nearest
// place reads lowest mostly. Common practice, without a source.
const nearly = .1

// measures are readings in milliohms at all points of a piece of copper that can be
// reached as the device is: that which reads lowest is nearest.
func (k *candidates) measures() {
	if !k.bench.Milliohms {
		return
	}
	var order []trace.Place
	on := map[trace.Place][]int{}
	for i := range k.device.Points {
		p := &k.device.Points[i]
		if !k.device.IsOpen(&p.Spot, &k.state) || k.asked[measured(p.Point, []trace.Place{p.At}, &k.state)] {
			continue
		}
		if on[p.At] == nil {
			order = append(order, p.At)
		}
		on[p.At] = append(on[p.At], i)
	}
	for _, at := range order {
		if points := on[at]; len(points) > 2 {
			t := Test{Kind: MeasureIt, At: []trace.Place{at}, Half: k.device.Points[points[0]].Half, Points: points, State: k.state, Cost: k.bench.Costs.Measure}
			k.all = append(k.all, candidate{t, k.lowest(&t)})
		}
	}
}

// lowest is what readings at some points tell: outcome 0 is that none shows a short,
// each other one which of them is lowest.
func (k *candidates) lowest(t *Test) sequence.Test {
	n := len(t.Points)
	x := sequence.Test{Cost: k.bench.Costs.price(t.Cost), Outcomes: n + 1, Class: make([]uint16, len(k.faults))}
	classes := map[string]uint16{}
	flows := k.conducts(t.At, &t.State)
	for f := range k.faults {
		seen := k.rates.Reading.chance(flows[f])
		if k.faults[f].Kind == Elsewhere {
			seen = .5
		}
		near := k.nearest(&k.faults[f], t.Points)
		key := fmt.Sprint(seen, near)
		class, ok := classes[key]
		if !ok {
			class = uint16(len(x.Rows))
			classes[key] = class
			var row []sequence.Chance
			if seen < 1 {
				row = append(row, sequence.Chance{Outcome: 0, P: 1 - seen})
			}
			for i, p := range near {
				if p > 0 && seen > 0 {
					row = append(row, sequence.Chance{Outcome: i + 1, P: seen * p})
				}
			}
			x.Rows = append(x.Rows, row)
		}
		x.Class[f] = class
	}
	return x
}

// nearest is how likely each of some points reads lowest with a fault, in twentieths;
// each is as likely if it is not known how far they are.
func (k *candidates) nearest(f *Fault, points []int) []float64 {
	p, ways := make([]float64, len(points)), make([]float64, len(points))
	for i, point := range points {
		ways[i] = k.device.Points[point].far(f)
	}
	least, most := slices.Min(ways), slices.Max(ways)
	if math.IsNaN(least) || most == least {
		for i := range p {
			p[i] = 1 / float64(len(p))
		}
		return p
	}
	wrong, sum := k.rates.Milliohms/float64(len(p)), 0.0
	for i, way := range ways {
		p[i] = math.Round(20*math.Exp((least-way)/(nearly*most)))/20 + wrong
		sum += p[i]
	}
	for i := range p {
		p[i] /= sum
	}
	return p
}

// far is how far it is from a tip to a fault; NaN if that is not known.
func (t *Tip) far(f *Fault) float64 {
	switch {
	case len(f.Sites) > 0 && f.Sites[0].Part != None:
		return t.Parts[f.Sites[0].Part]
	case f.Kind == Bridge:
		return t.Pads[f.Pads[0]]
	}
	return math.NaN()
}
