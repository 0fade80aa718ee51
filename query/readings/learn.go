package readings

import (
	"fmt"
	"math"

	"netlore/store/board"
)

// Learned is what readings of known-good boards say is expected at places of
// whatever sort the caller tells places apart by.
type Learned[P comparable] struct {
	modes map[board.Mode]*learnedMode
	nets  map[board.Mode]map[P]int32
}

// learnedMode is the fit of one mode.
type learnedMode struct {
	fit    *Fit
	meters map[string]int32
	scale  scale
	exp    int // power of ten of the last digit that the meters show
}

// Expectation is what is expected by what was learned, for one meter.
type Expectation struct {
	board.Expected
	Estimate
}

// Learn takes the known-good readings of a list together; at says where each was
// taken, and false of one that is not to count. Readings with black on ground,
// or against another place than ground, are of another sort and left out; so
// are those without a number that are not open.
//
// Boards are told apart by specimen, else by job; all readings that say neither
// are taken to be of one board.
func Learn[P comparable](list []board.Reading, at func(i int) (P, bool)) *Learned[P] {
	l := &Learned[P]{map[board.Mode]*learnedMode{}, map[board.Mode]map[P]int32{}}
	builders := map[board.Mode]*learner[P]{}
	for i := range list {
		r := &list[i]
		if !learnable(r) {
			continue
		}
		place, ok := at(i)
		if !ok {
			continue
		}
		if builders[r.Mode] == nil {
			builders[r.Mode] = newLearner[P](r.Mode)
		}
		builders[r.Mode].add(int32(i), r, place)
	}
	for mode, b := range builders {
		l.modes[mode] = b.learn()
		l.nets[mode] = b.nets
	}
	return l
}

// learnable reports whether a reading is one of a good board as others are
// compared with.
func learnable(r *board.Reading) bool {
	return r.Good && !r.BlackGround && r.To == (board.Target{}) && units[r.Mode] != board.NoUnit
}

// At is what is expected at a place of readings by a meter; without a name it is
// any of those that have read good boards. It is false if nothing was learned of
// the place.
func (l *Learned[P]) At(place P, mode board.Mode, meter string) (Expectation, bool) {
	net, ok := l.nets[mode][place]
	if !ok {
		return Expectation{}, false
	}
	m := l.modes[mode]
	e := m.fit.Net(int(net))
	if e.Count.Boards == 0 {
		return Expectation{}, false
	}
	number, known := m.meters[meter]
	switch {
	case meter == "":
		number = AnyMeter
	case !known:
		number = OtherMeter
	}
	return Expectation{m.expected(mode, int(net), int(number)), e}, true
}

// From are the readings, by their place in the list, that At rests on.
func (l *Learned[P]) From(place P, mode board.Mode) []int32 {
	net, ok := l.nets[mode][place]
	if !ok {
		return nil
	}
	var ids []int32
	for _, s := range l.modes[mode].fit.nets[net] {
		ids = append(ids, s.ID)
	}
	return ids
}

// Meter is how far a meter reads off in a mode, in the mode's unit.
func (l *Learned[P]) Meter(mode board.Mode, meter string) (Shift, bool) {
	m := l.modes[mode]
	if m == nil {
		return Shift{}, false
	}
	number, ok := m.meters[meter]
	if !ok {
		return Shift{}, false
	}
	return m.fit.Meter(int(number)), true
}

// expected is the estimate in the digits that meters show. Bounds are rounded
// outwards.
func (m *learnedMode) expected(mode board.Mode, net, meter int) board.Expected {
	e := m.fit.Net(net)
	out := board.Expected{Mode: mode, Text: e.Count.String()}
	if out.Open = math.IsInf(e.Value, 1); out.Open {
		return out
	}
	middle := e.Value
	if meter >= 0 && m.fit.Meter(meter).Linked {
		middle += m.fit.Meter(meter).By
	}
	middle = m.scale.value(middle)
	exp := m.scale.digit(middle, m.exp)
	step := math.Pow10(exp)
	steps := math.Round(middle / step)
	out.Value, _ = board.NewQuantity(int64(steps), exp, units[mode])
	low, high := m.fit.Interval(net, meter)
	if math.IsInf(low, 0) || math.IsInf(high, 0) || e.Apart {
		return out // so no verdict is certain
	}
	below, _ := board.NewQuantity(int64(math.Ceil(steps-m.scale.value(low)/step-rounding)), exp, units[mode])
	above, _ := board.NewQuantity(int64(math.Ceil(m.scale.value(high)/step-steps-rounding)), exp, units[mode])
	out.Within = board.Tolerance{Below: below, Above: above}
	return out
}

