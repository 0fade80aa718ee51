package lsp_test

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/cmd/internal/lsp"
)

// A desk is a client with documents open, of which it keeps the text.
type desk struct {
	*client
	texts map[string]string // by URI
}

func deskOf(t *testing.T, texts map[string]string) *desk {
	t.Helper()
	d := &desk{beginWith(t, lsp.Options{}, strings.Replace(modern, `"documentChanges":true`, `"documentChanges":false`, 1)), map[string]string{}}
	for uri, text := range texts {
		d.texts[uri] = text
		d.open(uri, text)
	}
	return d
}

// rename asks for another name of what stands after a text, and makes the
// edits; the message says why not.
func (d *desk) rename(uri, after, name string) (refused string) {
	d.t.Helper()
	return d.renameAt(strings.TrimSuffix(at(d.t, uri, d.texts[uri], after), "}"), name)
}

func (d *desk) renameAt(params, name string) (refused string) {
	d.t.Helper()
	m := d.call("textDocument/rename", fmt.Sprintf(`%s,"newName":%s}`, params, toJSON(name)))
	if m.Error != nil {
		if m.Error.Code != requestFailed {
			d.t.Errorf("code %d", m.Error.Code)
		}
		return m.Error.Message
	}
	for uri, edits := range fromJSON[struct{ Changes map[string][]wireEdit }](d.t, m.Result).Changes {
		d.texts[uri] = applied(d.texts[uri], edits)
		d.tell("textDocument/didChange", toJSON(map[string]any{"textDocument": map[string]any{"uri": uri, "version": 2},
			"contentChanges": []map[string]any{{"text": d.texts[uri]}}}))
	}
	return ""
}

// TestRename gives things other names, through several files.
func TestRename(t *testing.T) {
	const main, more, stack, owl = "untitled:main.lore", "untitled:more.lore", "untitled:stack.lore", "untitled:owl.lore"
	files := map[string]string{
		main:  strings.Replace(wren, "A1..A3", "A1 A2 A3", 1) + "reading diode GND 3mV meter M1\n",
		more:  "netlore 1\nboard Wren rev 1\nnote on VMAIN,C1.1,pad P1 \"VMAIN\" # VMAIN\nnote on VSYS \"x\"\nexpect ohms U1.\"A1\" 3ohm\npart SH1 \"x\"\nmeter M1 test 1mA\n",
		stack: stackFiles + "reading diode lower:VMAIN 0.4V by bench-2 meter M1\n",
		owl:   "netlore 1\nboard Owl rev 1\npad P1\nnet VMAIN\n  C1 1\n",
	}
	for name, test := range map[string]struct {
		after, to string
		want      map[string][2]string // by file: what stands there, and what then
	}{
		"net":          {"net VMAI", "VBUS", map[string][2]string{main: {"VMAIN", "VBUS"}, more: {"on VMAIN,", "on VBUS,"}, stack: {"VMAIN", "VBUS"}}},
		"to quotes":    {"net VMAI", "V BUS", map[string][2]string{main: {"VMAIN", `"V BUS"`}, more: {"on VMAIN,", `on "V BUS",`}, stack: {"VMAIN", `"V BUS"`}}},
		"in quotes":    {"net VMAI", `"V \"B"`, map[string][2]string{main: {"VMAIN", `"V \"B"`}, more: {"on VMAIN,", `on "V \"B",`}, stack: {"VMAIN", `"V \"B"`}}},
		"other name":   {"also VSY", "VB", map[string][2]string{main: {"VSYS", "VB"}, more: {"VSYS", "VB"}}},
		"part":         {"part C", "C9", map[string][2]string{main: {"C1 ", "C9 "}, more: {"C1.1", "C9.1"}}},
		"part as pad":  {"part C", "pad", map[string][2]string{main: {"part C1 10uF 0402 top at 1,1", "part pad 10uF 0402 top at 1,1"}, more: {"C1.1", "pad.1"}}},
		"part and lid": {"cover SH", "SH9", map[string][2]string{main: {"SH1", "SH9"}, more: {"SH1", "SH9"}}},
		"pad":          {"pad P", "TP 1", map[string][2]string{main: {"pad P1", `pad "TP 1"`}, more: {"pad P1", `pad "TP 1"`}, stack: {"lower:P1", `lower:"TP 1"`}}},
		"pin":          {"U1 A", "B7", map[string][2]string{main: {"U1 A1", "U1 B7"}, more: {`"A1"`, `"B7"`}}},
		"author":       {"by benc", "b-1", map[string][2]string{main: {"bench-2", "b-1"}, stack: {"bench-2", "b-1"}}},
		"meter":        {"meter M", "M 1", map[string][2]string{main: {"M1", `"M 1"`}, more: {"M1", `"M 1"`}, stack: {"M1", `"M 1"`}}},
		"decomposed":   {"net VMAI", "cafe\u0301", map[string][2]string{main: {"VMAIN", "café"}, more: {"on VMAIN,", "on café,"}, stack: {"VMAIN", "café"}}},
	} {
		t.Run(name, func(t *testing.T) {
			d := deskOf(t, files)
			if refused := d.rename(main, test.after, test.to); refused != "" {
				t.Fatal(refused)
			}
			for uri, was := range files {
				want := was
				if x, ok := test.want[uri]; ok {
					want = strings.ReplaceAll(was, x[0], x[1])
				}
				if name == "part as pad" && uri == main {
					want = strings.ReplaceAll(want, "  C1 ", `  "pad" `)
				}
				if d := cmp.Diff(want, d.texts[uri]); d != "" {
					t.Errorf("%s: %s", uri, d)
				}
			}
		})
	}
}

