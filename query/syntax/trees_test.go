package syntax

import (
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/tools/txtar"
)

// TestTrees asserts the tree of each question, not merely that it is read: a
// grammar can take a question for something else without a word.
func TestTrees(t *testing.T) {
	const file = "../../testdata/query/trees.txtar"
	archive, err := txtar.ParseFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for i, f := range archive.Files {
		text, want, _ := strings.Cut(string(f.Data), "\n")
		q, list := Parse(text)
		if q == nil {
			t.Errorf("%s: %s: %v", f.Name, text, list)
			continue
		}
		samePrinted(t, q)
		got := tree(q)
		if d := cmp.Diff(strings.TrimSpace(want), strings.TrimSpace(got)); d != "" && !*update {
			t.Errorf("%s: %s\n%s", f.Name, text, d)
		}
		archive.Files[i].Data = []byte(text + "\n" + got + "\n")
	}
	if *update {
		if err := os.WriteFile(file, txtar.Format(archive), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// FuzzQuestion reads any text: nothing panics, a tree survives being printed and
// read, and a complaint suggests only what is read.
func FuzzQuestion(f *testing.F) {
	archive, err := txtar.ParseFile("../../testdata/query/trees.txtar")
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range archive.Files {
		text, _, _ := strings.Cut(string(file.Data), "\n")
		f.Add(text)
	}
	for _, text := range []string{"", "parts on VMAIN undr shield", "parts on \"a", "((((", "parts with value > = 10uF", "x\x00y", "\xff", "parts on lower:\"x", "± 5 +-", "and also", "#"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 400 {
			return
		}
		q, list := Parse(text)
		if (q == nil) != list.HasErrors() {
			t.Fatalf("a tree: %t, and complaints: %v", q != nil, list)
		}
		if q != nil {
			samePrinted(t, q)
		}
		for _, d := range list {
			for _, h := range d.Help {
				if better, ok := strings.CutPrefix(h, "did you mean: "); ok && !Parses(better) {
					t.Errorf("%q is suggested, but not read", better)
				}
			}
			if d.Range.Start < 0 || d.Range.End < d.Range.Start || d.Range.End > len(text) {
				t.Errorf("the range is %v of %d bytes", d.Range, len(text))
			}
		}
		At(text, len(text)/2)
	})
}
