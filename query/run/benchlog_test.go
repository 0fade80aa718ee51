package run

import (
	"slices"
	"testing"
	"time"

	"netlore/query/check"
	"netlore/query/isolate"
	"netlore/query/plan"
	"netlore/query/trace"
	"netlore/store/board"
)

// twoHalves is a stack of two boards that are joined by three pads: upper with the
// charger, lower with a branch for each of two of them, and a lid over C2.
func twoHalves() *check.Scope {
	upper := board.NewBuilder(board.Ref{Name: "Upper"})
	vup, gup := upper.Net("V"), upper.Net("GND")
	upper.NetAt(vup).Kind, upper.NetAt(gup).Kind = board.Power, board.Ground
	charger := upper.Part("U1")
	upper.PartAt(charger).Class = board.Charger
	upper.Connect(upper.Pin(charger, "1"), vup)
	upper.Connect(upper.Pin(charger, "2"), gup)
	lower := board.NewBuilder(board.Ref{Name: "Lower"})
	vlow, glow := lower.Net("V"), lower.Net("GND")
	lower.NetAt(vlow).Kind, lower.NetAt(glow).Kind = board.Power, board.Ground
	scope := &check.Scope{Stack: "Pair"}
	for i, name := range []string{"P1", "P2", "P3"} {
		net := []board.NetID{vlow, vlow, glow}[i]
		a, b := upper.Pad(name), lower.Pad(name)
		*upper.PadAt(a) = board.Pad{Name: name, Net: []board.NetID{vup, vup, gup}[i], Group: "F", Side: board.Bottom}
		*lower.PadAt(b) = board.Pad{Name: name, Net: net, Group: "F", Side: board.Top}
		scope.Joins = append(scope.Joins, board.Join{A: board.JoinEnd{Role: "upper", Pad: name}, B: board.JoinEnd{Role: "lower", Pad: name}, Via: "F"})
	}
	for i, name := range []string{"C1", "C2"} {
		part := lower.Part(name)
		lower.PartAt(part).Class = board.Capacitor
		pin := lower.Pin(part, "1")
		lower.Connect(pin, vlow)
		lower.Connect(lower.Pin(part, "2"), glow)
		lower.Board().Branches = append(lower.Board().Branches, board.Branch{Name: "V." + name, Net: vlow, Pads: []board.PadID{board.PadID(i)}, Pins: []board.PinID{pin}})
	}
	lower.Board().Covers = []board.Cover{{Name: "SH1", Part: board.None, Listed: true, Parts: []board.PartID{1}}}
	scope.Members = []check.Member{{Role: "upper", Board: upper.Build()}, {Role: "lower", Board: lower.Build()}}
	return scope
}

// taken are the steps of a job, as the isolation takes them.
func taken(t *testing.T, job *board.Job) ([]told, isolate.State, *bench) {
	t.Helper()
	return takenOn(t, twoHalves(), job)
}

func takenOn(t *testing.T, scope *check.Scope, job *board.Job) ([]told, isolate.State, *bench) {
	t.Helper()
	w := newAssembly(scope, plan.Options{}, &brake{ctx: t.Context(), pace: 256})
	supply := w.usualSupply()
	net, ok := w.netAt(board.Target{Role: "upper", Name: "V"})
	if !ok {
		t.Fatal("there is no rail")
	}
	x := newBench(w, w.copperOf(supply, net), supply)
	steps, state, _ := x.log(job)
	return steps, state, x
}

func TestBenchOfTwoHalves(t *testing.T) {
	_, _, x := taken(t, &board.Job{})
	d := &x.device
	if len(d.Parts) != 3 || len(d.Pads) != 3 || len(d.Covers) != 1 || len(d.Halves) != 2 || len(d.Source) != 1 {
		t.Fatalf("%+v", d)
	}
	if got := len(d.Halves[1].Feed); got != 2 {
		t.Errorf("lower is fed at %d pieces, want 2", got)
	}
	for i, want := range []int{isolate.None, isolate.None, 0} {
		if got := d.Parts[i].Spot.Cover; got != want {
			t.Errorf("over part %d lies cover %d, want %d", i, got, want)
		}
	}
	if !d.Pads[2].Grounded || len(d.Pads[2].At) != 0 || len(d.Pads[0].At) != 2 {
		t.Errorf("%+v", d.Pads)
	}
	if len(d.Probes) != 3 {
		t.Errorf("%d places to probe, want one for each piece of copper", len(d.Probes))
	}
}

