package readings

import "math"

// Shift is how far a meter reads above the middle of all.
type Shift struct {
	By     float64
	SD     float64 // how well that is known; 0 if it is not Linked
	Nets   int     // on how many nets it was compared with other meters
	Linked bool    // it is compared, over others perhaps, with the middle
}

// maxRounds is when to stop if the two ways of the fit do not settle before.
const maxRounds = 200

// fitShifts fits net + meter to the cells: in turn the nets' middles and the
// meters' shifts, each robustly, until nothing moves by more than a thousandth
// of the display's last digit or of the residuals.
func fitShifts(cells []cell, setup Setup) []Shift {
	shifts := make([]Shift, setup.Meters)
	if len(cells) == 0 {
		return shifts
	}
	groups := linked(cells, setup.Meters)
	by := make([]float64, setup.Meters)
	rest := make([][]float64, setup.Meters)
	for range maxRounds {
		residuals(cells, by, rest)
		moved, noise := 0.0, setup.Resolution
		for meter, list := range rest {
			if len(list) == 0 {
				continue
			}
			more, sd := Robust(list)
			shifts[meter] = Shift{SD: sd / math.Sqrt(float64(len(list))), Nets: len(list)}
			by[meter] += more
			moved, noise = max(moved, math.Abs(more)), max(noise, sd)
		}
		if moved <= noise*1e-3 {
			break
		}
	}
	for _, group := range groups {
		centre(by, group)
	}
	for _, meter := range largest(groups) {
		shifts[meter].Linked = true
	}
	for meter := range shifts {
		shifts[meter].By = by[meter]
	}
	return shifts
}

// residuals are, by meter, how far its cells lie from the middle of their net.
func residuals(cells []cell, by []float64, rest [][]float64) {
	for meter := range rest {
		rest[meter] = rest[meter][:0]
	}
	var values []float64
	for first := 0; first < len(cells); {
		last := first
		values = values[:0]
		for ; last < len(cells) && cells[last].net == cells[first].net; last++ {
			values = append(values, cells[last].value-by[cells[last].meter])
		}
		middle, _ := Robust(values)
		for _, c := range cells[first:last] {
			rest[c.meter] = append(rest[c.meter], c.value-by[c.meter]-middle)
		}
		first = last
	}
}

// centre makes the middle meter's shift zero.
func centre(by []float64, group []int) {
	values := make([]float64, len(group))
	for i, meter := range group {
		values[i] = by[meter]
	}
	middle := medianOf(values)
	for _, meter := range group {
		by[meter] -= middle
	}
}

// linked are the meters in groups: those that read a net in common are in one.
// A meter that shares none is in no group.
func linked(cells []cell, meters int) [][]int {
	root := make([]int, meters)
	for i := range root {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	used := make([]bool, meters)
	for i, c := range cells {
		used[c.meter] = true
		if i > 0 && cells[i-1].net == c.net {
			a, b := find(int(cells[i-1].meter)), find(int(c.meter))
			root[max(a, b)] = min(a, b)
		}
	}
	lists := make([][]int, meters)
	for i := range meters {
		if used[i] {
			lists[find(i)] = append(lists[find(i)], i)
		}
	}
	var groups [][]int
	for _, list := range lists {
		if len(list) > 0 {
			groups = append(groups, list)
		}
	}
	return groups
}

// largest is the group with the most meters; of alike ones, the first.
func largest(groups [][]int) (best []int) {
	for _, group := range groups {
		if len(group) > len(best) {
			best = group
		}
	}
	return best
}

// shiftSpread is how the shifts of linked meters differ.
func shiftSpread(shifts []Shift) Spread {
	var values []float64
	for _, s := range shifts {
		if s.Linked {
			values = append(values, s.By)
		}
	}
	if len(values) < 2 {
		return Spread{}
	}
	_, sd := Robust(values)
	return Spread{sd * sd, float64(len(values) - 1)}
}
