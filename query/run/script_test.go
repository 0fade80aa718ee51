package run_test

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/tools/txtar"

	"netlore/query/check"
	"netlore/query/diag"
	"netlore/query/run"
	"netlore/query/syntax"
	"netlore/store/board"
	"netlore/store/sheet"
)

var update = flag.Bool("update", false, "write the answers that are given into testdata")

// stillClock makes times of 0 ms, so that answers are the same every time.
func stillClock() time.Time { return time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC) }

// TestScripts asks the questions of testdata/query/*.txtar. Each archive holds
// sheets, and for each question a file NAME.ask and a file NAME.answer. All its
// boards are asked: as members of the stack if one of the sheets is that of a
// stack, else board by board.
func TestScripts(t *testing.T) {
	files, err := filepath.Glob("../../testdata/query/*.txtar")
	if err != nil || len(files) == 0 {
		t.Fatal("no scripts", err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txtar"), func(t *testing.T) { runScript(t, file) })
	}
}

func runScript(t *testing.T, file string) {
	archive, err := txtar.ParseFile(file)
	if err != nil {
		t.Fatal(err)
	}
	scopes := loadScopes(t, archive)
	for i := 0; i+1 < len(archive.Files); i++ {
		ask, answer := archive.Files[i], &archive.Files[i+1]
		name, isAsk := strings.CutSuffix(ask.Name, ".ask")
		if !isAsk {
			continue
		}
		if answer.Name != name+".answer" {
			t.Fatalf("%s has no %s.answer after it", ask.Name, name)
		}
		got := "\n" + answerText(scopes, strings.TrimSpace(string(ask.Data))) + "\n"
		if *update {
			answer.Data = []byte(got)
		} else if d := cmp.Diff(string(answer.Data), got); d != "" {
			t.Errorf("%s: %s", strings.TrimSpace(string(ask.Data)), d)
		}
	}
	if *update {
		if err := os.WriteFile(file, txtar.Format(archive), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// loadScopes reads the sheets of an archive. A sheet named in a line
// `sheet FILE` of its comment is read from testdata.
func loadScopes(t testing.TB, archive *txtar.Archive) []*check.Scope {
	var contents []*sheet.Content
	for _, line := range strings.Split(string(archive.Comment), "\n") {
		if name, ok := strings.CutPrefix(line, "sheet "); ok {
			contents = append(contents, readSheets(t, strings.Fields(name)...))
		}
	}
	for _, f := range archive.Files {
		if strings.HasSuffix(f.Name, ".lore") {
			contents = append(contents, parseSheet(t, f.Name, f.Data))
		}
	}
	return scopesOf(t, contents)
}

// readSheets reads sheets of one subject from testdata.
func readSheets(t testing.TB, names ...string) *sheet.Content {
	var files []*sheet.File
	for _, name := range names {
		data, err := os.ReadFile(filepath.Join("../../testdata", name))
		if err != nil {
			t.Fatal(err)
		}
		f, complaints := sheet.Parse(name, data)
		if complaints.HasErrors() {
			t.Fatal(complaints)
		}
		files = append(files, f)
	}
	content, complaints := sheet.Read(files...)
	if complaints.HasErrors() {
		t.Fatal(complaints)
	}
	return content
}

func parseSheet(t testing.TB, name string, data []byte) *sheet.Content {
	f, complaints := sheet.Parse(name, data)
	if complaints.HasErrors() {
		t.Fatal(complaints)
	}
	content, complaints := sheet.Read(f)
	if complaints.HasErrors() {
		t.Fatal(complaints)
	}
	return content
}

// scopesOf is one scope for a stack, or one for each board.
func scopesOf(t testing.TB, contents []*sheet.Content) []*check.Scope {
	var scopes []*check.Scope
	byRef := map[board.Ref]*sheet.Content{}
	var stack *board.Stack
	for _, c := range contents {
		switch {
		case c.Stack != nil:
			stack = c.Stack
		case c.Board != nil:
			byRef[c.Board.Ref] = c
			scopes = append(scopes, &check.Scope{Members: []check.Member{{Board: c.Board.Ringing(c.Knowledge.Touches("")), Knowledge: c.Knowledge}}})
		}
	}
	if stack == nil {
		for _, s := range scopes {
			s.Lenient = len(scopes) > 1
		}
		return scopes
	}
	scope := &check.Scope{Stack: stack.Name, Joins: stack.Joins}
	for _, m := range stack.Members {
		c := byRef[m.Board]
		if c == nil {
			t.Fatalf("no sheet of %s", m.Board)
		}
		scope.Members = append(scope.Members, check.Member{Role: m.Role, Board: c.Board.Ringing(c.Knowledge.Touches(m.Role)), Knowledge: c.Knowledge})
	}
	return []*check.Scope{scope}
}

// answerText asks a question and prints the answer, or the complaints.
func answerText(scopes []*check.Scope, text string) string {
	tree, complaints := syntax.Parse(text)
	if complaints.HasErrors() {
		return complaintText(complaints)
	}
	r := run.New(run.Options{Now: stillClock})
	for _, scope := range scopes {
		q, complaints := check.Check(text, tree, scope)
		if q == nil {
			return complaintText(complaints)
		}
		r.Add(context.Background(), q)
	}
	if err := r.Err(); err != nil {
		return err.Error() + "\n"
	}
	return tableText(r.Finish())
}

func complaintText(l diag.List) string {
	var s strings.Builder
	for _, d := range l {
		fmt.Fprintf(&s, "%s: %s\n", d.Code, d.Message)
	}
	return s.String()
}

// tableText prints an answer with a bar between columns.
func tableText(a *run.Answer) string {
	var s strings.Builder
	if a.Reading != "" {
		fmt.Fprintf(&s, "read as: %s\n", a.Reading)
	}
	var heads []string
	for _, c := range a.Columns {
		head := c.Name
		if c.Unit != "" {
			head += " (" + c.Unit + ")"
		}
		heads = append(heads, head)
	}
	fmt.Fprintln(&s, strings.Join(heads, " | "))
	for _, row := range a.Rows {
		var cells []string
		for i, cell := range row.Cells {
			cells = append(cells, cell.In(a.Columns[i].Unit))
		}
		fmt.Fprintln(&s, strings.Join(cells, " | "))
	}
	for _, remark := range a.Remarks {
		fmt.Fprintln(&s, remark)
	}
	fmt.Fprintln(&s, a.Footer(true))
	return s.String()
}
