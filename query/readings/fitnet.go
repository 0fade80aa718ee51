package readings

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/stat/distuv"
)

// worker has the room to work on one net.
type worker struct {
	values  []float64
	byMeter [][]float64
	met     []bool
}

func newWorker(meters int) *worker {
	return &worker{byMeter: make([][]float64, meters), met: make([]bool, meters)}
}

// cell is what one meter reads on one net, over all boards.
type cell struct {
	net, meter int32
	value      float64
}

// cells are the medians of each meter's readings of a net, if there are at least
// two meters to compare.
func (w *worker) cells(samples []Sample) []cell {
	for meter := range w.byMeter {
		w.byMeter[meter] = w.byMeter[meter][:0]
	}
	for _, s := range samples {
		if !math.IsInf(s.Value, 1) {
			w.byMeter[s.Meter] = append(w.byMeter[s.Meter], s.Value)
		}
	}
	var all []cell
	for meter, values := range w.byMeter {
		if len(values) > 0 {
			all = append(all, cell{samples[0].Net, int32(meter), medianOf(values)})
		}
	}
	if len(all) < 2 {
		return nil
	}
	return all
}

// estimate is the value of a net and how its boards differ, those boards alone.
// Of few boards the common spread says what is far off.
func (w *worker) estimate(samples []Sample, shifts []Shift, common Spread) Estimate {
	e := Estimate{Count: Count{Readings: len(samples)}}
	open := w.gather(samples, shifts)
	for _, met := range w.met {
		if met {
			e.Count.Meters++
		}
	}
	switch boards := len(w.values); {
	case open > boards:
		e.Value, e.Count.Boards = math.Inf(1), open
	case boards == 0:
	default:
		e.Count.Boards = boards
		e.Value, e.Boards = w.robust(common)
	}
	return e
}

// What drawing lots of normal values says of the variance of Algorithm A: it is
// too large by about this over the number of values, and has about that many
// degrees of freedom for each (5 to 600 values, 40,000 draws, to a percent or two).
const (
	robustExcess  = 1.1
	robustFreedom = 0.73
)

func (w *worker) robust(common Spread) (mean float64, own Spread) {
	n := float64(len(w.values))
	if n >= fewValues {
		mean, sd := Robust(w.values)
		return mean, Spread{sd * sd / (1 + robustExcess/n), robustFreedom * n}
	}
	if common.Freedom > 0 {
		mean, sd := robustAt(w.values, common.SD())
		return mean, Spread{sd * sd, n - 1}
	}
	mean, sd := plain(w.values)
	return mean, Spread{sd * sd, n - 1}
}

// gather makes one value of each board, as the middle of the meters would read
// it, and says how many more boards read open. Readings of one board are taken
// together: they are no more boards for being more.
func (w *worker) gather(samples []Sample, shifts []Shift) (open int) {
	clear(w.met)
	w.values = w.values[:0]
	for first := 0; first < len(samples); {
		last, sum, read := first, 0.0, 0
		for ; last < len(samples) && samples[last].Board == samples[first].Board; last++ {
			s := &samples[last]
			w.met[s.Meter] = true
			if !math.IsInf(s.Value, 1) {
				sum += s.Value - shifts[s.Meter].By
				read++
			}
		}
		if 2*read > last-first { // of a board that reads both ways, the more frequent
			w.values = append(w.values, sum/float64(read))
		} else {
			open++
		}
		first = last
	}
	return open
}

// tables keep factors that are dear to work out. Degrees of freedom are rounded
// down, to the safe side.
type tables struct{ factors, students sync.Map }

type factorKey struct {
	covers  Coverage
	boards  int
	freedom float64
}

func (t *tables) factor(covers Coverage, boards int, freedom float64) float64 {
	key := factorKey{covers, boards, roundFreedom(freedom)}
	if k, ok := t.factors.Load(key); ok {
		return k.(float64)
	}
	k := covers.Factor(float64(boards), key.freedom)
	t.factors.Store(key, k)
	return k
}

// student is beyond how many standard deviations chance seldom goes.
func (t *tables) student(freedom float64) float64 {
	freedom = roundFreedom(freedom)
	if math.IsInf(freedom, 1) {
		return distuv.UnitNormal.Quantile(1 - rare/2)
	}
	if k, ok := t.students.Load(freedom); ok {
		return k.(float64)
	}
	k := distuv.StudentsT{Sigma: 1, Nu: freedom}.Quantile(1 - rare/2)
	t.students.Store(freedom, k)
	return k
}

func roundFreedom(freedom float64) float64 {
	switch {
	case freedom < 1:
		return freedom
	case freedom < 16:
		return math.Floor(4*freedom) / 4
	case freedom < 256:
		return math.Floor(freedom)
	}
	return math.Exp2(math.Floor(8*math.Log2(freedom)) / 8)
}

// half reports whether half of the boards or more lie off the value.
func (w *worker) half(value, limit float64) bool {
	off := 0
	for _, v := range w.values {
		if math.Abs(v-value) > limit {
			off++
		}
	}
	return off > 0 && 2*off >= len(w.values)
}
