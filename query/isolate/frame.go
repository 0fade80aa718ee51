package isolate

import (
	"cmp"
	"math"
	"slices"
)

// besideBy is how much further than its nearest neighbour a pad may be to be a
// neighbour, too: less than the diagonal of a square of pads.
const besideBy = 1.3

// bridges are the faults of solder between a pad of the rail and a neighbour on
// ground. Which board it stays on if the boards are taken apart is not known, so
// it is a fault for each.
func (d *Device) bridges() (all []Fault) {
	for a := range d.Pads {
		if len(d.Pads[a].At) == 0 {
			continue
		}
		for _, b := range d.neighbours(a) {
			if !d.Pads[b].Grounded {
				continue
			}
			for _, at := range d.Pads[a].At {
				site := Site{At: at, Part: None, Spot: d.Pads[a].Spot}
				all = append(all, Fault{Kind: Bridge, Sites: []Site{site}, Pads: [2]int{a, b}, Weight: 1})
			}
		}
	}
	return all
}

// neighbours are the pads beside a pad: by their places, else by their order.
func (d *Device) neighbours(a int) (all []int) {
	nearest := math.Inf(1)
	for b := range d.Pads {
		if b != a {
			nearest = min(nearest, d.Pads[a].Spot.away(d.Pads[b].Spot))
		}
	}
	for b := range d.Pads {
		is := d.Pads[a].Spot.away(d.Pads[b].Spot) <= nearest*besideBy
		if math.IsInf(nearest, 1) {
			is = d.follows(a, b) || d.follows(b, a)
		}
		if b != a && is {
			all = append(all, b)
		}
	}
	return all
}

// follows reports whether a pad comes right after another along the frame.
func (d *Device) follows(a, b int) bool { return b == a+1 || d.Ring && a == len(d.Pads)-1 && b == 0 }

// Along is the order of spots along the edges of the box round them, from its
// corner at the least X and Y, first along X: the order in which tape goes round a
// frame, be it of one row or several. It fails if a place is missing.
func Along(spots []Spot) (order []int, ok bool) {
	low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for _, s := range spots {
		if !s.Placed {
			return nil, false
		}
		low[0], low[1] = min(low[0], s.X), min(low[1], s.Y)
		high[0], high[1] = max(high[0], s.X), max(high[1], s.Y)
	}
	at := make([]float64, len(spots))
	for i, s := range spots {
		order = append(order, i)
		at[i] = along(s.X-low[0], s.Y-low[1], high[0]-low[0], high[1]-low[1])
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(at[a], at[b]) })
	return order, true
}

// along is how far along its edges the nearest point of the edges of a box is from
// its corner.
func along(x, y, wide, high float64) float64 {
	switch min(y, wide-x, high-y, x) {
	case y:
		return x
	case wide - x:
		return wide + y
	case high - y:
		return wide + high + wide - x
	}
	return 2*wide + 2*high - y
}
