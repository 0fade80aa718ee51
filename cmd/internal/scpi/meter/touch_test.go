package meter_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"netlore/cmd/internal/scpi"
	"netlore/cmd/internal/scpi/meter"
)

var nine = time.Date(2026, 3, 16, 9, 0, 0, 0, time.UTC)

// hand plays readings at a steady pace to a Touches and writes down what they
// mean.
type hand struct {
	*meter.Touches
	now    time.Time
	pace   time.Duration
	events []string
	values []float64
}

func newHand(t *testing.T, s meter.Settling) *hand {
	t.Helper()
	touches, err := meter.NewTouches(s)
	if err != nil {
		t.Fatal(err)
	}
	return &hand{Touches: touches, now: nine, pace: 100 * time.Millisecond}
}

func (h *hand) reads(n int, value func(i int) scpi.Number) *hand {
	for i := range n {
		e, s := h.Add(meter.Sample{At: h.now, Reading: value(i)})
		h.now = h.now.Add(h.pace)
		switch e {
		case meter.Touched:
			h.events = append(h.events, "touched")
		case meter.Lifted:
			h.events = append(h.events, "lifted")
		case meter.Taken:
			h.events = append(h.events, fmt.Sprintf("taken %.3f", s.Value.Float()))
			h.values = append(h.values, s.Value.Float())
		case meter.Moved:
			h.events = append(h.events, fmt.Sprintf("moved %.3f", s.Value.Float()))
		}
	}
	return h
}

func (h *hand) air(n int) *hand { return h.reads(n, always(scpi.Number{Kind: scpi.Over})) }

func (h *hand) pad(n int, millivolts int64) *hand {
	return h.reads(n, always(scpi.Number{Coef: millivolts, Exp: -3}))
}

func (h *hand) want(t *testing.T, events ...string) {
	t.Helper()
	if !slices.Equal(h.events, events) {
		t.Errorf("got  %q\nwant %q", h.events, events)
	}
}

func always(n scpi.Number) func(int) scpi.Number { return func(int) scpi.Number { return n } }

func microvolts(v float64) scpi.Number {
	return scpi.Number{Coef: int64(math.Round(v * 1e6)), Exp: -6}
}

func TestOneTouchOneValue(t *testing.T) {
	h := newHand(t, meter.Usual(meter.Diode)).air(5).pad(40, 412).air(3).pad(40, 550).air(3)
	h.want(t, "touched", "taken 0.412", "lifted", "touched", "taken 0.550", "lifted")
}

func TestAlreadyOnAPad(t *testing.T) {
	newHand(t, meter.Usual(meter.Diode)).pad(40, 412).want(t, "touched", "taken 0.412")
}

func TestSamePadTwiceNeedsALift(t *testing.T) {
	newHand(t, meter.Usual(meter.Diode)).pad(40, 412).air(5).pad(40, 412).want(t, "touched", "taken 0.412", "lifted", "touched", "taken 0.412")
}

// TestChatter: a contact that is lost for one reading is no lift, and what is
// read before it does not count.
func TestChatter(t *testing.T) {
	h := newHand(t, meter.Usual(meter.Diode))
	for range 10 {
		h.pad(5, 412).air(1)
	}
	h.want(t, "touched")
	h.pad(6, 412).air(1).pad(40, 412).air(1)
	h.want(t, "touched", "taken 0.412")
}

// TestFastChatter: many readings in a moment are no lift either.
func TestFastChatter(t *testing.T) {
	h := newHand(t, meter.Usual(meter.Diode)).pad(10, 412)
	h.pace = 5 * time.Millisecond
	h.air(20)
	h.pace = 100 * time.Millisecond
	h.pad(10, 412).want(t, "touched", "taken 0.412")
}

func TestSlowMeter(t *testing.T) {
	h := newHand(t, meter.Usual(meter.Diode))
	h.pace = 2 * time.Second
	h.air(2).pad(3, 412)
	h.want(t, "touched")
	h.pad(1, 412).air(2).want(t, "touched", "taken 0.412", "lifted")
}

