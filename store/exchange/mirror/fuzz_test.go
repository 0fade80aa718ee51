package mirror

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// FuzzSheet reads sheets of a shop whose signatures are sound: it ends, what comes
// out is what was signed, and each sheet is either as it was or whole.
func FuzzSheet(f *testing.F) {
	heron, _ := shopOf(f, "Heron Repair")
	heron.says("board Wren rev 1", "part C1 10uF", "part C2 1uF", "net VMAIN power\n  C2 1")
	dir := f.TempDir()
	heron.mirror(dir)
	name := heron.sheetOf(dir, "structure")
	whole, err := os.ReadFile(name)
	if err != nil {
		f.Fatal(err)
	}
	for _, seed := range []string{string(whole), "", "netlore 1", "netlore 1\n<<<<<<< a\npart C1 10uF\n=======\npart C2 1uF\n>>>>>>> b\n", "netlore 1\r\npart C1 10uF\r\n", string(whole[:50]), "netlore 1\n  x\n\n \n#\n", "netlore 1\n|||||||\n=======\n"} {
		f.Add([]byte(seed))
	}
	said := heron.said
	f.Fuzz(func(t *testing.T, text []byte) {
		if err := os.WriteFile(name, text, 0o644); err != nil {
			t.Fatal(err)
		}
		folder, err := Open(dir)
		if err != nil {
			t.Fatal(err)
		}
		defer folder.Close()
		l, err := folder.List(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		r := folder.Read(t.Context(), l, Reading{Now: noon, Ours: heron.id.Keys()})
		for {
			item, err := r.Next()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil || item.Batch == nil {
				t.Fatal(item, err)
			}
			for _, e := range item.Batch.Entries {
				if !said[e.Text] {
					t.Errorf("%q was never signed", e.Text)
				}
			}
		}
		r.Complaints()
		s := r.Sheets[strings.TrimPrefix(filepath.ToSlash(name), filepath.ToSlash(dir)+"/")]
		if s.mayReplace(folder, said, whole) {
			for _, p := range pieces(sheetHead + strings.TrimPrefix(string(text), sheetHead)) {
				if !said[p] && !s.conflict && !s.short && !strings.Contains(string(text), "\r\n") {
					t.Errorf("%q would be lost", p)
				}
			}
		}
	})
}

// FuzzSides parts texts in which there may be conflicts: no line comes out that was
// not there, and without a conflict the text is both sides.
func FuzzSides(f *testing.F) {
	f.Add("a\n<<<<<<< HEAD\nb\n||||||| x\ny\n=======\nc\n>>>>>>> other\nd\n")
	f.Add("<<<<<<<")
	f.Fuzz(func(t *testing.T, text string) {
		ours, theirs, cuts := sides(text)
		if len(cuts) == 0 && (ours.text != text || theirs.text != text) {
			t.Errorf("%q became %q and %q", text, ours.text, theirs.text)
		}
		lines := slices.Collect(strings.Lines(text))
		for _, side := range []side{ours, theirs} {
			number := 0
			for line := range strings.Lines(side.text) {
				number++
				if at := side.line(number); at < 1 || at > len(lines) || lines[at-1] != line {
					t.Errorf("%q is not in line %d of %q", line, at, text)
				}
			}
		}
		for _, c := range cuts {
			if c.line < 1 || c.line > 1+strings.Count(text, "\n") {
				t.Errorf("line %d of %q", c.line, text)
			}
		}
	})
}
