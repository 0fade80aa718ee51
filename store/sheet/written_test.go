package sheet

import (
	"testing"

	"netlore/store/board"
)

// What a target is called elsewhere is how a sheet has it, and reads back.
func TestTargetIsWrittenAsInASheet(t *testing.T) {
	names := []string{"VMAIN", "P11", "net", "pad", "U3.", "U3.1", "A B", `a"b`, "/RESET#", "N$12", "x:y", "P1..P4"}
	for kind := board.AnyTarget; kind <= board.OnBranch; kind++ {
		for _, role := range []string{"", "lower", "a b"} {
			for _, name := range names {
				for _, pin := range []string{"", "1", "A.4", "a b"} {
					if (pin != "") != (kind == board.OnPin) {
						continue
					}
					target := board.Target{Kind: kind, Role: role, Name: name, Pin: pin}
					if got, want := target.Written(), string(appendTarget(nil, &target)); got != want {
						t.Errorf("%+v is written %s, in a sheet %s", target, got, want)
					}
				}
			}
		}
	}
}
