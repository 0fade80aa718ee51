package render

import (
	"bytes"
	"strings"
	"testing"
	"unicode"

	"github.com/google/go-cmp/cmp"
	"github.com/mattn/go-runewidth"
)

// printed is a table as Print writes it.
func printed(t *testing.T, table *Table, format Format, width int) string {
	t.Helper()
	var out bytes.Buffer
	if err := table.Print(&out, format, width); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// same compares an output with the text that is wanted, which begins and ends
// with a line end of its own to be readable here.
func same(t *testing.T, got, want string) {
	t.Helper()
	if diff := cmp.Diff(strings.TrimPrefix(want, "\n"), got); diff != "" {
		t.Errorf("output differs (-want +got):\n%s", diff)
	}
}

func capacitors() *Table {
	return &Table{
		Columns: []Column{{Name: "part"}, {Name: "value", Number: true}, {Name: "cover"}},
		Rows: [][]string{
			{"C2", "100nF", "SH1"},
			{"C10", "4.7uF", ""},
			{"C1201", "10uF", "J7, SH1"},
		},
	}
}

func TestText(t *testing.T) {
	same(t, printed(t, capacitors(), Text, 0), `
part   value  cover
─────  ─────  ───────
C2     100nF  SH1
C10    4.7uF
C1201   10uF  J7, SH1
`)
}

func TestTextWithoutRows(t *testing.T) {
	table := capacitors()
	table.Rows = nil
	got := printed(t, table, Text, 0)
	if !strings.HasPrefix(got, "part  value  cover\n") || strings.Count(got, "\n") > 2 {
		t.Errorf("a table without rows is printed as\n%s", got)
	}
}

// Letters of East Asian scripts take two columns of a terminal (Unicode
// Standard Annex 11, class W), marks that are put over a letter none: the
// second column must begin at the same place in every row all the same.
func TestWideLettersKeepTheColumns(t *testing.T) {
	table := &Table{Columns: []Column{{Name: "net"}, {Name: "kind"}}, Rows: [][]string{
		{"VMAIN", "power"}, {"電源", "power"}, {"e\u0301teint", "signal"}, {"ｶﾅ", "ground"},
	}}
	got := printed(t, table, Text, 0)
	lines := strings.Split(strings.TrimSuffix(got, "\n"), "\n")
	if len(lines) != 6 {
		t.Fatalf("%d lines:\n%s", len(lines), got)
	}
	for i, second := range map[int]string{0: "kind", 2: "power", 3: "power", 4: "signal", 5: "ground"} {
		before, _, found := strings.Cut(lines[i], second)
		if width := runewidth.StringWidth(before); !found || width != 8 {
			t.Errorf("%q: the second column begins at %d, want 8", lines[i], width)
		}
	}
}

// hostile are names that would do something to a terminal if they reached it:
// control sequences of ECMA-48 in their 7 and 8 bit forms, line ends,
// overstriking, and the marks that turn the direction of writing (Unicode
// Standard Annex 9).
var hostile = []string{
	"\x1b[2J\x1b[31mred", "\x1b]0;title\x07", "\u009b31m", "a\nb", "a\rb", "a\tb", "a\vb", "a\bb", "a\x00b", "a\x7fb",
	"\u202egnp.exe", "\u2066x\u2069", "\u200fleft", "\u061cleft", "a\u2028b", "\xff\xfe", "\xc2", "\u0085next",
}

func TestControlCharactersNeverReachTheTerminal(t *testing.T) {
	for _, name := range hostile {
		table := &Table{Columns: []Column{{Name: "net"}, {Name: "kind"}}, Rows: [][]string{{name, "power"}}}
		for layout, width := range map[string]int{"table": 0, "records": 4} {
			got := printed(t, table, Text, width)
			harmless(t, name, layout, got)
			if lines := strings.Count(got, "\n"); layout == "table" && lines != 3 {
				t.Errorf("%q is printed in %d lines, want 3", name, lines)
			}
		}
		harmless(t, name, "Markdown", printed(t, table, Markdown, 0))
	}
}

func harmless(t *testing.T, name, layout, got string) {
	t.Helper()
	for _, r := range got {
		if r != '\n' && unicode.In(r, unicode.Cc, unicode.Bidi_Control, unicode.Zl) || r == unicode.ReplacementChar {
			t.Errorf("%q as %s lets %q through", name, layout, r)
		}
	}
}

func TestRecordsOfWideNames(t *testing.T) {
	table := &Table{Columns: []Column{{Name: "網"}, {Name: "kind"}}, Rows: [][]string{{"VMAIN", "power"}}}
	same(t, printed(t, table, Text, 6), "網    VMAIN\nkind  power\n")
}

func TestPrintIsDeterministic(t *testing.T) {
	for _, format := range []Format{Text, CSV, Markdown} {
		first := printed(t, capacitors(), format, 0)
		for range 20 {
			if again := printed(t, capacitors(), format, 0); again != first {
				t.Fatalf("format %d prints\n%s\nand then\n%s", format, first, again)
			}
		}
	}
}

func TestFormatByWord(t *testing.T) {
	seen := map[Format]bool{}
	for _, word := range FormatWords() {
		format, ok := FormatByWord(word)
		if !ok || seen[format] {
			t.Errorf("format %q is %d, %v", word, format, ok)
		}
		seen[format] = true
	}
	if _, ok := FormatByWord("xlsx"); ok {
		t.Error("there is a format xlsx")
	}
}

// FuzzText prints cells of any bytes: no panic, nothing that moves the cursor,
// and one line a row.
func FuzzText(f *testing.F) {
	for _, name := range hostile {
		f.Add(name, "VMAIN")
	}
	f.Add("電源", "e\u0301")
	f.Fuzz(func(t *testing.T, a, b string) {
		table := &Table{Columns: []Column{{Name: "net"}, {Name: "volts", Number: true}}, Rows: [][]string{{a, b}, {b, a}}}
		got := printed(t, table, Text, 0)
		harmless(t, a, "table", strings.ReplaceAll(got, "\ufffd", ""))
		if strings.Count(got, "\n") != 4 {
			t.Errorf("%d lines for two rows:\n%q", strings.Count(got, "\n"), got)
		}
		harmless(t, a, "records", strings.ReplaceAll(printed(t, table, Text, 1), "\ufffd", ""))
	})
}
