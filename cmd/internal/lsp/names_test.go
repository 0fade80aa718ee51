package lsp_test

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/cmd/internal/lsp"
)

// cursor takes the mark | out of a text, and gives the parameters of a request
// about its place.
func cursor(t testing.TB, uri, marked string) (text, params string) {
	t.Helper()
	head, tail, ok := strings.Cut(marked, "|")
	if !ok {
		t.Fatal("no cursor")
	}
	return head + tail, at(t, uri, head+tail, head)
}

const stackFiles = "netlore 1\nstack S\n  lower Wren rev 1\n  upper Owl\njoin lower:P1 upper:P1\n"

// TestCompletion types at |. What is wanted is the first suggestions, each as
// the whole of what then stands in its place.
func TestCompletion(t *testing.T) {
	files := map[string]string{
		"wren.lore":  wren,
		"more.lore":  "netlore 1\nboard Wren rev 1\npart C10 for audio\npart C2\nnet \"CHG OUT\"\npart pad\npart \"A B\"\n  1.1 top\n",
		"stack.lore": stackFiles,
		"owl.lore":   "netlore 1\nboard Owl rev 1\npart Z9\nnet VOWL\npad P1\n",
	}
	for name, test := range map[string]struct{ text, want string }{
		"kind":                     {"pa|", "part pad"},
		"natural order":            {"net N\n  C|", "C1 C2 C10"},
		"letters of any size":      {"net N\n  c1|", "C1 C10"},
		"a part called pad":        {"net N\n  p|", `"pad"`},
		"that needs quotes":        {"pad P9 on ch|", `"CHG OUT"`},
		"in quotes":                {"pad P9 on \"CH|", `"CHG OUT"`},
		"net by another name":      {"pad P9 on VS|", "VSYS"},
		"list":                     {"part C1 for radio,a|", "audio"},
		"cover":                    {"note on SH|", "SH1"},
		"pin on a net":             {"net N\n  U1 A|", "A1 A2 A3"},
		"pin of a part":            {"expect diode U1.A|", "U1.A1 U1.A2 U1.A3"},
		"pin with a dot":           {"note on \"A B\".|", `"A B"."1.1"`},
		"part after its kind":      {"note on part C|", "C1 C2 C10"},
		"anything":                 {"note on P|", "P1 \"pad\""},
		"a kind of target":         {"note on bo|", "board"},
		"values":                   {"net V gr|", "ground"},
		"author":                   {"note on V \"x\" by b|", "bench-2"},
		"way to lift":              {"cover X lift |", "hot-air"},
		"other boards are theirs":  {"net N\n  Z|", ""},
		"nothing in a comment":     {"part C1 # C|", ""},
		"nothing in a value":       {"part C1 at |", ""},
		"the whole word goes":      {"net N\n  C|99", "C1 C2 C10"},
		"after what is unreadable": {"part C1 10uf\nnet N\n  C1|", "C1 C10"},
	} {
		t.Run(name, func(t *testing.T) {
			in := folder(t, files)
			text, params := cursor(t, in("new.lore"), "netlore 1\nboard Wren rev 1\n"+test.text)
			if d := cmp.Diff(test.want, strings.Join(completed(t, in("new.lore"), text, params), " ")); d != "" {
				t.Error(d)
			}
		})
	}
	for name, test := range map[string]struct{ text, want string }{
		"roles first":     {"join |", "lower: upper:"},
		"pads of a role":  {"join lower:P1 upper:|", "upper:P1"},
		"nets of a role":  {"reading diode upper:V|", "upper:VOWL"},
		"pins of a role":  {"note on lower:U1.A|", "lower:U1.A1 lower:U1.A2 lower:U1.A3"},
		"board of a role": {"stack S\n  middle O|", "Owl"},
		"device":          {"job 7 of |", "Owl Wren S"},
	} {
		t.Run(name, func(t *testing.T) {
			in := folder(t, files)
			text, params := cursor(t, in("stack.lore"), stackFiles+test.text)
			if d := cmp.Diff(test.want, strings.Join(completed(t, in("stack.lore"), text, params), " ")); d != "" {
				t.Error(d)
			}
		})
	}
}

type suggestions struct {
	IsIncomplete bool
	Items        []struct {
		Label, SortText, FilterText string
		TextEdit                    wireEdit
	}
}

