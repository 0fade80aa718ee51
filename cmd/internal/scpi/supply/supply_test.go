package supply_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"netlore/cmd/internal/scpi"
	"netlore/cmd/internal/scpi/scpitest"
	"netlore/cmd/internal/scpi/supply"
)

func start(t *testing.T, s scpitest.Supply) *scpitest.Supply {
	t.Helper()
	in, err := scpitest.StartSupply(s)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(in.Close)
	return in
}

func open(t *testing.T, at string, notices *[]string) (*supply.Supply, error) {
	t.Helper()
	address, err := scpi.ParseAddress(at)
	if err != nil {
		t.Fatal(err)
	}
	s, err := supply.Open(t.Context(), address, scpi.Options{Timeout: time.Minute, Notice: func(s string) {
		if notices != nil {
			*notices = append(*notices, s)
		}
	}})
	if err == nil {
		t.Cleanup(func() { s.Close() })
	}
	return s, err
}

func look(t *testing.T, in *scpitest.Supply) supply.State {
	t.Helper()
	s, err := open(t, in.Address(), nil)
	if err != nil {
		t.Fatal(err)
	}
	state, err := s.Look(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return state
}

func near(n *scpi.Number, want float64) bool { return n != nil && math.Abs(n.Float()-want) < 1e-6 }

func TestLook(t *testing.T) {
	in := start(t, scpitest.Supply{On: true, Volts: 3.8, Limit: 2, Ohm: 10})
	s := look(t, in)
	if s.Output == nil || !*s.Output || !near(s.Volts, 3.8) || !near(s.Limit, 2) || !near(s.Now, 3.8) || !near(s.Draw, 0.38) || s.Limited() || s.Channel != "" || s.Unknown != nil {
		t.Errorf("got %+v", s)
	}
}

// TestShort is a rail that pulls the supply down to its current limit.
func TestShort(t *testing.T) {
	s := look(t, start(t, scpitest.Supply{On: true, Volts: 3.8, Limit: 2, Ohm: 0.2}))
	if !near(s.Now, 0.4) || !near(s.Draw, 2) || !s.Limited() {
		t.Errorf("got %+v", s)
	}
}

func TestOff(t *testing.T) {
	s := look(t, start(t, scpitest.Supply{Volts: 3.8, Limit: 0.0001, Ohm: 10}))
	if s.Output == nil || *s.Output || !near(s.Draw, 0) || s.Limited() {
		t.Errorf("got %+v", s)
	}
}

func TestChannelAndWhatIsNotKnown(t *testing.T) {
	in := start(t, scpitest.Supply{On: true, Volts: 3.8, Limit: 2, Ohm: 10})
	in.Answer("INSTrument:SELect?", "P6V")
	in.Answer("OUTPut?", "ON")
	in.Forget("MEASure:CURRent?")
	s := look(t, in)
	want := `the amps drawn: it does not answer MEAS:CURR?, and says -113 "Undefined header;MEAS:CURR?"`
	if s.Channel != "P6V" || !*s.Output || s.Draw != nil || len(s.Unknown) != 1 || s.Unknown[0] != want {
		t.Errorf("got %+v", s)
	}
}

func TestErrorsAreShown(t *testing.T) {
	in := start(t, scpitest.Supply{On: true, Volts: 3.8, Limit: 2, Ohm: 10})
	in.Queue(`-222,"Data out of range"`)
	var notices []string
	if _, err := open(t, in.Address(), &notices); err != nil || len(notices) != 1 || !strings.HasSuffix(notices[0], `had an error in its queue: -222 "Data out of range"`) {
		t.Errorf("%v, %q", err, notices)
	}
}

func TestGarbage(t *testing.T) {
	in := start(t, scpitest.Supply{On: true, Volts: 3.8, Limit: 2, Ohm: 10})
	s, err := open(t, in.Address(), nil)
	if err != nil {
		t.Fatal(err)
	}
	for pattern, code := range map[string]string{"OUTPut?": "M207", "MEASure:VOLTage?": "M202"} {
		in.Fault(pattern, scpitest.Instead("x y z\n+0,\"No error\"\n"))
		if _, err := s.Look(t.Context()); scpi.CodeOf(err) != code {
			t.Errorf("%s: got %v, want %s", pattern, err, code)
		}
		in.Fault(pattern, scpitest.Well())
	}
}

func TestWrongInstrument(t *testing.T) {
	meter, err := scpitest.StartMeter()
	if err != nil {
		t.Fatal(err)
	}
	defer meter.Close()
	sourcing := start(t, scpitest.Supply{Volts: 1, Limit: 1, Ohm: 1})
	sourcing.Answer("SENSe:FUNCtion?", `"VOLT"`)
	nothing, err := scpitest.Start("Plover,L1,1,1")
	if err != nil {
		t.Fatal(err)
	}
	defer nothing.Close()
	for _, c := range []struct{ at, says string }{
		{meter.Address(), "is no bench supply: Plover P60 (serial 4711) measures, and has no output"},
		{sourcing.Address(), "is no plain bench supply: Plover S2 has an output and measures other things too"},
		{nothing.Address(), "is no bench supply: Plover L1 (serial 1) has neither an output nor set volts"},
	} {
		if _, err := open(t, c.at, nil); scpi.CodeOf(err) != "M301" || !strings.HasSuffix(err.Error(), c.says) {
			t.Errorf("got %v, want %s", err, c.says)
		}
	}
	for _, line := range append(sourcing.Received(), meter.Received()...) {
		if strings.HasPrefix(line, "MEAS") {
			t.Errorf("%q was asked", strings.TrimSpace(line))
		}
	}
}

// TestOnlyAsks: whatever goes wrong on the way, a supply is sent nothing but
// questions, each alone on its line and without a value.
func TestOnlyAsks(t *testing.T) {
	in := start(t, scpitest.Supply{On: true, Volts: 3.8, Limit: 2, Ohm: 10})
	asked := []string{"*IDN?", "SYSTem:ERRor?", "OUTPut?", "[SOURce:]VOLTage?", "[SOURce:]CURRent?", "MEASure:VOLTage?", "MEASure:CURRent?"}
	faults := []scpitest.Fault{scpitest.HangUp(), scpitest.Cut(2), scpitest.Flood(10_000), scpitest.Twice("OUTP ON"), scpitest.Instead("garbage\n"), scpitest.Instead("-100,\"OUTP ON\"\n")}
	for _, pattern := range asked {
		for _, fault := range faults {
			in.Fault(pattern, fault)
			if s, err := open(t, in.Address(), nil); err == nil {
				s.Look(t.Context())
			}
		}
	}
	lines := in.Received()
	if len(lines) < 200 {
		t.Errorf("only %d lines were sent", len(lines))
	}
	for _, line := range lines {
		question, ok := strings.CutSuffix(line, "?\n")
		if !ok || strings.Trim(question, "ABCDEFGHIJKLMNOPQRSTUVWXYZ:*") != "" {
			t.Errorf("the supply was sent %q", line)
		}
	}
}
