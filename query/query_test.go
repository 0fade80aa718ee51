package query

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"netlore/query/diag"
	"netlore/store/board"
)

// source is a knowledge base in memory, with small boards invented here.
type source struct {
	boards []*board.Board
	stacks []board.Stack
	known  map[string]*board.Knowledge
	fail   error

	questions []board.SavedQuestion
	reads     atomic.Int64
}

var errUnknown = errors.New("not held")

func (s *source) Catalogue(context.Context) (*board.Catalogue, error) {
	all := &board.Catalogue{Stacks: s.stacks, Questions: s.questions}
	for _, b := range s.boards {
		all.Boards = append(all.Boards, board.Summary{Ref: b.Ref})
	}
	return all, s.fail
}

func (s *source) Board(_ context.Context, ref board.Ref) (*board.Board, error) {
	s.reads.Add(1)
	for _, b := range s.boards {
		if b.Ref == ref {
			return b, nil
		}
	}
	return nil, errUnknown
}

func (s *source) Knowledge(_ context.Context, ref board.Ref) (*board.Knowledge, error) {
	if k := s.known[ref.Name]; k != nil {
		return k, nil
	}
	return &board.Knowledge{}, nil
}

// small makes a board with parts on VMAIN.
func small(name, revision string, parts ...string) *board.Board {
	bu := board.NewBuilder(board.Ref{Name: name, Revision: revision})
	net := bu.Net("VMAIN")
	for _, p := range parts {
		bu.Connect(bu.Pin(bu.Part(p), "1"), net)
	}
	return bu.Build()
}

func stackOf(name string, boards ...*board.Board) board.Stack {
	s := board.Stack{Name: name}
	for i, b := range boards {
		s.Members = append(s.Members, board.Member{Role: []string{"lower", "upper"}[i], Board: b.Ref})
	}
	return s
}

var (
	heronA  = small("Heron-A", "3", "C12", "C2")
	heronA2 = small("Heron-A", "2", "C99")
	heronB  = small("Heron-B", "2", "C4407")
	grebe   = small("Grebe", "", "C1", "R1")
)

// answer asks and gives the names in the rows, or the code of the complaint.
func answer(t *testing.T, s *source, on, text string) string {
	t.Helper()
	a, err := Ask(t.Context(), s, Options{On: on}, text)
	var list diag.List
	if errors.As(err, &list) {
		return list[0].Code
	}
	if err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	var names []string
	for _, r := range a.Rows {
		names = append(names, r.Cells[0].String())
	}
	return strings.Join(names, " ")
}

func TestWhatIsAsked(t *testing.T) {
	one := &source{boards: []*board.Board{heronA}}
	revisions := &source{boards: []*board.Board{heronA2, heronA}}
	whole := &source{boards: []*board.Board{heronA, heronB}, stacks: []board.Stack{stackOf("Heron", heronB, heronA)}}
	many := &source{boards: []*board.Board{grebe, heronA2, heronA, heronB}, stacks: whole.stacks}
	for _, c := range []struct {
		src      *source
		on, text string
		want     string
	}{
		{one, "", "parts on VMAIN", "C2 C12"},
		{revisions, "", "parts on VMAIN", "C2 C12"}, // the newest revision
		{revisions, "Heron-A rev 2", "parts on VMAIN", "C99"},
		{whole, "", "parts on VMAIN", "lower:C4407 upper:C2 upper:C12"},
		{whole, "", "parts on VMAIN in upper", "upper:C2 upper:C12"},
		{whole, "Heron-B", "parts on VMAIN", "C4407"},
		{many, "", "parts on VMAIN", "Q60"},
		{many, "heron", "parts on VMAIN", "lower:C4407 upper:C2 upper:C12"},
		{many, "Herun", "parts on VMAIN", "Q61"},
		{many, "", "parts on VMAIN in Grebe", "C1 R1"},
		{many, "Heron", "parts on VMAIN in Grebe", "C1 R1"},
		{many, "Heron", "parts on VMAIN in Heron-A", "upper:C2 upper:C12"},
		{many, "", "parts on VMAIN in Grebe and also parts on VMAIN", "Q60"},
		{many, "", "parts on VMAIN in every board", "C1 R1 C2 C12 C4407"},
		{many, "Grebe", "parts on VMAIN in every board", "C1 R1 C2 C12 C4407"},
		{many, "", "parts on VMAIN or VBAT in every board", "C1 R1 C2 C12 C4407"},
		{many, "", "parts on VMAIN in every board with valu = 1uF", "Q25"},
		{many, "", "parts on VMIAN in Grebe", "Q30"},
		{&source{}, "", "parts on VMAIN", "Q62"},
		{one, "", "parts onn VMAIN", "Q10"},
	} {
		if got := answer(t, c.src, c.on, c.text); got != c.want {
			t.Errorf("--on %q %s: %q, want %q", c.on, c.text, got, c.want)
		}
	}
}

