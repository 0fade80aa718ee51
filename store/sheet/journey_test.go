package sheet

import (
	"bytes"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/store/board"
)

// mustRead reads text that is right.
func mustRead(t *testing.T, texts ...string) *Content {
	t.Helper()
	var files []*File
	for i, text := range texts {
		f, found := Parse(fmt.Sprintf("%d.lore", i), []byte(text))
		if len(found) > 0 {
			t.Fatal(found)
		}
		files = append(files, f)
	}
	c, found := Read(files...)
	if len(found) > 0 {
		t.Fatal(found)
	}
	return c
}

// Thirty nets from memory, no place, no part line: a good sheet.
func TestThirtyNetsWithoutPlaces(t *testing.T) {
	var s strings.Builder
	s.WriteString("netlore 1\nboard Heron-A\nnet GND ground\n")
	for i := range 30 {
		fmt.Fprintf(&s, "net N%d\n\tC%d 1\n\tU1 A%d\n", i, i, i)
	}
	c := mustRead(t, s.String())
	if len(c.Board.Nets) != 31 || len(c.Board.Parts) != 31 || len(c.Board.Pins) != 60 {
		t.Errorf("%d nets, %d parts, %d pins", len(c.Board.Nets), len(c.Board.Parts), len(c.Board.Pins))
	}
	if class := c.Board.Parts[c.Board.FindPart("C7")].Class; class != board.Capacitor {
		t.Errorf("C7 is a %v", class)
	}
	f, _ := Parse("", []byte(s.String()))
	if found := Check(c, f); len(found) > 0 {
		t.Error(found)
	}
}

// Readings alone, without even a subject: they wait for their board.
func TestReadingsAlone(t *testing.T) {
	c := mustRead(t, "netlore 1\nreading diode VMAIN 0.41V good\nreading continuity TP1 rings to TP2\nreading heat U3 hot\nreading ohms R5.1 open\n")
	if c.Board != nil || c.Stack != nil || len(c.Knowledge.Readings) != 4 {
		t.Fatalf("got %+v", c)
	}
	var outcomes []board.Outcome
	for _, r := range c.Knowledge.Readings {
		outcomes = append(outcomes, r.Outcome)
	}
	if d := cmp.Diff([]board.Outcome{board.Open, board.Closed, board.Closed, board.Measured}, outcomes); d != "" {
		t.Error(d)
	}
	if found := Check(c); len(found) > 0 {
		t.Errorf("nothing is known of the board, but %v", found)
	}
}

// Two people add members to one net, and git keeps both versions of the lines
// (union merge): what they say adds up, and canonical form has it once.
func TestTwoPeopleAddToOneNet(t *testing.T) {
	merged := "netlore 1\nnet VMAIN power\n  C1201 1\n  U300 A4 A5\n  U300 A4 A6 # by the other\n  L300 2\nnet VMAIN power 3.8V\n"
	f, found := Parse("merged", []byte(merged))
	if len(found) > 0 {
		t.Fatal(found)
	}
	want := "netlore 1\n\nnet VMAIN power 3.8V\n  C1201 1\n  L300 2\n  U300 A4 A5 A6 # by the other\n"
	if d := cmp.Diff(want, string(f.Canonical())); d != "" {
		t.Error(d)
	}
}

// A file of a newer minor version is read as far as it is known, with
// warnings, and rewritten without loss.
func TestNewerMinorVersion(t *testing.T) {
	text := "netlore 1.4\n\nnet A\npart C1 10uF\n  1 glow 7\nspark S1 loud # new\n  hiss\npart C2 10uF shade blue\n  1 top\nnet GND ground\n"
	f, found := Parse("", []byte(text))
	if found.HasErrors() || len(found) != 4 {
		t.Errorf("got %v", found)
	}
	c, _ := Read(f)
	if c.Board.FindPart("C1") == board.None || c.Board.FindPart("C2") != board.None {
		t.Error("C1 is known, C2 is not")
	}
	canonical := string(f.Canonical())
	for _, kept := range []string{"netlore 1.4\n", "\n  1 glow 7\n", "\nspark S1 loud # new\n  hiss\npart C2 10uF shade blue\n  1 top\n"} {
		if !strings.Contains(canonical, kept) {
			t.Errorf("%q is lost in\n%s", kept, canonical)
		}
	}
}

func TestNewerMajorVersionStaysAsItIs(t *testing.T) {
	text := "netlore 2 \r\nanything ( at all\n"
	f, found := Parse("", []byte(text))
	if len(found) != 1 || found[0].Code != "S502" || string(f.Canonical()) != text || f.Blocks() != nil {
		t.Errorf("%v, %q", found, f.Canonical())
	}
}

// Sheets put one after the other are one sheet.
func TestConcatenated(t *testing.T) {
	a, b := "netlore 1\nnet A\n  C1 1\n", "netlore 1 # b\nnet A\n  C1 2\n"
	f, found := Parse("", []byte(a+b))
	if d := cmp.Diff("netlore 1\n\n# b\nnet A\n  C1 1 2\n", string(f.Canonical())); d != "" || len(found) > 0 {
		t.Error(found, d)
	}
}

