package lsp_test

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"netlore/cmd/internal/lsp"
	"netlore/cmd/internal/saved"
	"netlore/store/sheet"
)

// shown is complaints in a few words each.
func shown(all []complaint) (lines []string) {
	for _, d := range all {
		line := fmt.Sprintf("%v %d %s", d.Range, d.Severity, d.Code)
		for _, r := range d.Related {
			line += fmt.Sprintf(" (%s %v)", r.Location.URI[strings.LastIndexByte(r.Location.URI, '/')+1:], r.Location.Range)
		}
		lines = append(lines, line)
	}
	return lines
}

// TestComplaintsWhileTyping follows one document from slip to slip. Characters
// are counted in UTF-16, so that 𝄞 is two of them and ± is one.
func TestComplaintsWhileTyping(t *testing.T) {
	c := begin(t)
	uri := folder(t, nil)("slips.lore")
	c.open(uri, "netlore 1\npart \"𝄞±\" 10uf\n")
	first := c.complaints(uri, 1)
	if d := cmp.Diff([]string{"1:11-1:15 1 S206"}, shown(first)); d != "" {
		t.Error(d)
	}
	if m := first[0].Message; !strings.Contains(m, "10uf") || !strings.Contains(m, "did you mean 10uF?") || first[0].Source != "netlore" {
		t.Errorf("%+v", first[0])
	}
	edit := func(version int, r, text string) {
		c.tell("textDocument/didChange", fmt.Sprintf(`{"textDocument":{"uri":%q,"version":%d},"contentChanges":[{"range":%s,"text":%q}]}`, uri, version, r, text))
	}
	edit(2, `{"start":{"line":1,"character":14},"end":{"line":1,"character":15}}`, "F")
	if d := cmp.Diff([]string(nil), shown(c.complaints(uri, 2))); d != "" {
		t.Error(d)
	}
	edit(3, `{"start":{"line":2,"character":0},"end":{"line":2,"character":0}}`, "part \"𝄞±\" 22uF\npart R1 10F 10F\n")
	if d := cmp.Diff([]string{"3:12-3:15 1 S203", "2:11-2:15 1 S301 (slips.lore 1:11-1:15)"}, shown(c.complaints(uri, 3))); d != "" {
		t.Error(d)
	}
	c.tell("textDocument/didClose", fmt.Sprintf(`{"textDocument":{"uri":%q}}`, uri))
	if got := c.complaints(uri, 0); len(got) > 0 { // section PublishDiagnostics: the server takes them back
		t.Error(got)
	}
}

// TestComplaintsOverFiles opens one of three files. What contradicts it is told
// at its own place, though the check finds fault with the other one.
func TestComplaintsOverFiles(t *testing.T) {
	in := folder(t, map[string]string{
		"a.lore":     "netlore 1\nboard Wren rev 1\nnet GND ground\nnet V power 3.3V\n  C1 1\n",
		"b.lore":     "netlore 1\nboard Wren rev 1\nnet V power 5V\npart C1\n",
		"other.lore": "netlore 1\nboard Owl rev 1\nnet V power 12V\n",
		"broken.txt": "no sheet",
	})
	c := begin(t)
	text := "netlore 1\nboard Wren rev 1\nnet GND ground\nnet V power 3.3V\n  C1 1\nnote on X1 \"?\"\n"
	c.open(in("a.lore"), text)
	if d := cmp.Diff([]string{"3:12-3:16 1 S301 (b.lore 2:12-2:14)"}, shown(c.complaints(in("a.lore"), 1))); d != "" {
		t.Error(d)
	}
	// The other file open as well, and mended there: nothing else is wrong but
	// the note about nothing.
	c.open(in("b.lore"), "netlore 1\nboard Wren rev 1\nnet V power 3.3V\npart C1\n")
	c.complaints(in("b.lore"), 1)
	c.tell("textDocument/didChange", fmt.Sprintf(`{"textDocument":{"uri":%q,"version":2},"contentChanges":[{"text":%q}]}`, in("a.lore"), text))
	if d := cmp.Diff([]string{"5:8-5:10 2 S410"}, shown(c.complaints(in("a.lore"), 2))); d != "" {
		t.Error(d)
	}
	// While a line cannot be read, X1 may stand in it.
	c.tell("textDocument/didChange", fmt.Sprintf(`{"textDocument":{"uri":%q,"version":3},"contentChanges":[{"text":%q}]}`, in("a.lore"), text+"part X1 10\n"))
	if d := cmp.Diff([]string{"6:8-6:10 1 S206"}, shown(c.complaints(in("a.lore"), 3))); d != "" {
		t.Error(d)
	}
}