// TestSlidesToAnotherPad: without a lift it is the same touch, and that the
// value has changed is said once.
func TestSlidesToAnotherPad(t *testing.T) {
	newHand(t, meter.Usual(meter.Diode)).pad(20, 412).pad(20, 550).pad(20, 300).want(t, "touched", "taken 0.412", "moved 0.550")
}

// TestOpenOnlyOnWord: a lifted probe and an open pad read the same, so only the
// technician can say which it is.
func TestOpenOnlyOnWord(t *testing.T) {
	h := newHand(t, meter.Usual(meter.Diode)).air(100)
	h.want(t)
	if s, ok := h.Open(); !ok || !s.Open || s.Value.Kind != scpi.Over || !s.At.Equal(h.now.Add(-h.pace)) {
		t.Errorf("got %+v, %v", s, ok)
	}
	h.pad(2, 412)
	if s, ok := h.Open(); ok {
		t.Errorf("a pad that reads 0.412 V was taken as open: %+v", s)
	}
	h.pad(10, 412).air(1)
	if s, ok := h.Open(); ok {
		t.Errorf("one reading was taken as open: %+v", s)
	}
	h.air(5).want(t, "touched", "taken 0.412", "lifted")
	if _, ok := h.Open(); !ok {
		t.Error("open was not taken after a lift")
	}
}

// TestOpenCircuitVoltage is for meters that show it instead of an overload.
func TestOpenCircuitVoltage(t *testing.T) {
	s := meter.Usual(meter.Diode)
	s.OpenFrom = 2.8
	h := newHand(t, s).pad(20, 3100).pad(20, 412).pad(20, 2800)
	h.want(t, "touched", "taken 0.412", "lifted")
	if _, ok := h.Open(); !ok {
		t.Error("open was not taken")
	}
}

func TestNoNumberAndNegativeOverload(t *testing.T) {
	for _, kind := range []scpi.Kind{scpi.NotANumber, scpi.Under} {
		h := newHand(t, meter.Usual(meter.Diode)).pad(10, 412).reads(20, always(scpi.Number{Kind: kind})).pad(3, 412)
		h.want(t, "touched", "taken 0.412")
		if _, ok := h.reads(5, always(scpi.Number{Kind: kind})).Open(); ok {
			t.Errorf("kind %d was taken as open", kind)
		}
	}
}

// TestNoise: the median of what is taken lies within the spread of the truth,
// and noise wider than the spread is never taken.
func TestNoise(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	noisy := func(sd float64) func(int) scpi.Number {
		return func(int) scpi.Number { return microvolts(0.412 + sd*random.NormFloat64()) }
	}
	h := newHand(t, meter.Usual(meter.Diode))
	for range 200 {
		h.reads(40, noisy(0.0003)).air(3)
	}
	if len(h.values) != 200 {
		t.Errorf("%d of 200 touches were taken", len(h.values))
	}
	for _, v := range h.values {
		if math.Abs(v-0.412) > 0.001 {
			t.Errorf("took %.6f", v)
		}
	}
	if wild := newHand(t, meter.Usual(meter.Diode)).reads(500, noisy(0.02)); len(wild.values) != 0 {
		t.Errorf("took %v of noise", wild.values)
	}
}

// TestCharging: a capacitor on the rail charges by V(1-exp(-t/tau)). What is
// taken is off the end by no more than the law says: over a window T the
// reading rises by d (exp(T/tau)-1) where d is what is missing at its end.
func TestCharging(t *testing.T) {
	const end, tau = 0.412, 0.8
	h := newHand(t, meter.Usual(meter.Diode))
	h.reads(100, func(i int) scpi.Number { return microvolts(end * (1 - math.Exp(-float64(i)*0.1/tau))) })
	if len(h.values) != 1 {
		t.Fatalf("took %v", h.values)
	}
	spread := max(0.002, 0.005*end)
	missing := spread / (math.Exp(0.5/tau) - 1)
	atMost := missing + spread // the median is at most one spread before the end of the window
	if off := end - h.values[0]; off < 0 || off > atMost {
		t.Errorf("took %.4f, off by %.4f, at most %.4f", h.values[0], off, atMost)
	}
}