func TestBenchLog(t *testing.T) {
	at := func(name string) []board.Target { return []board.Target{{Role: "lower", Name: name}} }
	volts := func(s string) board.Quantity { return board.MustQuantity(s) }
	job := &board.Job{Limit: volts("2A"), Steps: []board.Step{
		{Number: 1, Kind: board.StepDraw, Value: volts("1.9A")},
		{Number: 2, Kind: board.StepSeparated},
		{Number: 3, Kind: board.StepDraw, Value: volts("1.9A")},
		{Number: 4, Kind: board.StepDraw, Value: volts("0.05A"), Remark: "upper alone"},
		{Number: 5, Kind: board.StepReading, Mode: board.Diode, On: at("P1"), Value: volts("3mV")},
		{Number: 6, Kind: board.StepReading, Mode: board.Diode, On: at("P2"), Value: volts("0.43V")},
		{Number: 7, Kind: board.StepReading, Mode: board.Diode, On: at("P2"), Value: volts("50mV")},
		{Number: 8, Kind: board.StepReading, Mode: board.Diode, On: at("P3"), Value: volts("1mV")},
		{Number: 9, Kind: board.StepTape, On: at("P1")},
		{Number: 10, Kind: board.StepDraw, Value: volts("0A")},
		{Number: 11, Kind: board.StepUntape, On: at("P1")},
		{Number: 12, Kind: board.StepHot, On: at("C1")},
		{Number: 13, Kind: board.StepInject, On: at("P1"), Volts: volts("1V"), Amps: volts("1A")},
		{Number: 14, Kind: board.StepHot, Nothing: true},
		{Number: 15, Kind: board.StepCoverOff, On: at("SH1")},
		{Number: 16, Kind: board.StepHot, On: at("C2")},
		{Number: 17, Kind: board.StepRemoved, On: at("C2")},
		{Number: 18, Kind: board.StepResistance, On: at("P1"), Value: volts("0.3ohm"), Mode: board.Resistance},
		{Number: 19, Kind: board.StepLook, On: at("C1"), Remark: "a bit bent"},
	}}
	steps, state, x := taken(t, job)
	want := []struct {
		kind string // of the observation
		seen bool
		why  string
	}{
		{kind: "draw", seen: true}, {}, {why: `which board was fed is not said: draw upper 1.9A`}, {kind: "draw"},
		{kind: "reading", seen: true}, {kind: "reading"}, {why: "it is between a short and what is none"}, {why: "it is not on the rail"},
		{}, {kind: "tape"}, {}, {kind: "heat", seen: true}, {}, {kind: "heat"}, {}, {kind: "heat", seen: true}, {},
		{kind: "reading", seen: true}, {why: "only corrosion on something is understood of a look"},
	}
	for i, w := range want {
		kind, seen := "", false
		switch o := steps[i].about.(type) {
		case *isolate.Short:
			kind, seen = []string{"draw", "tape", "reading"}[o.By], o.Seen
			if o.By == isolate.Tape && (o.State.Apart || !slices.Equal(o.State.Taped, []int{0})) {
				t.Errorf("step %d was made in %+v", i+1, o.State)
			}
		case *isolate.Heat:
			kind, seen = "heat", o.Seen
		}
		if kind != w.kind || seen != w.seen || steps[i].why != w.why {
			t.Errorf("step %d is %q, seen %t, %q; want %+v", i+1, kind, seen, steps[i].why, w)
		}
	}
	if !state.Apart || !state.Loose || len(state.Taped) != 0 || !slices.Equal(state.Lids, []int{0}) || !slices.Equal(state.Off, []int{2}) {
		t.Errorf("at the end the device is in %+v", state)
	}
	if p := x.supply.Pad(1, 0); !slices.Equal(steps[4].about.(*isolate.Short).At, []trace.Place{p}) {
		t.Errorf("the tip was at %v, want %d", steps[4].about.(*isolate.Short).At, p)
	}
}

