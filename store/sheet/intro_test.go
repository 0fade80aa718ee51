package sheet_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/query/diag"
	"netlore/store/sheet"
)

// introduction is SHEET.md up to its rules.
func introduction(t *testing.T) string {
	t.Helper()
	intro, _, ok := strings.Cut(specification(t), "\n## The rules\n")
	if !ok {
		t.Fatal("SHEET.md has no rules")
	}
	return intro
}

// TestIntroduction reads the sheets of the introduction. They are of one
// board and its stack, so the whole of them is checked at once.
func TestIntroduction(t *testing.T) {
	var board []*sheet.File
	blocks := strings.Split(introduction(t), "```\n")
	for i := 1; i < len(blocks); i += 2 {
		f, complaints := sheet.Parse("intro.lore", []byte(blocks[i]))
		if len(complaints) > 0 {
			t.Error(drawn(t, complaints))
		}
		if diff := cmp.Diff(blocks[i], string(f.Canonical())); diff != "" {
			t.Errorf("the introduction is not canonical:\n%s", diff)
		}
		board = append(board, f)
	}
	for _, files := range sheet.BySubject(board...) {
		content, complaints := sheet.Read(files...)
		complaints = append(complaints, sheet.Check(content, board...)...)
		if len(complaints) > 0 {
			t.Error(drawn(t, complaints))
		}
	}
	if len(board) < 4 {
		t.Errorf("%d sheets", len(board))
	}
}

var firstRow = regexp.MustCompile("(?m)^\\| (under a net: )?`([^`]+)` \\| (?:(?:under a net: )?`([^`]+)`|[a-z ]+) \\|$")

// TestWhatManyWriteFirst holds the table of slips against the reader: each is
// complained of, and what is to be written instead is not.
func TestWhatManyWriteFirst(t *testing.T) {
	_, table, _ := strings.Cut(introduction(t), "### What many write first")
	rows := firstRow.FindAllStringSubmatch(table, -1)
	if len(rows) < 15 {
		t.Fatalf("%d rows", len(rows))
	}
	for _, m := range rows {
		head := "netlore 1\nboard A\nnet GND ground\n"
		if m[1] != "" {
			head += "  "
		}
		if len(complaintsOf(head+m[2])) == 0 {
			t.Errorf("nothing is wrong with %s", m[2])
		}
		if l := complaintsOf(head + m[3]); m[3] != "" && l.HasErrors() {
			t.Errorf("%s: %s", m[3], drawn(t, l))
		}
	}
}

// complaintsOf is all that is said of a sheet but that its targets are not known.
func complaintsOf(text string) diag.List {
	f, complaints := sheet.Parse("in.lore", []byte(text))
	content, more := sheet.Read(f)
	complaints = append(append(complaints, more...), sheet.Check(content, f)...)
	return slices.DeleteFunc(complaints, func(d diag.Diagnostic) bool { return d.Code == "S410" })
}
