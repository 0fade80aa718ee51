package diag

import (
	"errors"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"

	"github.com/google/go-cmp/cmp"
)

func TestAtFindsTheLine(t *testing.T) {
	text := "one\ntwo three\r\nfour"
	got := Diagnostic{Code: "X1", Message: "no", Range: Range{8, 13}}.At(text)
	want := Diagnostic{Code: "X1", Message: "no", Range: Range{8, 13}, Line: 2, Column: 5, Excerpt: "two three", Width: 5}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

func TestAtEndOfText(t *testing.T) {
	for _, text := range []string{"", "a", "a\n"} {
		d := Diagnostic{Range: Range{len(text), len(text)}}.At(text)
		if d.Width != 1 || d.Line != 1+strings.Count(text, "\n") {
			t.Errorf("%q: line %d width %d", text, d.Line, d.Width)
		}
	}
}

func TestWrite(t *testing.T) {
	tests := map[string]struct {
		d    Diagnostic
		want string
	}{
		"with place, related and help": {
			Diagnostic{Code: "S201", File: "a.lore", Message: "the value has no unit", Range: Range{5, 8}, Help: []string{"did you mean 412mV?"},
				Related: []Related{{File: "b.lore", Line: 7, Column: 1, Excerpt: "part C1", Message: "said here"}}}.At("part 412 x"),
			"a.lore:1:6: error S201: the value has no unit\n  part 412 x\n       ^^^\n  b.lore:7:1: said here\n    part C1\n  help: did you mean 412mV?\n"},
		"tab and wide letters keep the caret in place": {
			Diagnostic{Code: "Q1", Severity: Warning, Message: "m", Range: Range{7, 8}}.At("\t電源x"),
			"1:8: warning Q1: m\n   電源x\n       ^\n"},
		"no place": {
			Diagnostic{Code: "B1", Severity: Note, Message: "nothing here"},
			"note B1: nothing here\n"},
		"nothing that moves the cursor": {
			Diagnostic{Code: "Q2", Message: "bad \x1b[2J name"}, "error Q2: bad ·[2J name\n"},
	}
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			var s strings.Builder
			if err := Write(&s, List{test.d}, Style{}); err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(test.want, s.String()); d != "" {
				t.Error(d)
			}
		})
	}
}

func TestWriteColourAndCap(t *testing.T) {
	l := List{{Code: "A"}, {Code: "B"}, {Code: "C"}}
	var s strings.Builder
	if err := Write(&s, l, Style{Colour: true, Most: 1}); err != nil {
		t.Fatal(err)
	}
	if want := "\x1b[1;31merror A\x1b[0m: \n… and 2 more\n"; s.String() != want {
		t.Errorf("got %q, want %q", s.String(), want)
	}
}

func TestLongLineIsCutRoundThePlace(t *testing.T) {
	line := strings.Repeat("ä", 5000) + "X" + strings.Repeat("b", 5000)
	at := strings.IndexByte(line, 'X')
	d := Diagnostic{}.InLine(3, line, at, at+1)
	if d.Column != at+1 || len(d.Excerpt) > maxExcerpt || d.Excerpt[d.Column-1-d.Before] != 'X' {
		t.Errorf("excerpt of %d bytes from %d on, column %d, want %d", len(d.Excerpt), d.Before, d.Column, at+1)
	}
	if text, pad, carets := d.caret(0); text[strings.IndexByte(text, 'X'):][:carets] != "X" || pad != strings.Count(text, "ä") {
		t.Errorf("the caret stands at %d, %d wide, under %s", pad, carets, text)
	}
	if strings.ToValidUTF8(d.Excerpt, "?") != d.Excerpt {
		t.Error("a letter was cut in two")
	}
}