// TestDriftIsTold: what creeps on after it was taken is said.
func TestDriftIsTold(t *testing.T) {
	h := newHand(t, meter.Usual(meter.Diode))
	h.reads(200, func(i int) scpi.Number { return microvolts(0.4 + 0.0003*float64(i)) })
	if len(h.events) != 3 || h.events[1] != "taken 0.401" || h.events[2] != "moved 0.403" {
		t.Errorf("got %q", h.events)
	}
}

func TestSteepDriftIsNotTaken(t *testing.T) {
	h := newHand(t, meter.Usual(meter.Diode))
	h.reads(50, func(i int) scpi.Number { return microvolts(0.1 + 0.01*float64(i)) }).want(t, "touched")
}

func TestSpike(t *testing.T) {
	newHand(t, meter.Usual(meter.Diode)).pad(3, 412).pad(1, 700).pad(5, 412).want(t, "touched")
}

func TestOhmsByShare(t *testing.T) {
	h := newHand(t, meter.Usual(meter.Resistance))
	h.reads(10, func(i int) scpi.Number { return scpi.Number{Coef: 47000 + int64(i%3)*50} }).want(t, "touched", "taken 47050.000")
}

func TestClockPutBack(t *testing.T) {
	h := newHand(t, meter.Usual(meter.Diode)).pad(5, 412)
	h.now = h.now.Add(-time.Hour)
	h.pad(5, 412).want(t, "touched")
	h.pad(1, 412).want(t, "touched", "taken 0.412")
	h.air(2)
	h.now = h.now.Add(-time.Hour)
	h.air(1)
	if _, ok := h.Open(); ok {
		t.Error("readings on both sides of the jump were taken as one")
	}
}

// TestBounded: a window that never closes does not grow without end.
func TestBounded(t *testing.T) {
	s := meter.Usual(meter.Diode)
	s.Window = time.Minute
	h := newHand(t, s)
	h.pace = 0
	if n := testing.AllocsPerRun(1, func() { h.pad(6000, 412) }); n > 40 {
		t.Errorf("%v allocations", n)
	}
}

func TestSettlingCheck(t *testing.T) {
	for _, f := range []meter.Function{meter.Diode, meter.Resistance, meter.FourWire} {
		if err := meter.Usual(f).Check(); err != nil {
			t.Errorf("%v: %v", f, err)
		}
	}
	for i, change := range []func(*meter.Settling){
		func(s *meter.Settling) { s.Window = -1 }, func(s *meter.Settling) { s.Window = time.Hour }, func(s *meter.Settling) { s.Least = 1 },
		func(s *meter.Settling) { s.Least = 1e6 }, func(s *meter.Settling) { s.Spread = -1 }, func(s *meter.Settling) { s.Share = math.NaN() },
		func(s *meter.Settling) { s.OpenFrom = math.Inf(1) }, func(s *meter.Settling) { s.Lifted = 0 }, func(s *meter.Settling) { s.LiftFor = -1 },
	} {
		s := meter.Usual(meter.Diode)
		change(&s)
		if _, err := meter.NewTouches(s); err == nil {
			t.Errorf("%d: %+v was taken", i, s)
		}
	}
}

// FuzzTouches: between two values that are taken there is always a lift.
func FuzzTouches(f *testing.F) {
	f.Add([]byte("0000000000ooooo1111111111oo0000000o0000000"))
	f.Add([]byte("nnnn0000u00000000000oo"))
	f.Fuzz(func(t *testing.T, script []byte) {
		h, taken := newHand(t, meter.Usual(meter.Diode)), false
		for i, b := range script {
			n := scpi.Number{Coef: int64(b), Exp: -3}
			switch b {
			case 'o':
				n = scpi.Number{Kind: scpi.Over}
			case 'n':
				n = scpi.Number{Kind: scpi.NotANumber}
			case 'b':
				h.now = h.now.Add(-time.Second)
			}
			e, _ := h.Add(meter.Sample{At: h.now, Reading: n})
			h.now = h.now.Add(time.Duration(b) * time.Millisecond)
			switch {
			case e == meter.Taken && taken:
				t.Fatalf("taken twice at %d", i)
			case e == meter.Taken:
				taken = true
			case e == meter.Lifted:
				taken = false
			}
		}
	})
}
