package lsp_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/cmd/internal/lsp"
	"netlore/store/sheet"
)

const whole = `{"textDocument":{"uri":"untitled:x"},"options":{"tabSize":4,"insertSpaces":true}}`

// TestFormatting formats every sheet of the suite: the edits make it canonical,
// byte by byte, and those of a sheet with errors are refused.
func TestFormatting(t *testing.T) {
	texts := append(suite(t), heron(t, "heron-b.lore"), wren, strings.ReplaceAll(wren, "\n", "\r\n"), "\ufeff"+wren)
	for _, text := range texts {
		c := begin(t)
		c.open("untitled:x", text)
		m := c.call("textDocument/formatting", whole)
		f, found := sheet.Parse("", []byte(text))
		if found.HasErrors() {
			if m.Error == nil || m.Error.Code != requestFailed || !strings.Contains(m.Error.Message, "error") {
				t.Errorf("answered %s %+v", m.Result, m.Error)
			}
			continue
		}
		if m.Error != nil {
			t.Errorf("%s: %+v", text, m.Error)
			continue
		}
		edits := fromJSON[[]wireEdit](t, m.Result)
		if d := cmp.Diff(string(f.Canonical()), applied(text, edits)); d != "" {
			t.Errorf("%q: %s", text, d)
		}
		apart(t, edits)
	}
}

// apart looks that edits do not overlap (section TextEdit[]).
func apart(t *testing.T, edits []wireEdit) {
	t.Helper()
	for i := 1; i < len(edits); i++ {
		a, b := edits[i-1].Range.End, edits[i].Range.Start
		if a.Line > b.Line || a.Line == b.Line && a.Character > b.Character {
			t.Errorf("%v reaches into %v", edits[i-1].Range, edits[i].Range)
		}
	}
}

// TestFormattingIsMinimal moves one line of a board and spoils the blanks of
// another: the edits are about these and nothing else.
func TestFormattingIsMinimal(t *testing.T) {
	text := heron(t, "heron-b.lore")
	lines := strings.SplitAfter(text, "\n")
	moved := lines[20]
	lines = append(append(append([]string{}, lines[:20]...), lines[21:40]...), append([]string{moved, strings.Replace(lines[40], " ", "   ", 1)}, lines[41:]...)...)
	c := begin(t)
	c.open("untitled:x", strings.Join(lines, ""))
	edits := fromJSON[[]wireEdit](t, c.ask("textDocument/formatting", whole))
	touched := 0
	for _, e := range edits {
		touched += e.Range.End.Line - e.Range.Start.Line + strings.Count(e.NewText, "\n")
	}
	if len(edits) != 2 || touched != 4 || applied(strings.Join(lines, ""), edits) != text {
		t.Errorf("%d edits of %d lines: %v", len(edits), touched, edits)
	}
	c.open("untitled:x", text)
	if got := string(c.ask("textDocument/formatting", whole)); got != "[]" {
		t.Errorf("what is canonical is edited: %s", got)
	}
}

type symbols []struct {
	Name, Detail          string
	Kind                  int
	Range, SelectionRange span
	Location              place
	Children              symbols
}

