package query

import (
	"context"
	"errors"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/tools/txtar"

	"netlore/query/diag"
	"netlore/query/run"
	"netlore/query/syntax"
	"netlore/store/board"
	"netlore/store/sheet"
)

// content reads a sheet of an archive.
func content(t testing.TB, f txtar.File) *sheet.Content {
	t.Helper()
	file, list := sheet.Parse(f.Name, f.Data)
	c, more := sheet.Read(file)
	if list = append(list, more...); list.HasErrors() {
		t.Fatal(list)
	}
	return c
}

// savedCases are a board with saved questions, and what is asked.
func savedCases(t testing.TB) (*source, *txtar.Archive) {
	t.Helper()
	archive, err := txtar.ParseFile("../testdata/query/saved/saved.txtar")
	if err != nil {
		t.Fatal(err)
	}
	s := &source{}
	for _, f := range archive.Files {
		if strings.HasSuffix(f.Name, ".lore") {
			c := content(t, f)
			if c.Board != nil {
				s.boards = append(s.boards, c.Board)
			}
			s.questions = append(s.questions, c.Knowledge.Questions...)
		}
	}
	return s, archive
}

// TestSavedQuestions pins readings, answers and complaints.
func TestSavedQuestions(t *testing.T) {
	s, archive := savedCases(t)
	for i, f := range archive.Files {
		question, want, _ := strings.Cut(string(f.Data), "\n")
		if strings.HasSuffix(f.Name, ".lore") {
			continue
		}
		got := told(t, s, question)
		if d := cmp.Diff(want, got); d != "" && !*update {
			t.Errorf("%s: %s: %s", f.Name, question, d)
		}
		archive.Files[i].Data = []byte(question + "\n" + got)
	}
	if *update {
		if err := os.WriteFile("../testdata/query/saved/saved.txtar", txtar.Format(archive), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// told is the reading and the first cell of every row, or the complaints.
func told(t *testing.T, s *source, question string) string {
	t.Helper()
	var text strings.Builder
	q, err := Compile(t.Context(), s, Options{}, question)
	if err != nil {
		drawTo(t, &text, err)
		return text.String()
	}
	if again, list := syntax.Parse(q.Reading); list != nil || again.Reading() != q.Reading {
		t.Errorf("%s: the reading is not read as itself: %s %v", question, q.Reading, list)
	}
	text.WriteString("read as: " + q.Reading + "\n")
	text.WriteString(strings.Join(firstCells(t, s, question), " ") + "\n")
	return text.String()
}

func drawTo(t *testing.T, text *strings.Builder, err error) {
	t.Helper()
	var list diag.List
	if !errors.As(err, &list) {
		t.Fatal(err)
	}
	if err := diag.Write(text, list, diag.Style{}); err != nil {
		t.Fatal(err)
	}
}

func firstCells(t *testing.T, s *source, question string) []string {
	t.Helper()
	a := answered(t, s, question)
	var cells []string
	for _, row := range a.Rows {
		cells = append(cells, row.Cells[0].In(a.Columns[0].Unit))
	}
	return cells
}

func answered(t *testing.T, s *source, question string) *run.Answer {
	t.Helper()
	a, err := Ask(t.Context(), s, Options{}, question)
	if err != nil {
		t.Fatalf("%s: %v", question, err)
	}
	return a
}

// A saved question that is narrowed is what the sets say: those of its things
// for which the rest holds. Both bounds of both questions are compared.
func TestNarrowingIsIntersection(t *testing.T) {
	s, _ := savedCases(t)
	s.questions = nil
	bodies := []string{"parts on VMAIN", "capacitors", "hidden parts or nothing", "parts on VMAIN or under SH1", "parts on VMAIN and also parts under J7",
		"capacitors except parts on GND", "parts under SH1 or on GND shared with parts on VMAIN", "(parts on GND except capacitors) and also parts behind J7"}
	phrases := []string{"on VMAIN", "under SH1 or on GND", "not under any cover", "with value at least 1uF", "on VMAIN and on GND", "(on GND or under J7) with side = top", "with value = 10uF or side = bottom"}
	for i, body := range bodies {
		if !syntax.Parses(body) {
			continue
		}
		s.questions = []board.SavedQuestion{{Name: "kept", Text: body}}
		for _, adjective := range []string{"", "top ", "visible "} {
			for _, phrase := range phrases {
				narrowed := adjective + "kept " + phrase
				sets := adjective + "parts " + phrase + " shared with (" + body + ")"
				for _, possibly := range []string{"", "possibly "} {
					got, want := firstCells(t, s, possibly+narrowed), firstCells(t, s, possibly+sets)
					if d := cmp.Diff(want, got); d != "" && (possibly == "" || i < 4) {
						t.Errorf("%s (kept is %s)\nagainst %s: %s", possibly+narrowed, body, sets, d)
					}
				}
			}
		}
	}
}

// A complaint about one of several saved questions has its place in that one,
// whatever the texts are.
func FuzzSaved(f *testing.F) {
	f.Add("parts on $a", "one for $b under SH1", "two for VMAIN")
	f.Add("one", "two except one", "one on GND")
	f.Add(`parts on "VM AIN" with value = $a ±5%`, "count (one for (parts on X)) by cover", "plan of two")
	f.Add("parts on VMAN", "one and also onn", "covers over (two)")
	s, _ := savedCases(f)
	f.Fuzz(func(t *testing.T, one, two, asked string) {
		s := &source{boards: s.boards, questions: []board.SavedQuestion{
			{Name: "one", Parameters: syntax.ParametersOf(one), Text: one}, {Name: "two", Parameters: syntax.ParametersOf(two), Text: two}}}
		q, err := Compile(t.Context(), s, Options{}, asked)
		var list diag.List
		if errors.As(err, &list) {
			placed(t, list, map[string]string{"": asked, "saved question one": one, "saved question two": two})
		}
		if err == nil && len(q.Reading) < 16<<10 && !syntax.Parses(q.Reading) {
			t.Errorf("%q is read as what cannot be read: %s", asked, q.Reading)
		}
		CheckSaved(s.questions[0], s.questions[1:])
		Complete(t.Context(), s, Options{}, asked, len(asked))
	})
}

func placed(t *testing.T, list diag.List, texts map[string]string) {
	t.Helper()
	for _, d := range list {
		text, ok := texts[d.File]
		if !ok || d.Range.Start < 0 || d.Range.End < d.Range.Start || d.Range.End > len(text) {
			t.Errorf("%s: bytes %d to %d of %q (%q)", d.Error(), d.Range.Start, d.Range.End, text, d.File)
		}
	}
}

// However saved questions are built on each other, asking one ends soon.
func TestSavedQuestionsAreBounded(t *testing.T) {
	double := []board.SavedQuestion{{Name: "q0", Text: "parts on VMAIN"}}
	for i := 1; i < 16; i++ {
		before := double[i-1].Name
		double = append(double, board.SavedQuestion{Name: "q" + string(rune('a'+i)), Text: before + " and also " + before + " and also " + before})
	}
	s, _ := savedCases(t)
	s.questions = double
	for _, q := range double {
		_, err := Compile(t.Context(), s, Options{}, q.Name)
		var list diag.List
		if err != nil && (!errors.As(err, &list) || list[0].Code != "Q82") {
			t.Errorf("%s: %v", q.Name, err)
		}
	}
	var wide []board.SavedQuestion // each asks the next forty times, and the last the first
	for i := range 12 {
		next := "w" + strings.Repeat("x", (i+1)%12)
		text := next + " for $a" + strings.Repeat(" and also "+next+" for $a", 39)
		wide = append(wide, board.SavedQuestion{Name: "w" + strings.Repeat("x", i), Parameters: []string{"a"}, Text: text})
	}
	s.questions = wide
	if _, err := Compile(t.Context(), s, Options{}, "w for VMAIN"); err == nil {
		t.Error("a wide circle is answered")
	}
	CheckSaved(wide[0], wide[1:])
	Complete(t.Context(), s, Options{}, "w for VM", len("w for VM"))
	var chain []board.SavedQuestion
	for i := range 30 {
		chain = append(chain, board.SavedQuestion{Name: "c" + strings.Repeat("x", i), Text: "c" + strings.Repeat("x", i+1) + " on VMAIN"})
	}
	s.questions = append(chain, board.SavedQuestion{Name: "c" + strings.Repeat("x", 30), Text: "parts"})
	rand.Shuffle(len(s.questions), func(i, j int) { s.questions[i], s.questions[j] = s.questions[j], s.questions[i] })
	_, err := Compile(context.Background(), s, Options{}, "c")
	var list diag.List
	if !errors.As(err, &list) || list[0].Code != "Q82" {
		t.Errorf("30 deep: %v", err)
	}
}

// What is wrong with a question is found when it is saved.
func TestCheckSaved(t *testing.T) {
	others := []board.SavedQuestion{{Name: "caps", Parameters: []string{"rail"}, Text: "capacitors on $rail"}, {Name: "back", Text: "lids on VMAIN"}}
	for text, want := range map[string]string{
		"parts on $a":                                 "",
		"parts on VMAIN in lower":                     "",
		"caps for lower:VMAIN":                        "",
		"parts in Heron-A":                            "",
		"capacitors with value = $a ±5%":              "",
		"parts within $a of $b sorted by $c first $d": "",
		"parts with valu = 10uF":                      "1:12 Q25",
		"capacitors with value > 10V":                 "1:25 Q41",
		"caps":                                        "1:1 Q83",
		"caps for VMAIN with pads = 3":                "1:21 Q25",
		"parts onn VMAIN":                             "1:7 Q10",
		"back except parts on GND":                    "saved question back:1:1 Q81",
		"plan of parts":                               "1:1 Q88",
		"lids":                                        "1:1 Q81",
	} {
		list := CheckSaved(board.SavedQuestion{Name: "lids", Parameters: syntax.ParametersOf(text), Text: text}, others)
		got := ""
		if len(list) > 0 {
			got = strings.TrimPrefix(list[0].Error()[:strings.Index(list[0].Error(), " error")], "")
			got = strings.TrimSuffix(got, ":") + " " + list[0].Code
		}
		if got != want {
			t.Errorf("%s: %q, want %q", text, got, want)
		}
	}
	for name, want := range map[string]string{"parts": "Q89", "hidden": "Q89", "net": "Q89", "on": "Q89", "count": "Q89", "of": "Q89", "Big": "Q89", "2x": "Q89", "": "Q89", "biglids": ""} {
		if list := CheckSaved(board.SavedQuestion{Name: name, Text: "parts"}, nil); (len(list) == 0) != (want == "") || want != "" && list[0].Code != want {
			t.Errorf("%q: %v", name, list)
		}
	}
	unused := CheckSaved(board.SavedQuestion{Name: "x", Parameters: []string{"a"}, Text: "parts"}, nil)
	if len(unused) != 1 || unused[0].Code != "Q86" {
		t.Errorf("an unused parameter: %v", unused)
	}
}

// The words and names that can stand where a value of a saved question does are
// those of the place that its parameter has.
func TestCompleteSaved(t *testing.T) {
	s, _ := savedCases(t)
	for text, want := range map[string]string{
		"big": "biglids", "covers over (wor": "worst", "biglids on VM": "VMAIN", "suspectcaps f": "for", "suspectcaps for VM": "VMAIN",
		"worst for VMAIN und": "under", "anyfield for 10uF, pack": "package", "biglids sorted by val": "value",
	} {
		c := Complete(t.Context(), s, Options{}, text, len(text))
		if len(c.Offers) == 0 || c.Offers[0].Text != want {
			t.Errorf("%s: %v, want %s", text, c.Offers, want)
		}
	}
	if c := Complete(t.Context(), s, Options{}, "biglids f", 9); len(c.Offers) > 0 && c.Offers[0].Text == "for" {
		t.Error("for is offered after a question without parameters")
	}
}
