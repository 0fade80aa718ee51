package readings

import (
	"cmp"
	"math"
	"runtime"
	"slices"
	"sync"
)

// Sample is one reading of a known-good board. The numbers count the nets,
// boards and meters from 0, as whoever asks has listed them.
type Sample struct {
	Net, Board, Meter int32
	ID                int32   // whatever the caller knows the reading by
	Value             float64 // in one unit for all; +Inf is open
}

// Setup says how samples are to be taken.
type Setup struct {
	Nets, Meters int
	Covers       Coverage
	Resolution   float64 // last digit of the meters' displays, in the unit of the values; 0 if not known
	OtherMeters  Spread  // how meters are known to differ, apart from these; zero if nothing is known
}

// Fit is what known-good readings say of nets and meters together. A reading is
// taken to be the net's value, plus the meter's shift, plus how this board
// differs. Each is fitted robustly (Algorithm A in both directions, in turn), so
// that one bad board or meter does not move the rest.
//
// A shift is how far a meter reads above the middle one of all meters that are
// linked: that have, over others, nets in common.
type Fit struct {
	setup   Setup
	nets    [][]Sample // in order of board and meter
	shifts  []Shift
	common  Spread // of boards, of what net whatever
	meters  Spread // of the linked meters' shifts
	results []Estimate
	tables  tables
}

// Estimate is what good boards read on a net.
type Estimate struct {
	Value    float64  // where the middle of the meters reads; +Inf is open
	Boards   Spread   // how boards differ: the net's own with what all nets say
	Low      float64  // the interval that covers as much as asked for,
	High     float64  // infinite if there is no knowing
	Count    Count    // what it rests on
	Outliers []Sample // readings that are off by more than once in a thousand
	Apart    bool     // boards differ by far more than on other nets: there is no telling which are good
}

// Count is what an estimate rests on.
type Count struct{ Readings, Boards, Meters int }

// FitSamples takes readings of known-good boards together. The samples are not
// kept. An error of the caller's numbers, a net or meter that is not in the
// setup, panics.
func FitSamples(samples []Sample, setup Setup) *Fit {
	f := &Fit{setup: setup, nets: byNet(samples, setup.Nets), results: make([]Estimate, setup.Nets)}
	f.Refit()
	return f
}

// Refit fits everything anew, the shifts of meters too.
func (f *Fit) Refit() {
	cells := make([][]cell, f.setup.Nets)
	f.eachNet(func(net int, w *worker) { cells[net] = w.cells(f.nets[net]) })
	f.shifts = fitShifts(slices.Concat(cells...), f.setup)
	f.meters = shiftSpread(f.shifts)
	own := make([]Spread, f.setup.Nets)
	f.eachNet(func(net int, w *worker) {
		f.results[net] = w.estimate(f.nets[net], f.shifts, Spread{})
		own[net] = f.own(&f.results[net])
	})
	f.common = commonSpread(own)
	f.eachNet(func(net int, w *worker) {
		if f.results[net].Count.Boards < fewValues {
			f.results[net] = w.estimate(f.nets[net], f.shifts, f.common)
		}
		f.finish(net, w)
	})
}

// Add takes one more reading in: the net's estimate is made anew; the shifts of
// meters and what is common to all nets stay as they were fitted.
func (f *Fit) Add(s Sample) Estimate {
	list := f.nets[s.Net]
	at, _ := slices.BinarySearchFunc(list, s, order)
	f.nets[s.Net] = slices.Insert(list, at, s)
	w := newWorker(f.setup.Meters)
	f.results[s.Net] = w.estimate(f.nets[s.Net], f.shifts, f.common)
	f.finish(int(s.Net), w)
	return f.results[s.Net]
}

// Net is the estimate for a net; Count is zero if it was never read.
func (f *Fit) Net(net int) Estimate { return f.results[net] }

// Meter is how far off a meter reads.
func (f *Fit) Meter(meter int) Shift { return f.shifts[meter] }

// Meters is how the shifts of linked meters spread; zero if fewer than two are.
func (f *Fit) Meters() Spread { return f.meters }

// Common is how boards differ on any net, as all nets say together; zero if
// too few nets were read on two boards or more.
func (f *Fit) Common() Spread { return f.common }

// Meters that are not one of the setup's.
const (
	AnyMeter   = -1 // one of those that have read, whichever
	OtherMeter = -2 // another one
)