// completed opens a document, asks what can stand at a place, and looks that
// what is typed starts every suggestion, as clients want it.
func completed(t *testing.T, uri, text, params string) (all []string) {
	t.Helper()
	c := begin(t)
	c.open(uri, text)
	got := fromJSON[suggestions](t, c.ask("textDocument/completion", params))
	if got.Items == nil {
		t.Error("items are null")
	}
	if !slices.IsSortedFunc(got.Items, func(a, b struct {
		Label, SortText, FilterText string
		TextEdit                    wireEdit
	}) int {
		return strings.Compare(a.SortText, b.SortText)
	}) {
		t.Error("not in order")
	}
	for _, item := range got.Items {
		e := item.TextEdit
		units, starts := units(text)
		typed := string(rune16(units[unitAt(units, starts, e.Range.Start):unitAt(units, starts, cursorOf(t, params))]))
		if item.FilterText != "" && !strings.HasPrefix(strings.ToLower(item.FilterText), strings.ToLower(typed)) {
			t.Errorf("%q is typed, but %q is what clients look at", typed, item.FilterText)
		}
		all = append(all, e.NewText)
	}
	return all
}

func cursorOf(t *testing.T, params string) spot {
	return fromJSON[struct{ Position spot }](t, []byte(params)).Position
}

// TestManyNames sends no more names than anybody reads, and says so.
func TestManyNames(t *testing.T) {
	var s strings.Builder
	for i := range 2000 {
		fmt.Fprintf(&s, "part C%d\n", i)
	}
	c := begin(t)
	text, params := cursor(t, "untitled:x", "netlore 1\n"+s.String()+"net N\n  |")
	c.open("untitled:x", text)
	got := fromJSON[suggestions](t, c.ask("textDocument/completion", params))
	if !got.IsIncomplete || len(got.Items) != 500 || got.Items[2].Label != "C2" {
		t.Errorf("%d items, incomplete: %v", len(got.Items), got.IsIncomplete)
	}
}

func hovered(c *client, params string) string {
	c.t.Helper()
	return fromJSON[struct{ Contents struct{ Kind, Value string } }](c.t, c.ask("textDocument/hover", params)).Contents.Value
}

// TestHover tells what the sheets of a folder know of each sort of name.
func TestHover(t *testing.T) {
	in := folder(t, map[string]string{
		"known.lore": "netlore 1\nboard Wren rev 1\nreading diode C1.1 0.41V good meter M1 by bench-1 when 2026-02-03\nnote on P1 \"often cracked\" by bench-3\njob 7 of Wren \"draws amps\" opened 2026-03-01 culprit C1 outcome repaired\n  1 separated\nmeter M1 \"the left one\" test 1mA shows mV\n",
		"stack.lore": stackFiles,
		"owl.lore":   "netlore 1\nboard Owl rev 1\npad P1\n",
	})
	c := begin(t)
	text := wren + "branch VMAIN.a on VMAIN for radio\n  pad P1\n  C1 1\nreading diode VMAIN open job 7 meter M1\n"
	c.open(in("wren.lore"), text)
	for after, want := range map[string]string{
		"part C":             "part C1 capacitor\n10uF 0402\ntop at 1mm, 1mm\non VMAIN (1), GND (2)\nunder SH1\nread diode 0.41V on a good board meter M1 by bench-1 2026-02-03",
		"cover SH":           "cover SH1 shield\ntop\nlift hot-air 3min risk low\nhides 2 parts",
		"net VM":             "net VMAIN\npower 3.3V\nalso VSYS\n2 parts, 4 pins, 1 pad\nbranches VMAIN.a\nexpected diode 0.412V ±8% by bench-2\nread diode open job 7 meter M1",
		"also VS":            "net VMAIN\npower 3.3V\nalso VSYS\n2 parts, 4 pins, 1 pad\nbranches VMAIN.a\nexpected diode 0.412V ±8% by bench-2\nread diode open job 7 meter M1",
		"pad P":              "pad P1\non VMAIN\ntop at 9mm, 9mm\nunder no cover\njoined to upper:P1\nnote: often cracked by bench-3",
		"branch VM":          "branch VMAIN.a\non VMAIN\npads P1\n1 part\nfor radio",
		"GND ground\n  C1 2": "pin C1.2\non GND\npart C1 capacitor\n10uF 0402\ntop at 1mm, 1mm\non VMAIN (1), GND (2)\nunder SH1",
		"for ra":             "function radio\nnamed 1 time",
		"job 7":              "job 7\nof Wren\ndraws amps\nopened 2026-03-01\nculprit C1\noutcome repaired\n1 step",
		"meter M":            "meter M1\nthe left one\ndrives 1mA into a short\nshows mV, so a number without a unit is in mV",
		"\nex":               "expect: the value that the shop expects, with its tolerance and where it comes from\nexpect diode VMAIN 0.412V ±8% by bench-2 when 2026-03-12 \"three good boards\"",
	} {
		if d := cmp.Diff(want, hovered(c, at(t, in("wren.lore"), text, after))); d != "" {
			t.Errorf("%q: %s", after, d)
		}
	}
	if got := string(c.ask("textDocument/hover", at(t, in("wren.lore"), text, "0402 "))); got != "null" {
		t.Error(got)
	}
}

