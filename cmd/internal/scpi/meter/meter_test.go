package meter_test

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"netlore/cmd/internal/scpi"
	"netlore/cmd/internal/scpi/meter"
	"netlore/cmd/internal/scpi/scpitest"
)

const patient = time.Minute

func start(t *testing.T) *scpitest.Meter {
	t.Helper()
	in, err := scpitest.StartMeter()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(in.Close)
	return in
}

// open opens the meter at an address; what it notices goes to the list.
func open(t *testing.T, at string, notices *[]string) (*meter.Meter, error) {
	t.Helper()
	address, err := scpi.ParseAddress(at)
	if err != nil {
		t.Fatal(err)
	}
	m, err := meter.Open(t.Context(), address, scpi.Options{Timeout: patient, Notice: func(s string) {
		if notices != nil {
			*notices = append(*notices, s)
		}
	}})
	if err == nil {
		t.Cleanup(func() { m.Close() })
	}
	return m, err
}

func opened(t *testing.T, in *scpitest.Meter, f meter.Function, notices *[]string) *meter.Meter {
	t.Helper()
	m, err := open(t, in.Address(), notices)
	if err == nil {
		err = m.Set(t.Context(), f)
	}
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestReadsEveryFunction(t *testing.T) {
	in := start(t)
	in.Queue(`-222,"of somebody else"`)
	in.Reads("DIOD", "+4.12000000E-01", "+9.90000000E+37")
	in.Reads("RES", "+4.70000000E+03")
	in.Reads("FRES", "+9.91000000E+37")
	m, err := open(t, in.Address(), nil)
	if err != nil || m.Identity().Model != "P60" {
		t.Fatalf("%v, %v", m, err)
	}
	for _, c := range []struct {
		f    meter.Function
		want scpi.Number
	}{
		{meter.Diode, scpi.Number{Coef: 412, Exp: -3}}, {meter.Diode, scpi.Number{Kind: scpi.Over}},
		{meter.Resistance, scpi.Number{Coef: 47, Exp: 2}}, {meter.FourWire, scpi.Number{Kind: scpi.NotANumber}},
	} {
		if err := m.Set(t.Context(), c.f); err != nil {
			t.Fatalf("%v: %v", c.f, err)
		}
		if got, err := m.Read(t.Context()); err != nil || got != c.want {
			t.Errorf("%v: %+v, %v", c.f, got, err)
		}
	}
}

func TestFunctionWords(t *testing.T) {
	for f, word := range map[meter.Function]string{meter.Diode: "diode V", meter.Resistance: "ohms ohm", meter.FourWire: "ohms4 ohm"} {
		back, ok := meter.FunctionOf(f.String())
		if f.String()+" "+f.Unit() != word || back != f || !ok {
			t.Errorf("%v in %s, back %v", f, f.Unit(), back)
		}
	}
	if f, ok := meter.FunctionOf(""); ok {
		t.Errorf("no word is %v", f)
	}
}

// TestSupplyIsNoMeter: what has an output gets no command at all.
func TestSupplyIsNoMeter(t *testing.T) {
	in, err := scpitest.StartSupply(scpitest.Supply{Volts: 3.8, Limit: 2, Ohm: 10})
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	_, err = open(t, in.Address(), nil)
	if scpi.CodeOf(err) != "M301" || !strings.HasSuffix(err.Error(), "is no meter: Plover S2 has an output, as a bench supply has") {
		t.Errorf("got %v", err)
	}
	for _, line := range in.Received() {
		if !strings.HasSuffix(line, "?\n") {
			t.Errorf("it was sent %q", line)
		}
	}
}

func TestFunctionNotKnown(t *testing.T) {
	in := start(t)
	in.Forget("CONFigure:DIODe")
	m, err := open(t, in.Address(), nil)
	if err != nil {
		t.Fatal(err)
	}
	err = m.Set(t.Context(), meter.Diode)
	if scpi.CodeOf(err) != "M302" || !strings.HasSuffix(err.Error(), `did not take CONF:DIOD and says: -113 "Undefined header;CONF:DIOD"`) {
		t.Errorf("got %v", err)
	}
	if err := m.Set(t.Context(), meter.Resistance); err != nil {
		t.Errorf("ohms after that: %v", err)
	}
}

func TestTurnedAtItsPanel(t *testing.T) {
	in := start(t)
	m := opened(t, in, meter.Diode, nil)
	in.Turn("FRES")
	err := m.Confirm(t.Context())
	if scpi.CodeOf(err) != "M303" || !strings.HasSuffix(err.Error(), `is no longer set to diode: it says it measures "FRES"`) {
		t.Errorf("got %v", err)
	}
}

func TestCannotSayItsFunction(t *testing.T) {
	in := start(t)
	in.Forget("[SENSe:]FUNCtion?")
	var notices []string
	m := opened(t, in, meter.Diode, &notices)
	if err := m.Confirm(t.Context()); err != nil || len(notices) != 1 || !strings.Contains(notices[0], "cannot say what it measures") {
		t.Errorf("%v, notices %q", err, notices)
	}
}

// TestSwitchedOffAndOn: a meter that has lost its function is set again before
// it is read.
func TestSwitchedOffAndOn(t *testing.T) {
	in := start(t)
	in.Reads("DIOD", "+4.12000000E-01", "+4.13000000E-01")
	var notices []string
	m := opened(t, in, meter.Diode, &notices)
	in.Turn("VOLT:DC")
	in.Fault("READ?", scpitest.HangUp())
	if got, err := m.Read(t.Context()); err != nil || got != (scpi.Number{Coef: 412, Exp: -3}) || in.Function() != "DIOD" || len(notices) != 1 {
		t.Errorf("%+v, %v, measures %s, notices %q", got, err, in.Function(), notices)
	}
}

func TestNoReading(t *testing.T) {
	in := start(t)
	m := opened(t, in, meter.Diode, nil)
	for text, code := range map[string]string{"garbage\n": "M202", "+1.0E+00,+2.0E+00\n": "M205", "#18abcdefgh\n": "M206", "+1.0E+20\n": "M305", "\xff\xfe\n": "M202", "\n": "M202"} {
		in.Fault("READ?", scpitest.Instead(text))
		if _, err := m.Read(t.Context()); scpi.CodeOf(err) != code {
			t.Errorf("%q: got %v, want %s", text, err, code)
		}
	}
}

// stepping is a clock that goes on only by waiting.
func stepping() meter.Clock {
	now := time.Date(2026, 3, 16, 9, 0, 0, 0, time.UTC)
	return meter.Clock{Now: func() time.Time { return now }, Wait: func(ctx context.Context, d time.Duration) error {
		now = now.Add(d)
		return ctx.Err()
	}}
}

var errEnough = errors.New("enough")

// follow goes on until the meter has said so many values, and returns events in
// words.
func follow(t *testing.T, m *meter.Meter, values int) (events []string, err error) {
	t.Helper()
	touches, err := meter.NewTouches(meter.Usual(meter.Diode))
	if err != nil {
		t.Fatal(err)
	}
	err = m.Follow(t.Context(), touches, 100*time.Millisecond, stepping(), func(_ meter.Sample, e meter.Event, s meter.Steady) error {
		switch e {
		case meter.Touched:
			events = append(events, "touched")
		case meter.Lifted:
			events = append(events, "lifted")
		case meter.Taken:
			events = append(events, time.Duration(s.Value.Float()*1e9).String())
			if values--; values == 0 {
				return errEnough
			}
		}
		return nil
	})
	return events, err
}

const lifted = "+9.90000000E+37"

func times(n int, s string) []string { return slices.Repeat([]string{s}, n) }

func TestFollow(t *testing.T) {
	in := start(t)
	in.Reads("DIOD", slices.Concat(times(3, lifted), []string{"+1.2E-01", "+3.9E-01"}, times(9, "+4.12E-01"), times(3, lifted), times(20, "+5.50E-01"))...)
	events, err := follow(t, opened(t, in, meter.Diode, nil), 2)
	if want := []string{"touched", "412ms", "lifted", "touched", "550ms"}; !errors.Is(err, errEnough) || !slices.Equal(events, want) {
		t.Errorf("got %v, %v; want %v", events, err, want)
	}
}

// TestFollowNotTheWrongFunction: ohms are not taken for volts.
func TestFollowNotTheWrongFunction(t *testing.T) {
	in := start(t)
	in.Reads("RES", "+4.7E-01")
	m := opened(t, in, meter.Diode, nil)
	in.Turn("RES")
	if events, err := follow(t, m, 1); scpi.CodeOf(err) != "M303" || !slices.Equal(events, []string{"touched"}) {
		t.Errorf("got %v, %v", events, err)
	}
}

// TestFollowAfterABreak: readings before a broken connection do not count
// towards a value after it.
func TestFollowAfterABreak(t *testing.T) {
	in := start(t)
	in.Reads("DIOD", times(12, "+4.12E-01")...)
	in.Fault("READ?", scpitest.Well(), scpitest.Well(), scpitest.Well(), scpitest.Well(), scpitest.HangUp())
	if _, err := follow(t, opened(t, in, meter.Diode, nil), 1); !errors.Is(err, errEnough) {
		t.Fatal(err)
	}
	reads := 0
	for _, line := range in.Received() {
		if line == "READ?\n" {
			reads++
		}
	}
	if want := 4 + 1 + 6; reads != want { // half a second is six readings
		t.Errorf("%d readings, want %d", reads, want)
	}
}

func TestFollowUnplugged(t *testing.T) {
	in := start(t)
	m := opened(t, in, meter.Diode, nil)
	in.Unplug()
	if _, err := follow(t, m, 1); scpi.CodeOf(err) != "M104" {
		t.Errorf("got %v", err)
	}
}

func TestFollowStops(t *testing.T) {
	in := start(t)
	m := opened(t, in, meter.Diode, nil)
	touches, err := meter.NewTouches(meter.Usual(meter.Diode))
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	err = m.Follow(ctx, touches, time.Hour, meter.SystemClock(), func(meter.Sample, meter.Event, meter.Steady) error { cancel(); return nil })
	if !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
}
