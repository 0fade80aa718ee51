package lsp_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"netlore/store/board"
	"netlore/store/sheet"
)

// oddNames are names that are words elsewhere, or that need quotation marks in
// some places only.
var oddNames = []string{"pad", "nothing", "net", "pin", "C1.", "1.2", "a b", "\"", "on", "also", "(x", "#1", "top", "5V", "±", "lower:P1", "P1..P3"}

// TestCompletedNamesAreRead declares odd names, completes each of them wherever
// names stand, and reads the line: it names what was chosen.
func TestCompletedNamesAreRead(t *testing.T) {
	var s strings.Builder
	s.WriteString("netlore 1\nboard Wren rev 1\n")
	for _, n := range oddNames {
		q := `"` + strings.ReplaceAll(n, `"`, `\"`) + `"`
		s.WriteString("part " + q + "\n  " + q + " top\nnet " + q + "\npad " + q + "\ncover " + q + " over nothing\n")
	}
	for _, line := range []string{"net N\n  | 1", "cover C\n  |", "cover C over |", "cover C\n  pad |", "pad Q on |", "branch B on N\n  | 1", "note on part | \"x\"",
		"note on net | \"x\"", "expect diode pad | open", "expect diode pin \"a b\".| open", "note on | \"x\"", "net N\n  \"a b\" |", "job 1\n  1 tape |", "continuity | X"} {
		text, params := cursor(t, "untitled:x", s.String()+line)
		c := begin(t)
		c.open("untitled:x", text)
		got := fromJSON[suggestions](t, c.ask("textDocument/completion", params))
		names := 0
		for _, item := range got.Items {
			if !slices.Contains(oddNames, item.Label) || item.FilterText == "" {
				continue // a word of the format
			}
			names++
			filled := applied(text, []wireEdit{item.TextEdit})
			_, found := sheet.Parse("", []byte(filled))
			c.open("untitled:y", filled)
			hover := hovered(c, strings.Replace(params, "untitled:x", "untitled:y", 1))
			if found.HasErrors() || !strings.Contains(hover, board.QuoteName(item.Label)) {
				t.Errorf("%s, %s for %s: %v, %s", line, item.TextEdit.NewText, item.Label, found, hover)
			}
		}
		if want := len(oddNames); names < want && !strings.Contains(line, `"a b"`) || names == 0 {
			t.Errorf("%s: %d names, not %d", line, names, want) // of the part "a b" there is one pin
		}
	}
}

// TestPathsOfURIs finds the sheets beside one whose folder has letters that a URI
// writes as %XX (RFC 3986), however the client writes them.
func TestPathsOfURIs(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "bench 1 ü#%41")
	if err := os.MkdirAll(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "more.lore"), []byte("netlore 1\nboard Wren rev 1\nnote on P1 \"x\"\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	head := "file://" + filepath.ToSlash(filepath.Dir(dir))
	for _, folder := range []string{"/bench%201%20%C3%BC%23%2541", "/bench%201%20%c3%bc%23%2541", "/%62ench%201%20ü%23%2541", "/./bench%201%20%C3%BC%23%2541"} {
		c := begin(t)
		uri := head + folder + "/wren.lore"
		c.open(uri, wren)
		params := strings.TrimSuffix(at(t, uri, wren, "pad P"), "}") + `,"context":{"includeDeclaration":true}}`
		places := fromJSON[[]place](t, c.ask("textDocument/references", params))
		if len(places) != 2 || places[1].URI != uri || places[0].URI != head+"/bench%201%20%C3%BC%23%2541/more.lore" {
			t.Errorf("%s: %+v", folder, places)
		}
	}
}