// TestHoverInMarkdown keeps names from being read as Markdown.
func TestHoverInMarkdown(t *testing.T) {
	c := beginWith(t, lsp.Options{}, `{"textDocument":{"hover":{"contentFormat":["markdown","plaintext"]}}}`)
	text := "netlore 1\nnet N_CS_*ground\nnet N_CS_1 ground\n"
	c.open("untitled:x", text)
	got := fromJSON[struct{ Contents struct{ Kind, Value string } }](t, c.ask("textDocument/hover", at(t, "untitled:x", text, "net N_CS_1"))).Contents
	if got.Kind != "markdown" || got.Value != "**net N\\_CS\\_1**  \nground  \n0 parts, 0 pins, 0 pads" {
		t.Errorf("%+v", got)
	}
}

// TestDefinitionAndReferences goes from each name to where it is declared, and
// to all places that name it, through the files of a folder and of a stack.
func TestDefinitionAndReferences(t *testing.T) {
	in := folder(t, map[string]string{
		"stack.lore": stackFiles + "reading diode lower:VMAIN 0.4V\n",
		"owl.lore":   "netlore 1\nboard Owl rev 1\npad P1\nnet VMAIN\n",
		"more.lore":  "netlore 1\nboard Wren rev 1\nnote on VSYS \"x\"\nnote on SH1,C1.1 \"x\"\n",
	})
	c := begin(t)
	text := wren + "net V2\n  Q1 1\n"
	c.open(in("wren.lore"), text)
	for after, want := range map[string][2]string{
		"on VMAI":             {"wren 10:4-10:9", "more 2:8-2:12 stack 5:20-5:25 wren 10:4-10:9 wren 10:26-10:30 wren 14:10-14:15 wren 16:13-16:18"},
		"also VSY":            {"wren 10:4-10:9", "more 2:8-2:12 stack 5:20-5:25 wren 10:4-10:9 wren 10:26-10:30 wren 14:10-14:15 wren 16:13-16:18"},
		"3.3V also VSYS\n  C": {"wren 5:5-5:7", "more 3:12-3:14 wren 5:5-5:7 wren 9:2-9:4 wren 11:2-11:4"},
		"pad P":               {"wren 14:4-14:6", "stack 4:11-4:13 wren 14:4-14:6"},
		"cover SH":            {"wren 3:6-3:9", "more 3:8-3:11 wren 3:6-3:9"},
		"A1..":                {"wren 12:5-12:11", "wren 12:5-12:11"},
		"board Wre":           {"more 1:6-1:10 wren 1:6-1:10", "more 1:6-1:10 stack 2:8-2:12 wren 1:6-1:10"},
		"net V2\n  Q":         {"wren 18:2-18:4", "wren 18:2-18:4"},
		"0402":                {"", "wren 5:13-5:17"},
	} {
		params := at(t, in("wren.lore"), text, after)
		if d := cmp.Diff(want[0], placesText(t, c.ask("textDocument/definition", params))); d != "" {
			t.Errorf("definition of %q: %s", after, d)
		}
		params = strings.TrimSuffix(params, "}") + `,"context":{"includeDeclaration":true}}`
		if d := cmp.Diff(want[1], placesText(t, c.ask("textDocument/references", params))); d != "" {
			t.Errorf("references of %q: %s", after, d)
		}
	}
	params := strings.TrimSuffix(at(t, in("wren.lore"), text, "cover SH"), "}") + `,"context":{"includeDeclaration":false}}`
	if got := placesText(t, c.ask("textDocument/references", params)); got != "more 3:8-3:11" {
		t.Error(got)
	}
	var lines []string
	for _, h := range fromJSON[[]struct{ Range span }](t, c.ask("textDocument/documentHighlight", at(t, in("wren.lore"), text, "pad P"))) {
		lines = append(lines, h.Range.String())
	}
	if d := cmp.Diff([]string{"14:4-14:6"}, lines); d != "" {
		t.Error(d)
	}
}

func placesText(t *testing.T, result []byte) string {
	var all []string
	for _, p := range fromJSON[[]place](t, result) {
		all = append(all, strings.TrimSuffix(filepath.Base(p.URI), ".lore")+" "+p.Range.String())
	}
	return strings.Join(all, " ")
}
