package isolate

import (
	"encoding/binary"
	"math"
	"slices"
)

// crowd is a case in which faults that no test tells apart are one, so that tests
// are made for hundreds of faults and not for ten thousand.
type crowd struct {
	*Case
	p    []float64 // how likely each is
	of   []int32   // of each fault of the whole case, which one stands for it
	size float64   // mm, of the cells by which spots are told apart
}

// A plan is made for some hundreds of faults, if that takes no cells larger than
// any board.
const (
	crowded = 800
	largest = 1000.
)

// crowd makes one of faults of the same kind, at the same places of the rail, in
// the same view, whose spots are so near to each other that the camera does not
// tell them apart: or even nearer, where there are too many. Parts that may be
// lifted stand for themselves.
func (c *Case) crowd(p []float64, lifted []int) *crowd {
	for size := 2 * c.rates.Camera.Radius; ; size *= 2 {
		if w, ok := c.crowdBy(size, p, lifted); ok {
			return w
		}
	}
}

// crowdBy gives up where there are too many.
func (c *Case) crowdBy(size float64, p []float64, lifted []int) (w *crowd, ok bool) {
	small := &Case{device: c.device, rates: c.rates, places: c.places, asked: c.asked}
	w = &crowd{Case: small, of: make([]int32, len(c.faults)), size: size}
	number := map[string]int32{}
	var key []byte
	for f := range c.faults {
		key = c.crowdKey(key[:0], f, size, lifted)
		n, have := number[string(key)]
		if !have {
			if n = int32(len(number)); n == crowded && size < largest {
				return nil, false
			}
			number[string(key)] = n
			small.faults = append(small.faults, c.faults[f])
			small.sites = append(small.sites, c.sites[f])
			small.what = append(small.what, c.what[f])
			w.p = append(w.p, 0)
		}
		w.of[f] = n
		w.p[n] += p[f]
	}
	return w, true
}

// crowdKey is the same for faults that are one in a crowd.
func (c *Case) crowdKey(key []byte, f int, size float64, lifted []int) []byte {
	number := func(n int) { key = binary.AppendVarint(key, int64(n)) }
	number(int(c.faults[f].Kind))
	for i := range c.faults[f].Sites {
		s := &c.faults[f].Sites[i]
		number(int(s.At))
		number(s.Spot.Board)
		number(int(s.Spot.Side))
		number(s.Spot.Cover)
		inside, part := 0, None
		if s.Spot.Inside {
			inside = 1
		}
		if slices.Contains(lifted, s.Part) {
			part = s.Part
		}
		number(inside)
		number(part)
		at := c.cell(f, s.Spot.View(), size)
		number(at.x)
		number(at.y)
		number(at.only)
	}
	return key
}

// cell is the same for spots that are too near to each other to be told apart, on
// a side of a board.
type cell struct {
	x, y int
	only int // the suspect, where the place is not known; else None
}

// cellOf is that of a fault in a view.
func (w *crowd) cellOf(f int, v View) cell { return w.cell(f, v, w.size) }

func (c *Case) cell(f int, v View, size float64) cell {
	for i := range c.faults[f].Sites {
		if s := &c.faults[f].Sites[i].Spot; s.View() == v && s.Placed {
			return cell{int(math.Floor(s.X / size)), int(math.Floor(s.Y / size)), None}
		}
	}
	if size < largest {
		return cell{only: c.what[f]}
	}
	return cell{only: None}
}
