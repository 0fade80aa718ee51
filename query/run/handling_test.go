package run

import (
	"testing"

	"netlore/query/check"
	"netlore/store/board"
)

// TestCannotBe: what was done to a device is followed by names, whether or not it is
// on the rail, and told from what cannot be.
func TestCannotBe(t *testing.T) {
	on := func(names ...string) (all []board.Target) {
		for _, name := range names {
			all = append(all, board.Target{Name: name})
		}
		return all
	}
	lower := []board.Target{{Role: "lower", Name: "P1"}}
	for _, c := range []struct {
		name   string
		steps  []board.Step
		cannot string // of the last; of those before it nothing
	}{
		{"a pad is that of both halves", []board.Step{{Kind: board.StepTape, On: on("P1", "P2")}, {Kind: board.StepTape, On: lower}}, "lower:P1 is taped over already"},
		{"tape is off both halves", []board.Step{{Kind: board.StepTape, On: lower}, {Kind: board.StepUntape, On: on("P1")}, {Kind: board.StepTape, On: lower}}, ""},
		{"taken off what is lifted", []board.Step{{Kind: board.StepLifted, On: on("U1")}, {Kind: board.StepRemoved, On: on("U1")}, {Kind: board.StepLifted, On: on("U1")}}, "U1 is off already"},
		{"back on what is lifted", []board.Step{{Kind: board.StepLifted, On: on("U1")}, {Kind: board.StepFitted, On: on("U1")}, {Kind: board.StepFitted, On: on("U1")}}, "U1 is not off"},
		{"a new one where nothing was", []board.Step{{Kind: board.StepRemoved, On: on("C1")}, {Kind: board.StepReplaced, On: on("C1")}, {Kind: board.StepFitted, On: on("C1")}}, "C1 is not off"},
		{"leg by leg", []board.Step{{Kind: board.StepLifted, On: []board.Target{{Kind: board.OnPin, Name: "C1", Pin: "1"}}},
			{Kind: board.StepLifted, On: []board.Target{{Kind: board.OnPin, Name: "C1", Pin: "2"}}}, {Kind: board.StepFitted, On: on("C1")}}, ""},
		{"no part", []board.Step{{Kind: board.StepLifted, On: on("P1")}}, "P1 is no part"},
		{"no pad", []board.Step{{Kind: board.StepTape, On: on("C1")}}, "C1 is no pad"},
		{"no cover", []board.Step{{Kind: board.StepCoverOff, On: on("C1")}}, "no cover here is called C1"},
		{"under a cover", []board.Step{{Kind: board.StepRemoved, On: on("C2")}}, "C2 lies under lower:SH1, which is still on: log cover-off before it"},
		{"under a cover that is off", []board.Step{{Kind: board.StepCoverOff, On: on("SH1")}, {Kind: board.StepRemoved, On: on("C2")}}, ""},
		{"the first that cannot be", []board.Step{{Kind: board.StepCoverOff, On: on("SH1")}, {Kind: board.StepRemoved, On: on("C2")}, {Kind: board.StepRemoved, On: on("C1", "C2", "C3")}}, "C2 is off already"},
	} {
		for i, why := range CannotBe(t.Context(), twoHalves(), &board.Job{Steps: c.steps}) {
			want := ""
			if i == len(c.steps)-1 {
				want = c.cannot
			}
			if why != want {
				t.Errorf("%s: step %d cannot be: %q, want %q", c.name, i+1, why, want)
			}
		}
	}
}

// TestCannotBeOfOneBoard: of one board of a stack nothing is known of the others, and
// of a board alone nothing can be taken apart.
func TestCannotBeOfOneBoard(t *testing.T) {
	alone := &check.Scope{Members: twoHalves().Members[1:]}
	job := &board.Job{Steps: []board.Step{{Kind: board.StepSeparated}, {Kind: board.StepTape, On: []board.Target{{Name: "P1"}}}}}
	got := CannotBe(t.Context(), alone, job)
	if got[0] != "the device is one board" || got[1] != "no pads here are joined to others, so tape opens nothing" {
		t.Errorf("of a board alone: %q", got)
	}
	alone.Members[0].InStack, job.Of = "Pair", "Pair"
	if got := CannotBe(t.Context(), alone, job); got[0]+got[1] != "" {
		t.Errorf("of a board of a stack: %q", got)
	}
}