// The boards of `in every board` are read once each, and those that do not know
// a name are counted.
func TestEveryBoardIsReadOnce(t *testing.T) {
	s := &source{}
	for i := range 30 {
		b := small(fmt.Sprintf("B%d", i), "", "C1")
		if i%3 == 0 {
			bu := board.NewBuilder(b.Ref)
			bu.Part("C1")
			b = bu.Build()
		}
		s.boards = append(s.boards, b)
	}
	a, err := Ask(t.Context(), s, Options{}, "parts on VMAIN in every board")
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Rows) != 20 || len(a.Missing) != 1 || a.Missing[0].Boards != 10 {
		t.Errorf("%d rows, missing %v", len(a.Rows), a.Missing)
	}
	if reads := s.reads.Load(); reads > 31 {
		t.Errorf("%d reads of 30 boards", reads)
	}
}

// A board on which the words of the question fit in two ways is left out and
// counted; one that lacks what is asked for is counted with what it lacks.
func TestEveryBoardWhereTheWordsDoNotFit(t *testing.T) {
	twice := board.NewBuilder(board.Ref{Name: "Twice"})
	twice.Connect(twice.Pin(twice.Part("C7"), "1"), twice.Net("VMain"))
	twice.Connect(twice.Pin(twice.Part("C8"), "1"), twice.Net("VMAIN"))
	framed := board.NewBuilder(board.Ref{Name: "Framed"})
	framed.PadAt(framed.Pad("P1")).Group = "IP1"
	s := &source{boards: []*board.Board{framed.Build(), grebe, heronA, twice.Build()}}
	for text, want := range map[string]string{
		"parts on vmain in every board":       "4 of 4 parts · vmain not on 1 of 4 boards · 1 of 4 boards left out: vmain fits several names, which differ by small and capital letters",
		"pads in IP1 in every board":          "1 of 1 pad · IP1 not on 3 of 4 boards",
		"pads in IP1, IP2 in every board":     "1 of 1 pad · IP2 not on 4 of 4 boards · IP1 not on 3 of 4 boards",
		"count parts on VMAIN in every board": "5 parts · VMAIN not on 1 of 4 boards",
	} {
		a, err := Ask(t.Context(), s, Options{}, text)
		if err != nil {
			t.Fatal(err)
		}
		if got := a.Footer(false); got != want {
			t.Errorf("%s: %s, want %s", text, got, want)
		}
	}
}

