package readings

import (
	"math"
	"slices"

	"netlore/store/board"
)

// Repeats says how well meters repeat themselves and each other in one mode: the
// terms of ISO 5725, with meters for laboratories. Standard deviations are in the
// unit of the mode, or of the logarithm where readings differ by shares.
type Repeats struct {
	Places    int     // that two meters or more have read, each more than once
	Repeat    float64 // of readings by one meter
	Reproduce float64 // of readings by different meters
	Meters    map[string]MeterRepeats
}

// MeterRepeats is how well one meter repeats itself.
type MeterRepeats struct {
	SD      float64
	Places  int // that it has read more than once
	Others  int // of these, how many others have, too
	Strays  int // and at how many of those it lies or spreads as chance seldom lets it
	freedom int
}

// Limit is within how much two readings lie 19 times in 20 whose standard
// deviation is known (ISO 5725-6, 4.1.4: 1.96 times the root of two).
func Limit(sd float64) float64 { return 1.96 * math.Sqrt2 * sd }

// RepeatsOf takes the readings of good boards in a list that were taken at one
// place of one board by one meter more than once. At says where each was taken,
// as for Learn.
func RepeatsOf[P comparable](list []board.Reading, at func(i int) (P, bool)) map[board.Mode]Repeats {
	type level struct {
		mode  board.Mode
		board string
		place P
	}
	levels := map[level]map[string][]float64{}
	var inOrder []level
	for i := range list {
		r := &list[i]
		place, ok := at(i)
		if !ok || r.Meter == "" || !learnable(r) || r.Outcome != board.Measured || r.Value.Unit != units[r.Mode] {
			continue
		}
		l := level{r.Mode, boardOf(r), place}
		if levels[l] == nil {
			levels[l] = map[string][]float64{}
			inOrder = append(inOrder, l)
		}
		levels[l][r.Meter] = append(levels[l][r.Meter], scaleOf(r.Mode).number(r.Value.Float()))
	}
	sums := map[board.Mode]*repeatSums{}
	for _, l := range inOrder {
		if sums[l.mode] == nil {
			sums[l.mode] = &repeatSums{meters: map[string]MeterRepeats{}}
		}
		sums[l.mode].add(levels[l])
	}
	all := map[board.Mode]Repeats{}
	for mode, s := range sums {
		if len(s.meters) > 0 {
			all[mode] = s.repeats()
		}
	}
	return all
}

// repeatSums gathers levels: a level is a place of one board.
type repeatSums struct {
	places             int
	within, withinOf   float64 // squares, and their degrees of freedom
	between, betweenOf float64
	meters             map[string]MeterRepeats // SD is the sum of squares yet
}

func (s *repeatSums) add(byMeter map[string][]float64) {
	var names []string
	for name, values := range byMeter {
		if len(values) > 1 {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	lists := make([][]float64, len(names))
	for i, name := range names {
		lists[i] = byMeter[name]
		m := s.meters[name]
		_, sd := plain(lists[i])
		m.Places++
		m.freedom += len(lists[i]) - 1
		m.SD += sd * sd * float64(len(lists[i])-1)
		s.meters[name] = m
	}
	p, ok := ComparePrecision(lists)
	if !ok {
		return
	}
	s.places++
	for i, name := range names {
		m := s.meters[name]
		m.Others++
		if p.Consistent[i].Stray() {
			m.Strays++
		}
		s.meters[name] = m
		s.withinOf += float64(len(lists[i]) - 1)
		s.within += p.Repeat * p.Repeat * float64(len(lists[i])-1)
	}
	s.betweenOf += float64(len(names) - 1)
	s.between += (p.Reproduce*p.Reproduce - p.Repeat*p.Repeat) * float64(len(names)-1)
}

func (s *repeatSums) repeats() Repeats {
	r := Repeats{Places: s.places, Meters: map[string]MeterRepeats{}}
	for name, m := range s.meters {
		m.SD = math.Sqrt(m.SD / float64(m.freedom))
		r.Meters[name] = m
	}
	if s.places > 0 {
		variance := s.within / s.withinOf
		r.Repeat, r.Reproduce = math.Sqrt(variance), math.Sqrt(variance+s.between/s.betweenOf)
	}
	return r
}
