package run

import (
	"testing"

	"netlore/query/isolate"
	"netlore/store/board"
)

// TestSeenMarks: that there is none of something is not that it was seen.
func TestSeenMarks(t *testing.T) {
	for remark, want := range map[string][2]bool{
		"corroded": {true, false}, "white residue round the pins": {true, false}, "no corrosion": {false, true}, "not any rust": {false, true},
		"clean, green solder mask": {false, true}, "without residue": {false, true}, "no sign of corrosion": {false, true}, "a bit bent": {false, false},
		"not clean": {false, false}, "white residue, not clean": {true, false}, "no corrosion but white residue": {false, false},
		"clean except green on a pin": {false, false}, "green round the pad": {true, false}, "": {false, false},
	} {
		if marked, clean := seenMarks(remark); marked != want[0] || clean != want[1] {
			t.Errorf("%q: marked %v, clean %v; want %v, %v", remark, marked, clean, want[0], want[1])
		}
	}
}

func TestDeniedHistory(t *testing.T) {
	for symptom, want := range map[string]isolate.History{
		"dead, no liquid damage": isolate.NoHistory, "dead after rain": isolate.Liquid, "fell, but was never in water": isolate.Drop, "not dropped; wet": isolate.Liquid,
	} {
		if got := historyOf(&board.Job{Symptom: symptom}); got != want {
			t.Errorf("%q tells of %v, want %v", symptom, got, want)
		}
	}
}