func TestNoChoiceListsTheChoices(t *testing.T) {
	s := &source{boards: []*board.Board{grebe, heronA, heronB}, stacks: []board.Stack{stackOf("Heron", heronB, heronA)}}
	_, err := Compile(t.Context(), s, Options{}, "parts on VMAIN")
	var list diag.List
	if !errors.As(err, &list) {
		t.Fatal(err)
	}
	var out strings.Builder
	if err := diag.Write(&out, list, diag.Style{}); err != nil {
		t.Fatal(err)
	}
	want := `error Q60: the knowledge base holds 3 boards and 1 stack; say which one is asked
  help: --on Heron  the stack of Heron-B or Heron-A
  help: --on Grebe
  help: --on Heron-A
  help: --on Heron-B
  help: or say it in the question: in Grebe, in every board
`
	if d := cmp.Diff(want, out.String()); d != "" {
		t.Error(d)
	}
}

// What is said of a stack is known of its members: of the one it names, or of
// all if it names none.
func TestKnowledgeOfTheStack(t *testing.T) {
	note := func(role, text string) board.Note {
		return board.Note{On: []board.Target{{Kind: board.OnNet, Role: role, Name: "VMAIN"}}, Text: text}
	}
	s := &source{
		boards: []*board.Board{heronA, heronB}, stacks: []board.Stack{stackOf("Heron", heronB, heronA)},
		known: map[string]*board.Knowledge{"Heron": {Notes: []board.Note{note("upper", "one"), note("", "two")}}},
	}
	for text, want := range map[string]int{"notes on upper:VMAIN": 2, "notes on lower:VMAIN": 1} {
		a, err := Ask(t.Context(), s, Options{}, text)
		if err != nil {
			t.Fatal(err)
		}
		if len(a.Rows) != want {
			t.Errorf("%s: %d rows, want %d", text, len(a.Rows), want)
		}
	}
}

func TestSourceErrorsAreNotComplaints(t *testing.T) {
	broken := &source{boards: []*board.Board{heronA}, fail: errUnknown}
	lost := &source{boards: []*board.Board{heronA, heronB}, stacks: []board.Stack{{Name: "S", Members: []board.Member{{Role: "a", Board: board.Ref{Name: "Gone"}}}}}}
	for _, c := range []struct {
		src *source
		on  string
	}{{broken, ""}, {lost, "S"}} {
		_, err := Ask(t.Context(), c.src, Options{On: c.on}, "parts on VMAIN")
		var list diag.List
		if !errors.Is(err, errUnknown) || errors.As(err, &list) {
			t.Errorf("got %v", err)
		}
	}
}

func TestLimitsAreSaid(t *testing.T) {
	s := &source{boards: []*board.Board{grebe, heronA, heronB}}
	a, err := Ask(t.Context(), s, Options{Rows: 2}, "parts on VMAIN in every board")
	if err != nil || len(a.Rows) != 2 || a.Complete() {
		t.Errorf("%v: %d rows, complete %t", err, len(a.Rows), a.Complete())
	}
	var hours atomic.Int64
	now := func() time.Time { return time.Unix(hours.Add(1)*3600, 0) }
	a, err = Ask(t.Context(), s, Options{Now: now}, "parts on VMAIN in every board")
	if err != nil || a.Complete() {
		t.Errorf("%v: an answer in no time is called whole", err)
	}
}

func TestCancelled(t *testing.T) {
	s := &source{boards: []*board.Board{grebe, heronA}}
	q, err := Compile(t.Context(), s, Options{}, "parts on VMAIN in every board")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if a, err := q.Run(ctx, s, Options{}); err == nil && a.Complete() {
		t.Error("a cancelled question is answered as a whole")
	}
	if _, err := Ask(ctx, s, Options{}, "parts on VMAIN in Grebe"); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
}

func TestReadingAndNotes(t *testing.T) {
	s := &source{boards: []*board.Board{heronA}}
	q, err := Compile(t.Context(), s, Options{}, "parts on vmain or on VMAIN and not on VMAIN")
	if err != nil {
		t.Fatal(err)
	}
	if want := "parts (on vmain) or (on VMAIN and not on VMAIN)"; q.Reading != want {
		t.Errorf("read as %s, want %s", q.Reading, want)
	}
	if len(q.Notes) != 1 || q.Notes[0].Code != "Q37" {
		t.Errorf("notes %v", q.Notes)
	}
}