// TestSymbols lists what is in a sheet, as a tree and for clients that cannot
// read one.
func TestSymbols(t *testing.T) {
	c := begin(t)
	c.open("untitled:x", wren)
	var got []string
	for _, s := range fromJSON[symbols](t, c.ask("textDocument/documentSymbol", `{"textDocument":{"uri":"untitled:x"}}`)) {
		got = append(got, fmt.Sprintf("%s | %s | %d | %v %v", s.Name, s.Detail, s.Kind, s.Range, s.SelectionRange))
		for _, m := range s.Children {
			got = append(got, fmt.Sprintf("  %s | %v %v", m.Name, m.Range, m.SelectionRange))
		}
	}
	want := []string{
		"board Wren | rev 1 | 4 | 1:0-1:16 1:6-1:10",
		"cover SH1 | shield top box 0,0 5,5 lift hot-air 3min risk low | 23 | 3:0-3:59 3:6-3:9",
		"part C1 | 10uF 0402 top at 1,1 | 5 | 5:0-5:28 5:5-5:7",
		"part U1 | regulator top at 2,2 5x5mm | 5 | 6:0-6:34 6:5-6:7",
		"net GND | ground | 13 | 8:0-9:6 8:4-8:7", "  C1 | 9:2-9:6 9:2-9:4",
		"net VMAIN | power 3.3V also VSYS | 13 | 10:0-12:11 10:4-10:9", "  C1 | 11:2-11:6 11:2-11:4", "  U1 | 12:2-12:11 12:2-12:4",
		"pad P1 | on VMAIN top at 9,9 | 8 | 14:0-14:26 14:4-14:6",
		"expect diode VMAIN | 0.412V ±8% by bench-2 | 14 | 16:0-16:40 16:7-16:18",
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	c = beginWith(t, lsp.Options{}, `{}`)
	c.open("untitled:x", wren)
	flat := fromJSON[symbols](t, c.ask("textDocument/documentSymbol", `{"textDocument":{"uri":"untitled:x"}}`))
	if len(flat) != 8 || flat[4].Name != "net GND" || flat[4].Location.URI != "untitled:x" || flat[4].Location.Range.String() != "8:0-9:6" {
		t.Errorf("%+v", flat)
	}
}

// TestFind looks for names through the sheets of a folder, of any case.
func TestFind(t *testing.T) {
	in := folder(t, map[string]string{"more.lore": "netlore 1\nboard Wren rev 1\nnet VMAX\nnet GND\n", "no.txt": "net VMAN"})
	c := begin(t)
	c.open(in("wren.lore"), wren)
	c.open("untitled:other", "netlore 1\nboard Owl\nnet VMAP\n")
	var got []string
	for _, s := range fromJSON[symbols](t, c.ask("workspace/symbol", `{"query":"vma"}`)) {
		got = append(got, s.Name+" "+s.Location.Range.String())
	}
	if d := cmp.Diff([]string{"net VMAX 2:0-2:8", "net VMAIN 10:0-12:11", "expect diode VMAIN 16:0-16:40", "net VMAP 2:0-2:8"}, got); d != "" {
		t.Error(d)
	}
	if got := string(c.ask("workspace/symbol", `{"query":"nothing such"}`)); got != "[]" {
		t.Error(got)
	}
}

// TestSymbolsContain holds ranges to the section DocumentSymbol: what is
// selected lies in the whole, for every sheet of the suite.
func TestSymbolsContain(t *testing.T) {
	c := begin(t)
	inside := func(a, b span) bool {
		return (a.Start.Line > b.Start.Line || a.Start.Line == b.Start.Line && a.Start.Character >= b.Start.Character) &&
			(a.End.Line < b.End.Line || a.End.Line == b.End.Line && a.End.Character <= b.End.Character)
	}
	for _, text := range suite(t) {
		c.open("untitled:x", text)
		for _, s := range fromJSON[symbols](t, c.ask("textDocument/documentSymbol", `{"textDocument":{"uri":"untitled:x"}}`)) {
			if !inside(s.SelectionRange, s.Range) || s.Name == "" || s.Kind < 1 || s.Kind > 26 {
				t.Errorf("%+v in\n%s", s, text)
			}
			for _, m := range s.Children {
				if !inside(m.SelectionRange, m.Range) || !inside(m.Range, s.Range) || m.Name == "" {
					t.Errorf("%+v in\n%s", m, text)
				}
			}
		}
	}
}

// TestFolding folds members, runs of statements and of comments.
func TestFolding(t *testing.T) {
	text := `netlore 1
# one
# two
part C1
part C2
part C3

part C4
part C5
net N
  C1 1

# alone
net M
  C1 2
  # in between
  C2 1
pad P1
pad P2
  # a
  # b
  # c
`
	fold := func(c *client) string {
		c.open("untitled:x", text)
		var got []string
		for _, f := range fromJSON[[]struct {
			StartLine, EndLine int
			Kind               string
		}](t, c.ask("textDocument/foldingRange", `{"textDocument":{"uri":"untitled:x"}}`)) {
			got = append(got, fmt.Sprintf("%d-%d %s", f.StartLine, f.EndLine, f.Kind))
		}
		return strings.Join(got, ", ")
	}
	if d := cmp.Diff("3-5 region, 9-10 , 13-16 , 1-2 comment, 19-21 comment", fold(begin(t))); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff("3-5 region, 9-10 ", fold(beginWith(t, lsp.Options{}, `{"textDocument":{"foldingRange":{"rangeLimit":2}}}`))); d != "" {
		t.Error(d)
	}
}