// On a narrow terminal the part round the caret is shown, and fits.
func TestExcerptFitsTheTerminal(t *testing.T) {
	line := strings.Repeat("part C1 ", 20) + "bogus" + strings.Repeat(" 電", 40)
	at := strings.Index(line, "bogus")
	d := Diagnostic{}.InLine(3, line, at, at+5)
	for _, width := range []int{20, 40, 80, 120, 500} {
		text, pad, carets := d.caret(width)
		if got := runewidth.StringWidth(text); got+2 > width || carets != 5 || text[pad:pad+5] != "bogus" {
			t.Errorf("%d columns in %d, %d carets under %q", got, width, carets, text[min(pad, len(text)):])
		}
	}
}

func TestListIsAnErrorOnlyWithErrors(t *testing.T) {
	if err := (List{{Severity: Warning}, {Severity: Note}}).Err(); err != nil {
		t.Errorf("warnings alone gave %v", err)
	}
	err := List{{Code: "Q1", Message: "first"}, {Code: "Q2"}}.Err()
	var l List
	if !errors.As(err, &l) || err.Error() != "error Q1: first (and 1 more)" {
		t.Errorf("got %v", err)
	}
}

func TestSortOrdersByPlaceAndDropsRepeats(t *testing.T) {
	got := List{{File: "b", Line: 1}, {File: "a", Line: 9}, {File: "a", Line: 2, Code: "S2"}, {File: "a", Line: 2, Code: "S1"}, {File: "a", Line: 9}}.Sort()
	var places []string
	for _, d := range got {
		places = append(places, d.File+d.Code)
	}
	if d := cmp.Diff([]string{"aS1", "aS2", "a", "b"}, places); d != "" {
		t.Error(d)
	}
}

func TestUnexpected(t *testing.T) {
	for _, c := range []struct{ found, where, expected, want string }{
		{"undr", "after the net name", "under or on", `"undr" cannot stand here after the net name; expected under or on`},
		{"", "after on", "a net name", "something is missing after on; expected a net name"},
		{"x", "", "", `"x" cannot stand here`},
	} {
		if got := Unexpected(c.found, c.where, c.expected); got != c.want {
			t.Errorf("got %s\nwant %s", got, c.want)
		}
	}
}

func TestClosest(t *testing.T) {
	words := []string{"under", "on", "of", "within", "VMAIN", "VMAIN_F", "behind"}
	for word, want := range map[string][]string{
		"undr":     {"under"}, // four letters: one slip
		"udner":    {"under"}, // a swap is one slip
		"onn":      {"on"},
		"vmian":    {"VMAIN"},
		"VMAIN_":   {"VMAIN", "VMAIN_F"},
		"wihtni":   {"within"}, // two swaps
		"withni2x": nil,
		"xyz":      nil,
		"":         nil,
	} {
		if d := cmp.Diff(want, Closest(word, words)); d != "" {
			t.Errorf("%q: %s", word, d)
		}
	}
}

// Distances of optimal string alignment: kitten/sitting and Sunday/Saturday are
// the textbook pairs (Wagner and Fischer's problem, values from memory), ca/abc
// tells it from the unrestricted Damerau distance (3 here, 2 there).
func TestSlipsTextbookValues(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"kitten", "sitting", 3}, {"Sunday", "Saturday", 3}, {"ca", "abc", 3}, {"", "abc", 3}, {"same", "same", 0}} {
		if got := slips([]rune(c.a), []rune(c.b), 9); got != c.want {
			t.Errorf("%s/%s: %d, want %d", c.a, c.b, got, c.want)
		}
	}
}

func TestOneOf(t *testing.T) {
	if got := OneOf("a", "b", "c"); got != "a, b or c" {
		t.Error(got)
	}
	if got := OneOf("a") + OneOf(); got != "a" {
		t.Error(got)
	}
}

func TestQuoteCutsAndEscapes(t *testing.T) {
	if got := Quote("a\x1b[2Jb"); got != `"a\x1b[2Jb"` {
		t.Error(got)
	}
	if got := Quote(strings.Repeat("é", 50)); got != `"`+strings.Repeat("é", 40)+`…"` {
		t.Error(got)
	}
}