// A line of many megabytes is one complaint, and costs no memory.
func TestEndlessLineCostsNothing(t *testing.T) {
	text := append([]byte("netlore 1\nnote on A \""), bytes.Repeat([]byte("x "), 32<<20)...)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f, found := Parse("", text)
	runtime.ReadMemStats(&after)
	if len(found) != 1 || found[0].Code != "S103" || found[0].Line != 2 || len(found[0].Excerpt) > 1000 {
		t.Errorf("got %d complaints, the first %s", len(found), found[0].Code)
	}
	if spent := after.TotalAlloc - before.TotalAlloc; spent > 1<<20 {
		t.Errorf("%d KiB allocated", spent>>10)
	}
	if f.Blocks() != nil {
		t.Error("the line was taken")
	}
}

// Text that is no sheet is one complaint, or a hundred and their number.
func TestNoSheet(t *testing.T) {
	tests := map[string]struct {
		text  string
		first string
		most  int
	}{
		"binary":              {"netlore 1\npart \x00", "S102", 1},
		"zip":                 {"PK\x03\x04 netlore", "S102", 1},
		"another format":      {strings.Repeat("P  JOB whatever\n", 5000), "S101", 1},
		"empty":               {"\n \n", "S101", 1},
		"garbage with header": {"netlore 1\n" + strings.Repeat("lorem ipsum\n", 5000), "S113", maxComplaints + 1},
		"too large":           {"netlore 1\n" + strings.Repeat("# much\n", MaxFile/7+1), "S104", 1},
	}
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			_, found := Parse("", []byte(test.text))
			if len(found) == 0 || found[0].Code != test.first || len(found) > test.most || !found.HasErrors() {
				t.Errorf("%d complaints: %v", len(found), found)
			}
		})
	}
}

// Ranges cannot be used to fill the memory: there is a bound for each, and for
// all of a file.
func TestRangesAreBounded(t *testing.T) {
	line := "pad P1..P4096 in " + strings.Repeat("x", 3000) + "\n"
	_, found := Parse("", []byte("netlore 1\n"+strings.Repeat(line, 40)))
	if len(found) != 19 || found[0].Code != "S213" || found[0].Line != 23 {
		t.Errorf("%d complaints: %v", len(found), found)
	}
}

// A long list is no range: as many lines as a file may have can have one.
func TestLongListsAreNoRanges(t *testing.T) {
	text := "netlore 1\nnet GND\n" + strings.Repeat("  U1"+strings.Repeat(" A1", 1300)+"\n", 200)
	if _, found := Parse("", []byte(text)); len(found) > 0 {
		t.Errorf("%d complaints: %v", len(found), found[0])
	}
}

// After the hundredth complaint a line with another is counted once, however
// much is wrong with it, and nothing is worded for it.
func TestFurtherComplaintsAreOnlyCounted(t *testing.T) {
	line := "part C1 at 1,2 frobnicate 12 top left bottom 10uFx 55\n"
	const lines = 5000
	src := []byte("netlore 1\n" + strings.Repeat(line, lines))
	_, found := Parse("", src)
	last := found[len(found)-1]
	counted := fmt.Sprintf("and complaints about %d more lines", lines-found[maxComplaints-1].Line+1)
	if last.Code != "S114" || last.Message != counted {
		t.Errorf("got %q, want %q", last.Message, counted)
	}
	if each := testing.AllocsPerRun(3, func() { Parse("", src) }) / lines; each > 10 {
		t.Errorf("%.1f allocations a line", each)
	}
}

// What many lines about one thing cost grows with their number only.
func TestManyStatementsAboutOneNet(t *testing.T) {
	var s strings.Builder
	s.WriteString("netlore 1\n")
	for i := range 20_000 {
		fmt.Fprintf(&s, "net GND ground\n  C%d 2\n", i)
	}
	c := mustRead(t, s.String())
	if n := len(c.Board.PinsOn(0)); n != 20_000 {
		t.Errorf("%d pins on the net", n)
	}
	f, _ := Parse("", []byte(s.String()))
	if n := len(f.Blocks()); n != 1 {
		t.Errorf("%d statements", n)
	}
}

// A list that is said again and again costs no more than what it says.
func TestRepeatedListsCostNothing(t *testing.T) {
	text := "netlore 1\n" + strings.Repeat("net A also "+strings.Repeat("B,", 1900)+"C\n", 2000)
	f, _ := Parse("", []byte(text))
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	c, found := Read(f)
	runtime.ReadMemStats(&after)
	if len(found) > 0 || !slices.Equal(c.Board.Nets[0].Aliases, []string{"B", "C"}) {
		t.Errorf("%v, complaints %v", c.Board.Nets, found)
	}
	if spent := after.TotalAlloc - before.TotalAlloc; spent > 4<<20 {
		t.Errorf("%d KiB allocated", spent>>10)
	}
}

// Lines without number that contradict each other are put in order all the
// same, and once more makes no difference.
func TestManyContradictions(t *testing.T) {
	var s strings.Builder
	s.WriteString("netlore 1\n")
	for i := range 20_000 {
		fmt.Fprintf(&s, "part C1 %duF\npart C1 top at %d,1\n", i+1, i%3)
	}
	f, _ := Parse("", []byte(s.String()))
	once := f.Canonical()
	f, _ = Parse("", once)
	if again := f.Canonical(); !bytes.Equal(once, again) || bytes.Count(once, []byte("\n")) != 20_000+3+2 {
		t.Errorf("%d lines, then %d", bytes.Count(once, []byte("\n")), bytes.Count(again, []byte("\n")))
	}
}