// TestComplaintsOnDisk notices, when told, that a sheet beside has changed.
func TestComplaintsOnDisk(t *testing.T) {
	in := folder(t, map[string]string{"b.lore": "netlore 1\nboard Wren rev 1\nnet V power 5V\n"})
	c := begin(t)
	c.open(in("a.lore"), "netlore 1\nboard Wren rev 1\nnet GND ground\nnet V power 3.3V\n")
	if got := c.complaints(in("a.lore"), 1); len(got) != 1 {
		t.Error(shown(got))
	}
	if err := os.WriteFile(strings.TrimPrefix(in("b.lore"), "file://"), []byte("netlore 1\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	c.tell("workspace/didChangeWatchedFiles", `{"changes":[{"uri":"x","type":2}]}`)
	if got := c.complaints(in("a.lore"), 1); len(got) != 0 {
		t.Error(shown(got))
	}
}

// TestComplaintsAreThoseOfCheck opens every sheet of the suite: the complaints
// are those that the check command has about the file alone.
func TestComplaintsAreThoseOfCheck(t *testing.T) {
	c := begin(t)
	for i, text := range suite(t) {
		uri := fmt.Sprintf("untitled:%d", i)
		c.open(uri, text)
		got := c.complaints(uri, 1)
		c.tell("textDocument/didClose", fmt.Sprintf(`{"textDocument":{"uri":%q}}`, uri))
		f, found := sheet.Parse("", []byte(text))
		if !found.HasErrors() {
			found = append(append(found, sheet.CheckAll(f)...), saved.Check([]*sheet.File{f}, nil)...)
		}
		codes := map[string]int{}
		for _, d := range found {
			codes[d.Code]++
		}
		for _, d := range got {
			if codes[d.Code]--; codes[d.Code] < 0 && !found.HasErrors() {
				t.Errorf("%s is told and not found in\n%s", d.Code, text)
			}
		}
		for code, n := range codes {
			if n > 0 {
				t.Errorf("%s is found and not told in\n%s", code, text)
			}
		}
	}
}

// TestQuickFixes mends slips by the edits that are offered, until nothing is
// left to mend.
func TestQuickFixes(t *testing.T) {
	for name, test := range map[string]struct{ text, want, title string }{
		"unit":          {"netlore 1\npart C1 10uf\n", "netlore 1\npart C1 10uF\n", "write 10uF for 10uf"},
		"header":        {"part C1\n", "netlore 1\npart C1\n", "insert netlore 1"},
		"kind":          {"netlore 1\nprat C1\n", "netlore 1\npart C1\n", "write part for prat"},
		"quoted":        {"netlore 1\nnet A(B\n", "netlore 1\nnet \"A(B\"\n", "write \"A(B\" for A(B"},
		"word":          {"netlore 1\ncover SH1 sheild\n", "netlore 1\ncover SH1 shield\n", "write shield for sheild"},
		"wide letters":  {"netlore 1\npart \"𝄞\" 10uf\n", "netlore 1\npart \"𝄞\" 10uF\n", "write 10uF for 10uf"},
		"after a break": {"netlore 1\r\npart C1 10uf\r\n", "netlore 1\r\npart C1 10uF\r\n", "write 10uF for 10uf"},
	} {
		t.Run(name, func(t *testing.T) {
			c := begin(t)
			c.open("untitled:a", test.text)
			actions := fromJSON[[]struct {
				Title, Kind string
				Diagnostics []complaint
				Edit        struct {
					DocumentChanges []struct {
						TextDocument struct{ Version int }
						Edits        []wireEdit
					}
				}
			}](t, c.ask("textDocument/codeAction", `{"textDocument":{"uri":"untitled:a"},"range":{"start":{"line":0,"character":0},"end":{"line":9,"character":0}},"context":{"diagnostics":[]}}`))
			if len(actions) != 1 || actions[0].Title != test.title || actions[0].Kind != "quickfix" || len(actions[0].Diagnostics) != 1 {
				t.Fatalf("%+v", actions)
			}
			if got := applied(test.text, actions[0].Edit.DocumentChanges[0].Edits); got != test.want {
				t.Errorf("%q", got)
			}
		})
	}
	c := beginWith(t, lsp.Options{}, `{}`) // can read no code actions, so none are sent
	c.open("untitled:a", "part C1\n")
	if got := string(c.ask("textDocument/codeAction", `{"textDocument":{"uri":"untitled:a"},"range":{"start":{"line":0,"character":0},"end":{"line":9,"character":0}},"context":{}}`)); got != "[]" {
		t.Error(got)
	}
}

// TestComplaintsForWhoNeverStops types on and on: complaints come all the same.
func TestComplaintsForWhoNeverStops(t *testing.T) {
	c := beginWith(t, lsp.Options{Quiet: 20 * time.Millisecond}, modern)
	c.open("untitled:x", "netlore 1\n")
	for version := 2; len(c.told) == 0; version++ {
		if version == 100_000 {
			t.Fatal("nothing is told")
		}
		c.tell("textDocument/didChange", fmt.Sprintf(`{"textDocument":{"uri":"untitled:x","version":%d},"contentChanges":[{"text":"netlore 1\npart C%d 10uf\n"}]}`, version, version))
		c.ask("workspace/symbol", `{"query":""}`)
	}
}
