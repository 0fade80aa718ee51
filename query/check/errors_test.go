package check

import (
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/tools/txtar"

	"netlore/query/diag"
	"netlore/query/syntax"
)

var update = flag.Bool("update", false, "write the golden files anew")

const cases = "../../testdata/query/"

// ask reads and checks a question, as the front door does.
func ask(text string, s *Scope) (*Question, diag.List) {
	tree, list := syntax.Parse(text)
	if tree == nil {
		if MayBeOfNames(list) {
			list = ByNames(text, list, s)
		}
		return nil, list
	}
	return Check(text, tree, s)
}

// scopeOf is what a case is asked of: the stack if its name begins so.
func scopeOf(name string) *Scope {
	if strings.HasPrefix(name, "stack") {
		return fixture()
	}
	return alone()
}

// eachCase runs over the archives that fit a pattern. A case is a question in
// its first line, and below it what is said of it.
func eachCase(t *testing.T, pattern string, say func(t *testing.T, name, question string) string) {
	t.Helper()
	files, err := filepath.Glob(cases + pattern)
	if err != nil || len(files) == 0 {
		t.Fatalf("no cases fit %s: %v", pattern, err)
	}
	for _, file := range files {
		archive, err := txtar.ParseFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for i, f := range archive.Files {
			question, want, _ := strings.Cut(string(f.Data), "\n")
			got := say(t, f.Name, question)
			if d := cmp.Diff(strings.TrimSpace(want), strings.TrimSpace(got)); d != "" && !*update {
				t.Errorf("%s: %s: %s\n%s", filepath.Base(file), f.Name, question, d)
			}
			archive.Files[i].Data = []byte(question + "\n" + got + "\n")
		}
		if *update {
			if err := os.WriteFile(file, txtar.Format(archive), 0o666); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// TestErrors pins every complaint to the letter, place and caret included.
func TestErrors(t *testing.T) {
	count := 0
	eachCase(t, "errors/*.txtar", func(t *testing.T, name, question string) string {
		count++
		q, list := ask(question, scopeOf(name))
		if q != nil && !strings.Contains(name, "note") {
			t.Errorf("%s: %s is answered", name, question)
		}
		if again := drawn(t, list); q == nil && again == "" {
			t.Errorf("%s: %s: no answer and no complaint", name, question)
		}
		suggestionsHold(t, list, scopeOf(name))
		return drawn(t, list)
	})
	if count < 100 {
		t.Errorf("only %d cases", count)
	}
}

func drawn(t *testing.T, list diag.List) string {
	t.Helper()
	var s strings.Builder
	if err := diag.Write(&s, list, diag.Style{}); err != nil {
		t.Fatal(err)
	}
	return s.String()
}

// suggestionsHold checks that what is suggested is read, and that the edits of
// a lone complaint make just that.
func suggestionsHold(t *testing.T, list diag.List, s *Scope) {
	t.Helper()
	for _, d := range list {
		for _, h := range d.Help {
			better, ok := strings.CutPrefix(h, "did you mean: ")
			if ok && !syntax.Parses(better) {
				t.Errorf("%q is suggested, but not read", better)
			}
			asked, ok := strings.CutPrefix(h, "what can be asked: ")
			if ok && !syntax.Parses(asked) {
				t.Errorf("%q is said to be possible, but is not read", asked)
			}
		}
	}
}

// TestEditsMendTheQuestion applies the edits of the first complaint of every
// case that has one: the text becomes the first suggestion.
func TestEditsMendTheQuestion(t *testing.T) {
	mended := 0
	eachCase(t, "errors/*.txtar", func(t *testing.T, name, question string) string {
		_, list := ask(question, scopeOf(name))
		i := slices.IndexFunc(list, func(d diag.Diagnostic) bool { return d.Edits != nil })
		if i >= 0 {
			e := list[i].Edits[0]
			text := question[:e.Range.Start] + e.New + question[e.Range.End:]
			if !slices.Contains(list[i].Help, "did you mean: "+text) {
				t.Errorf("%s: the edit makes %q, which is not suggested:\n%s", name, text, strings.Join(list[i].Help, "\n"))
			}
			mended++
		}
		return drawn(t, list)
	})
	if mended < 50 {
		t.Errorf("only %d complaints have edits", mended)
	}
}

// TestTypedTrees asserts what questions mean.
func TestTypedTrees(t *testing.T) {
	eachCase(t, "typed.txtar", func(t *testing.T, name, question string) string {
		q, list := ask(question, scopeOf(name))
		if q == nil {
			t.Errorf("%s: %s: %v", name, question, list)
			return ""
		}
		return describe(q)
	})
}