// Interval is between what values a reading by a meter lies on a good board. A
// meter that was not compared with others may be off by as much as meters are.
func (f *Fit) Interval(net, meter int) (low, high float64) {
	e := &f.results[net]
	switch {
	case math.IsInf(e.Value, 1):
		return e.Low, e.High
	case meter == AnyMeter:
		return f.anyInterval(e)
	case meter >= 0 && f.shifts[meter].Linked:
		return e.Low + f.shifts[meter].By, e.High + f.shifts[meter].By
	}
	meters := f.meters.with(f.setup.OtherMeters)
	if meters.Freedom == 0 {
		return e.Low, e.High
	}
	return f.around(e, e.Boards.plus(meters))
}

// anyInterval holds the intervals of all linked meters.
func (f *Fit) anyInterval(e *Estimate) (low, high float64) {
	least, most := 0.0, 0.0
	for _, s := range f.shifts {
		if s.Linked {
			least, most = min(least, s.By), max(most, s.By)
		}
	}
	return e.Low + least, e.High + most
}

func (f *Fit) around(e *Estimate, s Spread) (low, high float64) {
	if e.Count.Boards == 0 || s.Freedom == 0 {
		return math.Inf(-1), math.Inf(1)
	}
	half := f.tables.factor(f.setup.Covers, e.Count.Boards, s.Freedom) * s.SD()
	return e.Value - half, e.Value + half
}

// own is what a net's boards alone say of their spread; the display's last
// digit adds its own.
func (f *Fit) own(e *Estimate) Spread {
	if e.Boards.Freedom == 0 {
		return Spread{}
	}
	return Spread{e.Boards.Variance + f.setup.Resolution*f.setup.Resolution/12, e.Boards.Freedom}
}

// finish judges the net by what is common to all.
func (f *Fit) finish(net int, w *worker) {
	e := &f.results[net]
	if math.IsInf(e.Value, 1) {
		e.Low, e.High = e.Value, e.Value
		e.Outliers = slices.DeleteFunc(slices.Clone(f.nets[net]), func(s Sample) bool { return math.IsInf(s.Value, 1) })
		return
	}
	own := f.own(e)
	e.Boards = own.with(f.common)
	e.Apart = apart(own, f.common)
	if e.Apart {
		e.Boards = f.common
	}
	limit := f.limit(e)
	w.gather(f.nets[net], f.shifts)
	if e.Apart = e.Apart || w.half(e.Value, limit); e.Apart {
		mean, sd := plain(w.values)
		e.Value, e.Boards = mean, Spread{sd * sd, float64(len(w.values) - 1)}
	}
	e.Low, e.High = f.around(e, e.Boards)
	e.Outliers = f.outliers(net, e, limit)
}

// limit is how far off chance seldom puts a reading.
func (f *Fit) limit(e *Estimate) float64 {
	if e.Count.Boards == 0 || e.Boards.Freedom == 0 {
		return math.Inf(1)
	}
	return f.tables.student(e.Boards.Freedom) * e.Boards.SD() * math.Sqrt(1+1/float64(e.Count.Boards))
}

func (f *Fit) outliers(net int, e *Estimate, limit float64) []Sample {
	var off []Sample
	for _, s := range f.nets[net] {
		if math.IsInf(s.Value, 1) || math.Abs(s.Value-f.shifts[s.Meter].By-e.Value) > limit {
			off = append(off, s)
		}
	}
	return off
}

// byNet puts samples apart, each net's in order.
func byNet(samples []Sample, nets int) [][]Sample {
	sizes := make([]int, nets)
	for i := range samples {
		sizes[samples[i].Net]++
	}
	all := make([]Sample, len(samples))
	lists := make([][]Sample, nets)
	for net, n := range sizes {
		lists[net], all = all[:0:n], all[n:]
	}
	for _, s := range samples {
		lists[s.Net] = append(lists[s.Net], s)
	}
	for _, list := range lists {
		slices.SortFunc(list, order)
	}
	return lists
}

func order(a, b Sample) int {
	return cmp.Or(cmp.Compare(a.Board, b.Board), cmp.Compare(a.Meter, b.Meter), cmp.Compare(a.Value, b.Value), cmp.Compare(a.ID, b.ID))
}

// eachNet calls do for every net, on all processors. What it does for one net
// must not depend on any other.
func (f *Fit) eachNet(do func(net int, w *worker)) {
	var wait sync.WaitGroup
	workers := min(runtime.GOMAXPROCS(0), f.setup.Nets)
	for first := range workers {
		wait.Go(func() {
			w := newWorker(f.setup.Meters)
			for net := first; net < f.setup.Nets; net += workers {
				do(net, w)
			}
		})
	}
	wait.Wait()
}
