package run

import (
	"fmt"
	"testing"

	"netlore/query/check"
	"netlore/store/board"
)

// sameParts is a board with so many capacitors on its only rail.
func sameParts(parts int) *check.Scope {
	b := board.NewBuilder(board.Ref{Name: "Plain"})
	rail, ground := b.Net("V"), b.Net("GND")
	b.NetAt(rail).Kind, b.NetAt(ground).Kind = board.Power, board.Ground
	for i := range parts {
		part := b.Part(fmt.Sprintf("C%d", i+1))
		b.PartAt(part).Class = board.Capacitor
		b.Connect(b.Pin(part, "1"), rail)
		b.Connect(b.Pin(part, "2"), ground)
	}
	return &check.Scope{Members: []check.Member{{Board: b.Build()}}}
}

// TestFewSuspects: where none of many stands out a few are listed all the same, and
// where few stand out the others are not.
func TestFewSuspects(t *testing.T) {
	short := board.Step{Number: 1, Kind: board.StepReading, Mode: board.Diode, On: []board.Target{{Name: "V"}}, Value: board.MustQuantity("3mV")}
	a, err := Suspects(t.Context(), sameParts(300), Isolation{Job: &board.Job{ID: "1", Steps: []board.Step{short}}})
	if err != nil || len(a.Rows) != fewSuspects {
		t.Errorf("of %d suspects that are alike, %d are listed; %v", a.Things, len(a.Rows), err)
	}
	removed := board.Step{Number: 2, Kind: board.StepRemoved, On: []board.Target{{Name: "C7"}}, Gone: true}
	a, err = Suspects(t.Context(), sameParts(300), Isolation{Job: &board.Job{ID: "1", Steps: []board.Step{short, removed}}})
	if err != nil || len(a.Rows) > 3 {
		t.Errorf("one explains the short, and %d are listed; %v", len(a.Rows), err)
	}
}
