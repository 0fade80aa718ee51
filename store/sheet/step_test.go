package sheet

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/store/board"
)

const stepsOfEveryKind = `netlore 1

job 7 of Heron by bench-1
  1 draw 1.9A
  2 reading diode pad lower:P11 4mV red-on-ground meter M1 by bench-2 when 2026-03-16 "cold"
  3 separated
  4 tape lower:P12,lower:P13
  5 untape lower:P12
  6 cover-off lower:SH1
  7 inject lower:VMAIN 1V 2A 30s
  8 hot lower:C4103
  9 resistance pin lower:C4103.1 to lower:C4103.2 open
  10 lifted lower:L4
  11 removed lower:C4103
  12 reading diode upper:VMAIN open
  13 replaced lower:C4103
  14 fitted lower:L4
  15 cover-on lower:SH1
  16 joined
  17 freeze nothing
  18 cold lower:U1
  19 look "no water"
  20 note "done"
  21 resistance lower:P11 4.7kohm meter M2
  22 draw lower 0.1A
  23 tape lower:P13 gone
  24 lifted lower:L4 still
`

// Every kind of step of the sheet has a kind in the domain, and each says what
// the line says.
func TestStepsAreTakenApart(t *testing.T) {
	for _, f := range stepForms {
		if k, ok := board.StepKindByWord(f.word); !ok || k.String() != f.word {
			t.Errorf("%s is no kind of step", f.word)
		}
	}
	f, list := Parse("job.lore", []byte(stepsOfEveryKind))
	content, more := Read(f)
	if list.HasErrors() || more.HasErrors() {
		t.Fatal(list, more)
	}
	steps := content.Knowledge.Jobs[0].Steps
	seen := map[board.StepKind]bool{}
	for _, s := range steps {
		seen[s.Kind] = true
		if word, _, _ := strings.Cut(s.Text, " "); word != s.Kind.String() {
			t.Errorf("%q is of kind %s", s.Text, s.Kind)
		}
	}
	if len(seen) != len(stepForms) {
		t.Errorf("%d kinds of steps, want %d", len(seen), len(stepForms))
	}
	inject, look := steps[6], steps[18]
	if inject.Volts != board.MustQuantity("1V") || inject.Amps != board.MustQuantity("2A") || inject.Lasting != board.MustQuantity("30s") ||
		steps[0].Value != board.MustQuantity("1.9A") || !steps[16].Nothing || look.Remark != "no water" {
		t.Errorf("%+v\n%+v\n%+v", steps[0], inject, look)
	}
	half, tape, lifted := steps[21], steps[22], steps[23]
	if steps[0].Half != "" || half.Half != "lower" || half.Value != board.MustQuantity("0.1A") || !tape.Gone || tape.Still || lifted.Gone || !lifted.Still {
		t.Errorf("%+v\n%+v\n%+v", half, tape, lifted)
	}
}

// Readings of a job know the job, who took them, and what had been done to the
// device by then.
func TestReadingsOfAJob(t *testing.T) {
	f, _ := Parse("job.lore", []byte(stepsOfEveryKind))
	content, _ := Read(f)
	lower := func(name string) board.Target { return board.Target{Role: "lower", Name: name} }
	when, _ := parseDate("2026-03-16")
	want := []board.Reading{
		{Mode: board.Diode, On: board.Target{Kind: board.OnPad, Role: "lower", Name: "P11"}, Value: board.MustQuantity("4mV"), RedGround: true,
			Meter: "M1", Job: "7", By: "bench-2", When: when, Text: "cold", Step: 2},
		{Mode: board.Resistance, On: board.Target{Kind: board.OnPin, Role: "lower", Name: "C4103", Pin: "1"}, To: lower("C4103.2"),
			Outcome: board.Open, State: []string{"separated", "lower:P13-taped", "lower:SH1-off"}, Job: "7", By: "bench-1", Step: 9},
		{Mode: board.Diode, On: board.Target{Role: "upper", Name: "VMAIN"}, Outcome: board.Open,
			State: []string{"separated", "lower:P13-taped", "lower:SH1-off", "lower:L4-lifted", "lower:C4103-removed"}, Job: "7", By: "bench-1", Step: 12},
		{Mode: board.Resistance, On: lower("P11"), Value: board.MustQuantity("4.7kohm"), Meter: "M2",
			State: []string{"lower:P13-taped", "lower:C4103-replaced"}, Job: "7", By: "bench-1", Step: 21},
	}
	if d := cmp.Diff(want, content.Knowledge.JobReadings()); d != "" {
		t.Error(d)
	}
}
