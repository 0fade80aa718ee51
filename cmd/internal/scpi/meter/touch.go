package meter

import (
	"errors"
	"math"
	"slices"
	"time"

	"netlore/cmd/internal/scpi"
)

// Sample is one reading and when it came.
type Sample struct {
	At      time.Time
	Reading scpi.Number
}

// Settling says when a reading is steady, and when the probe has left a pad.
type Settling struct {
	Window  time.Duration // how long the readings must agree
	Least   int           // how many of them there must be at least
	Spread  float64       // how far they may lie apart, in volts or ohms …
	Share   float64       // … or as a share of their median, whichever is more
	Lifted  int           // how many readings in a row without contact are a lift
	LiftFor time.Duration // and how long they must last
	// OpenFrom is from which number on the probes touch nothing, for meters that
	// show their open-circuit voltage instead of an overload; 0 is overload only.
	OpenFrom float64
}

// Usual is what settles for a function (our choice, no source): half a second
// within 2 mV, or 0.05 ohm, or half a per cent.
func Usual(f Function) Settling {
	s := Settling{Window: 500 * time.Millisecond, Least: 4, Spread: 0.05, Share: 0.005, Lifted: 2, LiftFor: 150 * time.Millisecond}
	if f == Diode {
		s.Spread = 0.002
	}
	return s
}

// maxWindow bounds the memory of a window, and so the time.
const (
	maxWindow  = time.Minute
	maxSamples = 4096
)

// Check says what is wrong with a setting.
func (s Settling) Check() error {
	switch {
	case s.Window < 0 || s.Window > maxWindow:
		return errors.New("the readings must agree for a time of at most a minute")
	case s.Least < 2 || s.Least > maxSamples:
		return errors.New("a steady reading is made of 2 to 4096 readings")
	case !(s.Spread >= 0 && s.Share >= 0 && s.OpenFrom >= 0) || math.IsInf(s.Spread+s.Share+s.OpenFrom, 0):
		return errors.New("a spread is a number from 0 on")
	case s.Lifted < 1 || s.LiftFor < 0:
		return errors.New("a lift is made of at least one reading")
	}
	return nil
}

// Event is what one more reading means.
type Event uint8

const (
	Nothing Event = iota
	Touched       // the first number since the probe was lifted
	Taken         // the reading is steady: this is the value of this touch
	Moved         // the value of this touch has changed since it was taken
	Lifted        // the probe has left; the next touch can be taken
)

// Steady is a value that was taken: the median of the readings that agreed.
type Steady struct {
	Open   bool // the technician says that what reads open is open
	Value  scpi.Number
	Spread float64 // between the highest and the lowest, in volts or ohms
	Count  int
	At     time.Time // of the last of them
}

// Touches tells one touch of the probe from the next and takes each one's value
// once.
//
// A lifted probe reads the same as a pad that is open. So an overload is never
// taken by itself: it ends a touch, and only Open, on the word of the
// technician, takes it. Two pads without a lift between them are one touch.
type Touches struct {
	settling Settling
	window   []Sample // numbers in a row, the newest last
	away     []Sample // readings without contact in a row: the first and the last
	awayFor  int      // how many they are
	touching bool     // a number has come since the last lift
	taken    *Steady  // of this touch
	moved    bool     // said so
}

// NewTouches starts with the probe in the air.
func NewTouches(s Settling) (*Touches, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	return &Touches{settling: s}, nil
}

// Add takes the next reading. The value is that of Taken, and for Moved what the
// pad reads now.
func (t *Touches) Add(s Sample) (Event, Steady) {
	if t.backwards(s) {
		t.Break()
	}
	switch {
	case t.withoutContact(s.Reading):
		t.window = t.window[:0]
		return t.lift(s), Steady{}
	case s.Reading.Kind != scpi.Finite:
		t.Break()
		return Nothing, Steady{}
	}
	t.away, t.awayFor = t.away[:0], 0
	t.keep(s)
	first := !t.touching
	t.touching = true
	if steady, ok := t.steady(); ok {
		return t.settled(steady)
	}
	if first {
		return Touched, Steady{}
	}
	return Nothing, Steady{}
}

// Break forgets the readings so far, not what was taken: after a connection
// that broke, or a clock that was put back, they say nothing of what comes.
func (t *Touches) Break() {
	t.window, t.away, t.awayFor = t.window[:0], t.away[:0], 0
}

// Open takes an open pad on the word of the technician. It reports false unless
// the last readings were without contact for as long as a lift takes.
func (t *Touches) Open() (Steady, bool) {
	if !t.longAway() {
		return Steady{}, false
	}
	last := t.away[len(t.away)-1]
	return Steady{Open: true, Value: scpi.Number{Kind: scpi.Over}, Count: t.awayFor, At: last.At}, true
}

// backwards says that the clock was put back since the last reading.
func (t *Touches) backwards(s Sample) bool {
	for _, before := range [][]Sample{t.window, t.away} {
		if n := len(before); n > 0 && s.At.Before(before[n-1].At) {
			return true
		}
	}
	return false
}

func (t *Touches) withoutContact(n scpi.Number) bool {
	return n.Kind == scpi.Over || n.Kind == scpi.Finite && t.settling.OpenFrom > 0 && n.Float() >= t.settling.OpenFrom
}

// lift counts a reading without contact; enough of them end a touch.
func (t *Touches) lift(s Sample) Event {
	if len(t.away) == 2 {
		t.away = t.away[:1]
	}
	t.away = append(t.away, s)
	t.awayFor++
	if !t.touching || !t.longAway() {
		return Nothing
	}
	t.touching, t.taken, t.moved = false, nil, false
	return Lifted
}

func (t *Touches) longAway() bool {
	return t.awayFor >= t.settling.Lifted && t.away[len(t.away)-1].At.Sub(t.away[0].At) >= t.settling.LiftFor
}

// keep adds a number to the window and drops what is older than it.
func (t *Touches) keep(s Sample) {
	t.window = append(t.window, s)
	old := 0
	for len(t.window)-old > t.settling.Least && s.At.Sub(t.window[old+1].At) >= t.settling.Window {
		old++
	}
	old = max(old, len(t.window)-maxSamples)
	t.window = slices.Delete(t.window, 0, old)
}

// steady is the value of the window if its readings agree for long enough.
func (t *Touches) steady() (Steady, bool) {
	n := len(t.window)
	if n < t.settling.Least || t.window[n-1].At.Sub(t.window[0].At) < t.settling.Window {
		return Steady{}, false
	}
	sorted := make([]scpi.Number, n)
	for i, s := range t.window {
		sorted[i] = s.Reading
	}
	slices.SortFunc(sorted, func(a, b scpi.Number) int { return compare(a.Float(), b.Float()) })
	s := Steady{Value: sorted[(n-1)/2], Spread: sorted[n-1].Float() - sorted[0].Float(), Count: n, At: t.window[n-1].At}
	return s, s.Spread <= t.allowed(s.Value.Float())
}

// allowed is how far readings about a value may lie apart.
func (t *Touches) allowed(value float64) float64 {
	return max(t.settling.Spread, t.settling.Share*math.Abs(value))
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// settled takes a steady value, if this touch has none yet.
func (t *Touches) settled(s Steady) (Event, Steady) {
	if t.taken == nil {
		t.taken = &s
		return Taken, s
	}
	if off := math.Abs(s.Value.Float() - t.taken.Value.Float()); t.moved || off <= t.allowed(t.taken.Value.Float()) {
		return Nothing, Steady{}
	}
	t.moved = true
	return Moved, s
}
