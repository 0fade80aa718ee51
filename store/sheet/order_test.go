package sheet

import (
	"slices"
	"strings"
	"testing"

	"netlore/testdata/heron"
)

// TestOrder puts the statements of the demonstration in order, which is that of
// canonical text, whatever order they came in; contradictions stay side by side.
func TestOrder(t *testing.T) {
	text, err := heron.Sheets.ReadFile("heron-a.lore")
	if err != nil {
		t.Fatal(err)
	}
	file, list := Parse("heron-a.lore", text)
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	canonical, _ := Parse("canonical", file.Canonical())
	if order := canonical.Order(); !slices.IsSorted(order) || len(order) < 100 {
		t.Errorf("canonical text is not in order: %v", order)
	}
	file, _ = Parse("x", []byte("netlore 1\nboard W\npart C10 1uF\nnet A\n  C2 1\npart C2 1uF\npart C2 2.2uF\npart C1 1uF\n"))
	var got []string
	lines := strings.Split("netlore 1\nboard W\npart C10 1uF\nnet A\n  C2 1\npart C2 1uF\npart C2 2.2uF\npart C1 1uF\n", "\n")
	for _, n := range file.Order() {
		got = append(got, lines[n-1])
	}
	if want := "board W|part C1 1uF|part C2 1uF|part C2 2.2uF|part C10 1uF|net A"; strings.Join(got, "|") != want {
		t.Errorf("got %s", strings.Join(got, "|"))
	}
}
