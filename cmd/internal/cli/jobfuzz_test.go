package cli

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"netlore/query/diag"
	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
	"netlore/testdata/heron"
)

// heronOnBench is both halves of the Heron, as a job on it sees them.
func heronOnBench(t testing.TB) []benchBoard {
	t.Helper()
	entries, err := heron.Sheets.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	var files []*sheet.File
	for _, e := range entries {
		text, err := heron.Sheets.ReadFile(e.Name())
		if err != nil {
			t.Fatal(err)
		}
		file, list := sheet.Parse(e.Name(), text)
		if err := list.Err(); err != nil {
			t.Fatal(err)
		}
		files = append(files, file)
	}
	additions, err := bySubject(files, addOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for i := range additions {
		additions[i].Author = "bench-1"
	}
	base := store.OpenMemory(nil)
	if _, err := base.Add(t.Context(), additions...); err != nil {
		t.Fatal(err)
	}
	boards, err := benchBoards(t.Context(), base, []store.Subject{store.StackSubject("Heron")})
	if err != nil || len(boards) != 2 {
		t.Fatal(boards, err)
	}
	return boards
}

// FuzzStep reads any words as a step on the Heron. What is complained of lies in
// them, and a step to which roles were added says the same.
func FuzzStep(f *testing.F) {
	boards := heronOnBench(f)
	for _, step := range []string{"hot C4103", "tape lower:P11..P14,P31", "cover-off SH1 \"SH1 is off\"", "reading diode J2.1 40V", "removed hot", "inject VMAIN 5V", "lifted upper:U300.A4 # SH1",
		"resistance TP21 to GND -1ohm", "hot SH1,SH1,SH2..SH4", "note", "", "look \"a\" by SH1"} {
		f.Add(step)
	}
	f.Fuzz(func(t *testing.T, step string) {
		within := func(err error) {
			var list diag.List
			if !errors.As(err, &list) {
				return
			}
			for _, d := range list {
				if d.Line > 1+strings.Count(step, "\n") || d.Range.Start < 0 || d.Range.End > len(step)+1 {
					t.Errorf("%q: %+v is not in it", step, d)
				}
			}
		}
		said, err := readStep(step)
		if within(err); err != nil {
			return
		}
		cautions(boards, &said)
		judged(boards, &said)
		problems := stepProblems(boards, &said, step, false)
		if within(problems); problems != nil {
			return
		}
		again, err := readStep(withRoles(boards, &said, step))
		if err != nil || again.Kind != said.Kind || again.Remark != said.Remark || again.By != said.By || len(again.On) != len(said.On) {
			t.Fatalf("%q became %q, %v", step, again.Text, err)
		}
		for _, on := range again.On {
			if !slices.ContainsFunc(said.On, func(was board.Target) bool {
				return was.Kind == on.Kind && nameOf(was) == nameOf(on) && (was.Role == on.Role || was.Role == "")
			}) {
				t.Errorf("%q became %q", step, again.Text)
			}
		}
	})
}