// TestStateOfTheBench: what steps leave, what they say of the short, and which
// cannot have been made.
func TestStateOfTheBench(t *testing.T) {
	lower := func(names ...string) (all []board.Target) {
		for _, name := range names {
			all = append(all, board.Target{Role: "lower", Name: name})
		}
		return all
	}
	amps := board.MustQuantity
	steps := []struct {
		step   board.Step
		told   string // the method, where there is one, and what was seen
		cannot string
		why    string
	}{
		{step: board.Step{Kind: board.StepDraw, Half: "lower", Value: amps("0.05A")}, why: "no half is fed alone while the boards are together: log that they were separated"},
		{step: board.Step{Kind: board.StepUntape, On: lower("P1")}, cannot: "lower:P1 is not taped over"},
		{step: board.Step{Kind: board.StepJoined}, cannot: "the boards are together already"},
		{step: board.Step{Kind: board.StepSeparated}},
		{step: board.Step{Kind: board.StepSeparated}, cannot: "the boards are apart already"},
		{step: board.Step{Kind: board.StepDraw, Half: "lower", Value: amps("1.9A")}, told: "draw at lower: short"},
		{step: board.Step{Kind: board.StepDraw, Half: "middle", Value: amps("1.9A")}, why: "no board here has the role middle"},
		{step: board.Step{Kind: board.StepDraw, Half: "upper", Value: amps("0.4A")},
			why: "it is neither near what is normal (0.1A, assumed; to state it: expect amps V 0.1A) nor near the limit of the supply (2A)"},
		{step: board.Step{Kind: board.StepTape, On: lower("P1"), Gone: true}, told: "tape: none"},
		{step: board.Step{Kind: board.StepTape, On: lower("P1", "P2"), Still: true}, cannot: "lower:P1 is taped over already", told: "tape: short"},
		{step: board.Step{Kind: board.StepUntape, On: lower("P1", "P2")}},
		{step: board.Step{Kind: board.StepCoverOn, On: lower("SH1")}, cannot: "lower:SH1 is not off"},
		{step: board.Step{Kind: board.StepCoverOff, On: lower("SH1")}},
		{step: board.Step{Kind: board.StepCoverOff, On: lower("SH1")}, cannot: "lower:SH1 is off already"},
		{step: board.Step{Kind: board.StepLifted, On: lower("C1"), Still: true}, told: "draw at lower: short"},
		{step: board.Step{Kind: board.StepLifted, On: lower("C1")}, cannot: "lower:C1 is lifted already"},
		{step: board.Step{Kind: board.StepRemoved, On: lower("C1")}},
		{step: board.Step{Kind: board.StepRemoved, On: lower("C1")}, cannot: "lower:C1 is off already"},
		{step: board.Step{Kind: board.StepFitted, On: lower("C2")}, cannot: "lower:C2 is not off"},
		{step: board.Step{Kind: board.StepLifted, On: lower("C9")}, cannot: "no part here is called lower:C9"},
		{step: board.Step{Kind: board.StepFitted, On: lower("C1")}},
		{step: board.Step{Kind: board.StepReplaced, On: lower("C2"), Gone: true}, told: "draw at lower: none"},
		{step: board.Step{Kind: board.StepJoined, Gone: true}, told: "draw: none"},
	}
	job := &board.Job{Limit: amps("2A")}
	for i := range steps {
		steps[i].step.Number = i + 1
		job.Steps = append(job.Steps, steps[i].step)
	}
	got, state, x := taken(t, job)
	for i, want := range steps {
		told := ""
		if o, ok := got[i].about.(*isolate.Short); ok {
			told = []string{"draw", "tape"}[o.By]
			if slices.Equal(o.At, x.device.Halves[1].Feed) {
				told += " at lower"
			}
			told += map[bool]string{true: ": short", false: ": none"}[o.Seen]
		}
		if told != want.told || got[i].cannot != want.cannot || got[i].why != want.why {
			t.Errorf("step %d is %q, cannot be: %q, tells nothing: %q; want %+v", i+1, told, got[i].cannot, got[i].why, want)
		}
	}
	if state.Apart || !state.Loose || len(state.Off) != 0 || !slices.Equal(state.New, []int{2}) || len(state.Taped) != 0 {
		t.Errorf("at the end the device is in %+v", state)
	}
}

// TestStatedDraw: a draw is judged against what is expected of the rail, in amps.
func TestStatedDraw(t *testing.T) {
	scope := twoHalves()
	scope.Members[0].Knowledge = &board.Knowledge{Expected: []board.Expected{{Mode: board.Current, On: board.Target{Name: "V"}, Value: board.MustQuantity("0.5A")}}}
	job := &board.Job{Limit: board.MustQuantity("4A"), Steps: []board.Step{{Number: 1, Kind: board.StepDraw, Value: board.MustQuantity("0.8A")}}}
	steps, _, _ := takenOn(t, scope, job)
	if o, ok := steps[0].about.(*isolate.Short); !ok || o.Seen {
		t.Errorf("0.8A is %+v, %q; 0.5A is normal", steps[0].about, steps[0].why)
	}
}

func TestSaidOfAStep(t *testing.T) {
	when := time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		step board.Step
		want string
	}{
		{board.Step{Text: "draw 2.4A"}, "draw 2.4A"},
		{board.Step{Text: `look P1 by bench-1 when 2026-03-02T12:00:00Z "green when wet, by the edge"`, By: "bench-1", When: when}, `look P1 "green when wet, by the edge"`},
		{board.Step{Text: `reading diode when 3mV`}, "reading diode when 3mV"},
		{board.Step{Text: `tape lower:P1,lower:P2,lower:P3,lower:P7 gone "a, b"`}, `tape lower:P1..P3,lower:P7 gone "a, b"`},
		{board.Step{Text: `tape P1,P2,P3,lower:P4`}, "tape P1,P2,P3,lower:P4"},
		{board.Step{Text: `tape "P 1",P2`}, `tape "P 1",P2`},
	} {
		if got := said(&c.step); got != c.want {
			t.Errorf("%s is told as %s, want %s", c.step.Text, got, c.want)
		}
	}
}

func TestHistoryOfASymptom(t *testing.T) {
	for symptom, want := range map[string]isolate.History{
		"dead after a fall into a stream, draws amps at once": isolate.Liquid,
		"Rain got in":                        isolate.Liquid,
		"dropped on concrete, no charging":   isolate.Drop,
		"battery drains, white screen":       isolate.NoHistory,
		"warm in the pocket, flat overnight": isolate.NoHistory,
		"":                                   isolate.NoHistory,
	} {
		if got := historyOf(&board.Job{Symptom: symptom}); got != want {
			t.Errorf("%q is taken for %d, want %d", symptom, got, want)
		}
	}
}