func TestComplete(t *testing.T) {
	s := &source{known: map[string]*board.Knowledge{"Heron": {Jobs: []board.Job{{ID: "1042"}}}}, boards: []*board.Board{grebe, heronA, heronB}, stacks: []board.Stack{stackOf("Heron", heronB, heronA)}}
	for _, c := range []struct{ on, text, want string }{
		{"", "", "parts"},
		{"", "", "count"},
		{"", "par", "parts"},
		{"", "parts ", "under"},
		{"", "parts un", "under"},
		{"Heron", "parts on VM", "VMAIN"},
		{"Heron", "parts on lower:VM", "lower:VMAIN"},
		{"Heron", "parts on LOWER:vm", "lower:VMAIN"},
		{"Heron", "parts on low", "lower:"},
		{"", "parts on VMAIN in Gr", "Grebe"},
		{"", "parts on VMAIN in ", "every"},
		{"", "parts with value ", "at least"},
		{"", "parts with ", "value"},
		{"Heron", "pads in ", "job"},
		{"Heron", "shorted pads in job ", "1042"},
		{"Heron", "pads on VMAIN ", "reading"},
		{"Heron", "pads on VMAIN reading below ", "expected"},
		{"Heron", "pads on VMAIN reading below expected ", "by"},
		{"Heron", "tests for job 1", "1042"},
		{"Heron", "tests ", "for"},
		{"Heron", "suspects in job ", "1042"},
		{"Heron", "suspects with kind = ", "bridge"},
		{"Heron", "suspects with class = cap", "capacitor"},
		{"Heron", "suspects in job 1042 with ch", "chance"},
		{"Heron", "suspects in job 1042 under ", "shield"},
		{"Heron", "parts in (sus", "suspects"},
		{"Heron", "", "why"},
		{"Heron", "why C12", "C12"},
		{"Heron", "why not ", "C12"},
		{"Heron", "why C12 ", "in"},
		{"Heron", "jobs with culprit ", "on"},
		{"Heron", "jobs with culprit on VM", "VMAIN"},
		{"Heron", "nets ", "joined to"},
		{"Heron", "nets joined to VM", "VMAIN"},
		{"Heron", "nets joined to VMAIN ", "through"},
		{"Heron", "nets joined to VMAIN through ", "any"},
		{"Heron", "nets joined to VMAIN through beads, in", "inductors"},
		{"Heron", "nets joined to VMAIN through resistors ", "below"},
		{"Heron", "pads leading to C4", "C4407"},
		{"Heron", "functions lost ", "without"},
		{"", "", "route from"},
		{"Heron", "route from lower:C", "lower:C4407"},
		{"Heron", "route from VMAIN ", "to"},
		{"Heron", "route from VMAIN to C1", "C12"},
		{"Heron", "route from VMAIN to C12 ", "by resistance"},
	} {
		got := Complete(t.Context(), s, Options{On: c.on}, c.text, len(c.text))
		var texts []string
		for _, o := range got.Offers {
			texts = append(texts, o.Text)
		}
		if !slices.Contains(texts, c.want) {
			t.Errorf("--on %q %q: %s is not offered, but %v", c.on, c.text, c.want, texts)
		}
		if got.Replace.End != len(c.text) {
			t.Errorf("%q: replaces %v", c.text, got.Replace)
		}
	}
	for text, unwanted := range map[string]string{"parts on VMAIN ": "through", "nets of C12 ": "by steps", "route from VMAIN to C12 ": "sorted by"} {
		for _, o := range Complete(t.Context(), s, Options{On: "Heron"}, text, len(text)).Offers {
			if o.Text == unwanted {
				t.Errorf("%q: %s is offered", text, unwanted)
			}
		}
	}
	if got := Complete(t.Context(), &source{fail: errUnknown}, Options{}, "parts on V", 10); got.Replace.Start != 9 {
		t.Errorf("a broken source: %v", got)
	}
}