// TestRenameOnDisk edits a sheet that is not open, for it is one with the open
// one.
func TestRenameOnDisk(t *testing.T) {
	in := folder(t, map[string]string{"more.lore": "netlore 1\nboard Wren rev 1\nnote on VMAIN \"x\"\n"})
	c := begin(t)
	c.open(in("wren.lore"), wren)
	params := strings.TrimSuffix(at(t, in("wren.lore"), wren, "net VM"), "}") + `,"newName":"VBUS"}`
	type edit struct {
		TextDocument struct {
			URI     string
			Version *int
		}
		Edits []wireEdit
	}
	got := fromJSON[struct{ DocumentChanges []edit }](t, c.ask("textDocument/rename", params)).DocumentChanges
	if len(got) != 2 || filepath.Base(got[0].TextDocument.URI) != "more.lore" || got[0].TextDocument.Version != nil || *got[1].TextDocument.Version != 1 || len(got[1].Edits) != 3 {
		t.Errorf("%+v", got)
	}
}

// TestRenameBesideOthers does not mind lines that cannot be read in a sheet of
// another board.
func TestRenameBesideOthers(t *testing.T) {
	d := deskOf(t, map[string]string{"untitled:a": wren, "untitled:b": "netlore 1\nboard Owl rev 1\npart C1 10uf\n"})
	if refused := d.rename("untitled:a", "net VMAI", "VBUS"); refused != "" {
		t.Error(refused)
	}
	if refused := d.rename("untitled:a", "by benc", "b-1"); !strings.Contains(refused, "line 3 of untitled:b cannot be read") {
		t.Errorf("an author may stand in any sheet, but refused with %q", refused)
	}
}

// TestRenameBesideNewer leaves alone what it cannot read, R9.2 of the sheet.
func TestRenameBesideNewer(t *testing.T) {
	d := deskOf(t, map[string]string{"untitled:a": wren, "untitled:b": "netlore 1.9\nboard Wren rev 1\nglow VMAIN bright\n"})
	if refused := d.rename("untitled:a", "net VMAI", "VBUS"); !strings.Contains(refused, "untitled:b is of a newer version and has 1 line that") {
		t.Errorf("refused with %q", refused)
	}
}

// TestRenameRefuses names what is in the way.
func TestRenameRefuses(t *testing.T) {
	const uri = "untitled:wren.lore"
	for name, test := range map[string]struct{ more, after, to, want string }{
		"taken":             {"", "net VMAI", "GND", "there is a net called GND already, in line 9"},
		"taken as an alias": {"", "net GN", "VSYS", "there is a net called VSYS already, in line 11"},
		"empty":             {"", "net VMAI", "", "a name is not empty"},
		"empty in quotes":   {"", "net VMAI", `""`, "a name is not empty"},
		"line end":          {"", "net VMAI", "A\nB", "no line end"},
		"too long":          {"", "net VMAI", strings.Repeat("x", 5000), "too long"},
		"a range":           {"", "net VMAI", "P1..P3", ""}, // in quotation marks it is a name
		"in a range":        {"", "U1 A", "B1", "A1 stands in the range A1..A3 in line 13 of"},
		"pad in a range":    {"pad P7..P9\nnote on P8 \"x\"\n", "note on P", "X", "P8 stands in the range P7..P9 in line 18"},
		"board":             {"", "board Wre", "Owl", "a board or stack is not renamed here"},
		"nothing there":     {"", "10u", "X", "no name stands here"},
		"unreadable":        {"part C9 10uf\n", "net VMAI", "VBUS", "line 18 of untitled:wren.lore cannot be read, and VMAIN may stand there"},
		"would be a pad":    {"note on VMAIN \"x\"\n", "net VMAI", "P1", "with the name P1, line 17 of untitled:wren.lore would say something else"},
		"would catch":       {"note on V7 \"about nothing\"\n", "net VMAI", "V7", "with the name V7, line 18 of"},
		"part of a cover":   {"part J1\n", "part J", "SH1", "would say something else"},
		"another meter":     {"meter M1 test 1mA\nmeter M2 shows mV\n", "meter M", "M2", "there is a meter called M2 already, in line 19"},
		"longest line":      {"net VLIST also " + strings.Repeat("N234567,", 509) + "N\n", "N234567", strings.Repeat("x", 900), "would say something else"},
	} {
		t.Run(name, func(t *testing.T) {
			text := wren + test.more
			d := deskOf(t, map[string]string{uri: text})
			got := d.rename(uri, test.after, test.to)
			if test.want == "" && got != "" || !strings.Contains(got, test.want) {
				t.Errorf("refused with %q", got)
			}
			if got != "" && d.texts[uri] != text {
				t.Error("and done all the same")
			}
		})
	}
}