// rounding is what floating point may add to a whole number of steps.
const rounding = 1e-6

// scale is how the values of a mode compare. Volts differ by amounts: between
// boards, and by meter. Ohms and amps differ by shares: they are fitted as
// logarithms.
type scale bool

const (
	byAmount scale = false
	byShare  scale = true
)

func scaleOf(m board.Mode) scale { return scale(ByShare(m)) }

// ByShare reports whether readings of a mode differ by shares, and not by
// amounts.
func ByShare(m board.Mode) bool {
	return m == board.Resistance || m == board.Continuity || m == board.Current
}

// least is what counts as next to nothing, so that it has a logarithm: a
// milliohm, a milliamp.
const least = 1e-3

func (s scale) number(value float64) float64 {
	if s == byShare {
		return math.Log(max(value, least))
	}
	return value
}

func (s scale) value(number float64) float64 {
	if s == byShare {
		return math.Exp(number)
	}
	return number
}

// resolution is the last digit of displays, as numbers are fitted; of shares it
// is one in the third digit.
func (s scale) resolution(exp int) float64 {
	if s == byShare {
		return 0.005
	}
	return math.Pow10(exp)
}

// finest is the last digit in which expected volts are told.
const finest = -3

// digit is the power of ten of the last digit in which a value is told.
func (s scale) digit(value float64, exp int) int {
	if s == byShare {
		return int(math.Floor(math.Log10(max(value, least)))) - 2
	}
	return max(exp, finest)
}

// String says what an estimate rests on: "4 good boards, 2 meters".
func (c Count) String() string {
	text := counted(c.Boards, "good board")
	if c.Meters > 0 {
		text += ", " + counted(c.Meters, "meter")
	}
	return text
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// learner gathers the readings of one mode.
type learner[P comparable] struct {
	mode    board.Mode
	scale   scale
	samples []Sample
	nets    map[P]int32
	boards  map[string]int32
	meters  map[string]int32
	exp     int
}

// diodeMeters is how meters differ in diode mode by what their makers state of
// test currents, 0.5 to 1.5 mA: kT/q times ln 3, twice that at an ideality of 2,
// from the least to the most. How many makers that is from is a guess.
var diodeMeters = Spread{Variance: 0.015 * 0.015, Freedom: 4}

func newLearner[P comparable](m board.Mode) *learner[P] {
	return &learner[P]{mode: m, scale: scaleOf(m), nets: map[P]int32{}, boards: map[string]int32{}, meters: map[string]int32{}}
}

func (b *learner[P]) add(id int32, r *board.Reading, place P) {
	s := Sample{ID: id, Value: math.Inf(1)}
	switch {
	case r.Outcome == board.Measured && r.Value.Unit == units[r.Mode]:
		s.Value = b.scale.number(r.Value.Float())
		b.exp = min(b.exp, int(r.Value.Exp))
	case r.Outcome != board.Open:
		return
	}
	s.Net, s.Board, s.Meter = number(b.nets, place), number(b.boards, boardOf(r)), number(b.meters, r.Meter)
	b.samples = append(b.samples, s)
}

// boardOf tells boards apart.
func boardOf(r *board.Reading) string {
	if r.Specimen != "" {
		return "specimen " + r.Specimen
	}
	return "job " + r.Job
}

// number is the number of a name, a new one if it has none yet.
func number[P comparable](numbers map[P]int32, name P) int32 {
	n, ok := numbers[name]
	if !ok {
		n = int32(len(numbers))
		numbers[name] = n
	}
	return n
}

func (b *learner[P]) learn() *learnedMode {
	setup := Setup{Nets: len(b.nets), Meters: len(b.meters), Covers: Usual, Resolution: b.scale.resolution(b.exp)}
	if b.mode == board.Diode {
		setup.OtherMeters = diodeMeters
	}
	return &learnedMode{fit: FitSamples(b.samples, setup), meters: b.meters, scale: b.scale, exp: b.exp}
}