// A name with a blank that was not quoted is known from the board.
func TestBlanksInNames(t *testing.T) {
	s := &source{boards: []*board.Board{example()}}
	for text, want := range map[string]string{
		"parts on VM AIN":                    `parts on "VM AIN"`,
		"parts on VM AIN or GND":             `parts on "VM AIN" or GND`,
		"covers over (parts on GND, VM AIN)": `covers over (parts on GND, "VM AIN")`,
		"parts on VM BIN":                    "",
	} {
		_, err := Compile(t.Context(), s, Options{}, text)
		var list diag.List
		if !errors.As(err, &list) {
			t.Fatalf("%s: %v", text, err)
		}
		if got := "did you mean: " + want; want != "" && list[0].Help[0] != got || want == "" && strings.Contains(list[0].Help[0], `"`) {
			t.Errorf("%s: %q", text, list[0].Help)
		}
	}
}

var codePattern = regexp.MustCompile(`"(Q[0-9][0-9])"`)

// TestEveryCodeIsExplained compares the codes in the source with codes.txt.
func TestEveryCodeIsExplained(t *testing.T) {
	used := map[string]bool{}
	for _, pattern := range []string{"*.go", "syntax/*.go", "check/*.go"} {
		files, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			text, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range codePattern.FindAllStringSubmatch(string(text), -1) {
				if !strings.HasSuffix(f, "_test.go") {
					used[m[1]] = true
				}
			}
		}
	}
	for _, code := range Codes() {
		if !used[code] {
			t.Errorf("%s is explained, but nothing complains with it", code)
		}
		delete(used, code)
	}
	for code := range used {
		t.Errorf("%s is not explained", code)
	}
}

// TestExplanationsHold asks the wrong and the right question of every code on a
// board that has the names they use.
func TestExplanationsHold(t *testing.T) {
	s := &source{boards: []*board.Board{example()}, known: map[string]*board.Knowledge{"Heron-A": {Jobs: []board.Job{{ID: "1042"}}}},
		questions: []board.SavedQuestion{{Name: "biglids", Text: "hidden capacitors"},
			{Name: "suspectcaps", Parameters: []string{"rail", "size"}, Text: "capacitors on $rail with value at least $size"}}}
	tried := 0
	for _, code := range Codes() {
		text, _ := Explain(code)
		for _, line := range strings.Split(text, "\n") {
			if wrong, ok := strings.CutPrefix(line, "wrong: "); ok {
				tried++
				_, err := Ask(t.Context(), s, Options{}, wrong)
				var list diag.List
				if !errors.As(err, &list) || list[0].Code != code {
					t.Errorf("%s: %s gives %v", code, wrong, err)
				}
			}
			if right, ok := strings.CutPrefix(line, "right: "); ok {
				if _, err := Compile(t.Context(), s, Options{}, right); err != nil {
					t.Errorf("%s: %s gives %v", code, right, err)
				}
			}
		}
	}
	if tried < 30 {
		t.Errorf("only %d codes have an example", tried)
	}
	if _, ok := Explain("Q99"); ok {
		t.Error("Q99 is explained")
	}
}

// example is a board with the names of codes.txt.
func example() *board.Board {
	bu := board.NewBuilder(board.Ref{Name: "Heron-A", Revision: "3"})
	for _, n := range []string{"VMAIN", "GND", "VBAT_1", "N$12", "#X1", "ON", "SDA2", "sdA2", "VM AIN"} {
		bu.Net(n)
	}
	bu.Connect(bu.Pin(bu.Part("U300"), "1"), bu.Net("VMAIN"))
	for i := 11; i <= 14; i++ {
		bu.Pad(fmt.Sprintf("P%d", i))
	}
	bu.Cover("SH1")
	return bu.Build()
}