// TestPrepareRename offers the name without its quotation marks.
func TestPrepareRename(t *testing.T) {
	c := begin(t)
	text := "netlore 1\nboard Wren\nnet \"CHG OUT\"\n"
	c.open("untitled:x", text)
	got := string(c.ask("textDocument/prepareRename", at(t, "untitled:x", text, "CHG")))
	if want := `{"placeholder":"CHG OUT","range":{"start":{"line":2,"character":4},"end":{"line":2,"character":13}}}`; got != want {
		t.Error(got)
	}
	if got := string(c.ask("textDocument/prepareRename", at(t, "untitled:x", text, "netlore"))); got != "null" {
		t.Error(got)
	}
	if m := c.call("textDocument/prepareRename", at(t, "untitled:x", text, "board W")); m.Error == nil || m.Error.Code != requestFailed {
		t.Errorf("%+v", m)
	}
}

// TestRenameThereAndBack gives names of the demonstration boards, of every sort,
// other names, plain ones and ones that need quotation marks, and then their
// own again. Half-way the sheets say of the boards what they said, but for the
// name; in the end they are what they were, byte by byte.
func TestRenameThereAndBack(t *testing.T) {
	files := map[string]string{}
	for _, name := range []string{"heron.lore", "heron-a.lore", "heron-a-readings.lore", "heron-b.lore", "heron-b-readings.lore"} {
		files["untitled:"+name] = heron(t, name)
	}
	d := deskOf(t, files)
	before := graphs(t, d.texts)
	names := []string{"X_new", "a new \"one\"", "pad", "nothing", "on", "net", "C1.", "±"}
	if testing.Short() {
		names = names[:2]
	}
	for _, test := range []struct{ file, after, name string }{
		{"heron-b.lore", "net VMAIN", "VMAIN"}, {"heron-b.lore", "also VSYS", "VSYS"}, {"heron-b.lore", "part C4101", "C4101"},
		{"heron-b.lore", "cover J7", "J7"}, {"heron-b.lore", "cover SH1", "SH1"}, {"heron-b.lore", "pad P11", "P11"},
		{"heron-b.lore", "branch VMAIN.pa", "VMAIN.pa"}, {"heron-a.lore", "net GND", "GND"}, {"heron.lore", "  lower", "lower"},
		{"heron-b-readings.lore", "by bench-1", "bench-1"}, {"heron-b.lore", "C4101 1", "1"},
		{"heron.lore", "lower:P12", "P12"}, {"heron.lore", "in IP1", "IP1"},
	} {
		for _, to := range names {
			uri := "untitled:" + test.file
			there := strings.TrimSuffix(at(t, uri, d.texts[uri], test.after), "}")
			place := fromJSON[struct{ Position spot }](t, []byte(there+"}")).Position
			if refused := d.renameAt(there, to); refused != "" {
				t.Errorf("%s to %s is refused: %s", test.name, to, refused)
				continue
			}
			if to == "X_new" {
				sameButFor(t, before, graphs(t, d.texts), test.name, to)
			}
			// The place is where the old name ended; the new one starts before it.
			back := fmt.Sprintf(`{"textDocument":{"uri":%q},"position":{"line":%d,"character":%d}`, uri, place.Line, place.Character-len(test.name)+1)
			if refused := d.renameAt(back, test.name); refused != "" {
				t.Errorf("%s back to %s is refused: %s", to, test.name, refused)
			}
			for uri, was := range files {
				if d.texts[uri] != was {
					t.Fatalf("%s to %s and back: %s is not what it was: %s", test.name, to, uri, cmp.Diff(was, d.texts[uri]))
				}
			}
		}
	}
}
