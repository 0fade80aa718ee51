package bench

import (
	"testing"

	"netlore/store"
)

// TestSwitchSteps: whatever a cover, a part or a pad is called, the step of its switch is
// read as that of the very thing.
func TestSwitchSteps(t *testing.T) {
	for _, name := range []string{"SH1", "Shield A", "T-1", `in "2`, "net", "U3.A4"} {
		for role, halves := range map[string]bool{"": false, "lower:": true} {
			s := &Sheet{Halves: halves, Covers: []string{role + name},
				States: []string{role + name + "-taped", role + name + "-lifted", role + name + "-off"}}
			for _, sw := range switches(s) {
				if sw.What == "halves" {
					continue
				}
				step, err := store.ReadStep("1", 1, sw.Step)
				if err != nil || len(step.On) != 1 || step.On[0].String() != role+name {
					t.Errorf("%s of %s%s is read as %+v, %v", sw.Step, role, name, step.On, err)
				}
			}
		}
	}
}
