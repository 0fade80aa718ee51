package plan_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/syntax"
	"netlore/store/board"
)

// smallRadio has twenty capacitors on VMAIN, two of which are on VRF, and two
// lids: one with a list, one with an outline.
func smallRadio() *board.Board {
	bu := board.NewBuilder(board.Ref{Name: "Plover-A"})
	names := strings.Fields("C1 C2 C3 C4 C5 C6 C7 C8 C9 C10 C11 C12 C13 C14 C15 C16 C17 C18 C19 C20")
	for i, name := range names {
		id := bu.Part(name)
		bu.Connect(bu.Pin(id, "1"), bu.Net("VMAIN"))
		if i < 2 {
			bu.Connect(bu.Pin(id, "2"), bu.Net("VRF"))
		}
	}
	listed := bu.CoverAt(bu.Cover("UF1"))
	listed.Listed, listed.Parts = true, []board.PartID{0, 1}
	bu.CoverAt(bu.Cover("SH1")).Outline = board.Box(board.Point{}, board.Point{X: 1000, Y: 1000})
	return bu.Build()
}

func steps(t *testing.T, text string, opt plan.Options) []string {
	t.Helper()
	tree, complaints := syntax.Parse(text)
	if complaints.HasErrors() {
		t.Fatal(complaints)
	}
	q, complaints := check.Check(text, tree, &check.Scope{Members: []check.Member{{Board: smallRadio()}}})
	if q == nil {
		t.Fatal(complaints)
	}
	var all []string
	for _, line := range plan.Of(q.Set, q.Scope, 0, opt).Lines(nil) {
		all = append(all, strings.Repeat("  ", line.Depth)+line.Text)
	}
	return all
}

func TestSteps(t *testing.T) {
	for _, c := range []struct {
		ask  string
		want []string
	}{
		{"parts", []string{"all parts"}},
		{"capacitors with value >= 10uF on VRF", []string{"look up VRF in nets", "test with value >= 10uF", "test capacitors"}},
		{"parts under UF1", []string{"look up in the list of UF1"}},
		{"parts on VMAIN on VRF", []string{"look up VRF in nets", "test on VMAIN"}},
		{"parts on (nets of C1) not under SH1", []string{"  look up C1 in parts", "look up (nets …) in nets", "test not under SH1"}},
		{"(parts on VRF) except (hidden parts)", []string{"  look up VRF in nets", "  look up by place under any cover", "except"}},
		{"parts with volts between 5V and 10V or under SH1", []string{"all parts", "test with volts between 5V and 10V or under SH1"}},
	} {
		if d := cmp.Diff(c.want, steps(t, c.ask, plan.Options{})); d != "" {
			t.Errorf("%s\n%s", c.ask, d)
		}
	}
}

// Without indexes things are tested in the order in which they are said.
func TestScanKeepsTheOrderOfTheQuestion(t *testing.T) {
	got := steps(t, "capacitors with value >= 10uF on VRF", plan.Options{Scan: true})
	want := []string{"all parts", "test capacitors", "test with value >= 10uF", "test on VRF"}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}
