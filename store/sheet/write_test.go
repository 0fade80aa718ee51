package sheet

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"netlore/store/board"
)

// written writes content, looks that the text is canonical and right, and
// reads it back.
func written(t *testing.T, c *Content) (string, *Content) {
	t.Helper()
	text := Write(c)
	f, found := Parse("written", text)
	if len(found) > 0 {
		t.Fatalf("%v\n%s", found, text)
	}
	if d := cmp.Diff(string(text), string(f.Canonical())); d != "" {
		t.Errorf("not canonical: %s", d)
	}
	back, found := Read(f)
	if len(found) > 0 {
		t.Fatal(found)
	}
	return string(text), back
}

// Names and texts from foreign files may hold anything; what is written can be
// read all the same.
func TestWriteNamesFromOutside(t *testing.T) {
	for _, name := range []string{"5V", "pad", "on", "A B", `say "x"`, `back\slash`, "N$12", "/RESET#", "#1", "Net-(C12-Pad1)", "a..b", "a,b", "A:1",
		"e\u0301", "tab\tin", "line\nend", "bad\xff", "Ω", "\u202eturned", "*"} {
		bu := board.NewBuilder(board.Ref{Name: name, Revision: name})
		bu.Board().Title = name
		net, part := bu.Net(name), bu.Part(name)
		bu.Connect(bu.Pin(part, name), net)
		bu.PadAt(bu.Pad(name)).Net = net
		c := bu.CoverAt(bu.Cover(name))
		c.Listed, c.Parts, c.Pads = true, []board.PartID{part}, []board.PadID{0}
		text, back := written(t, &Content{Board: bu.Build()})
		if len(back.Board.Pins) != 1 || len(back.Board.Covers[0].Parts) != 1 || len(back.Board.Pads) != 1 {
			t.Errorf("%q became\n%s", name, text)
		}
	}
}

// Copper that does not fit on a line is divided where that changes nothing,
// and thinned where it cannot be divided.
func TestWriteLongCopper(t *testing.T) {
	bu := board.NewBuilder(board.Ref{Name: "A"})
	b := bu.Board()
	var path []board.Point
	for i := range 1000 {
		path = append(path, board.Point{X: -2_000_000_000 + int32(i)*1001, Y: -2_000_000_001 + int32(i%7)*1003})
	}
	b.Tracks = []board.Track{{Net: board.None, Layer: 1, Pen: board.PadShape{W: 100}, Path: path}}
	b.Outline = board.Polygon(circlePoints(2000))
	_, back := written(t, &Content{Board: bu.Build()})
	var drawn []board.Point
	for _, track := range back.Board.Tracks {
		drawn = append(drawn, track.Path...)
	}
	if n := len(drawn) - (len(back.Board.Tracks) - 1); n != len(path) {
		t.Errorf("%d places of a path of %d, apart from where tracks meet", n, len(path))
	}
	want, got := board.Polygon(circlePoints(2000)).Area(), back.Board.Outline.Area()
	if got < want*0.999 || got > want {
		t.Errorf("the outline has an area of %g, was %g", got, want)
	}
}

// circlePoints are points on a circle of 30 mm.
func circlePoints(n int) []board.Point {
	var all []board.Point
	for i := range n {
		spoke := board.TurnedBox(board.Point{}, board.Size{W: 60000, H: 2}, int32(360_000*i/n))
		all = append(all, spoke.Points[1])
	}
	return all
}

// What cannot be said in a line is left out, and the rest is there.
func TestWriteLeavesOutWhatSaysNothing(t *testing.T) {
	on := board.Target{Name: "VMAIN"}
	k := &board.Knowledge{
		Readings: []board.Reading{{Mode: board.Diode, On: on}, {On: on, Value: board.MustQuantity("1V")}, {Mode: board.Diode, On: on, Value: board.MustQuantity("1V")}},
		Expected: []board.Expected{{Mode: board.Diode, Open: true}, {Mode: board.Diode, On: on, Open: true}},
		Notes:    []board.Note{{Text: "about nothing"}, {On: []board.Target{on}}, {On: []board.Target{on}, Text: "x"}},
	}
	text, _ := written(t, &Content{Knowledge: k})
	want := "netlore 1\n\nexpect diode VMAIN open\n\nreading diode VMAIN 1V\n\nnote on VMAIN \"x\"\n"
	if d := cmp.Diff(want, text); d != "" {
		t.Error(d)
	}
}

// What was read is written whatever order it is in, each once.
func TestWriteSorts(t *testing.T) {
	on := func(name string) board.Target { return board.Target{Name: name} }
	day := func(d int) time.Time { return time.Date(2026, 3, d, 0, 0, 0, 0, time.UTC) }
	one := board.MustQuantity("1V")
	k := &board.Knowledge{
		Readings: []board.Reading{
			{Mode: board.Diode, On: on("N10"), Value: one},
			{Mode: board.Diode, On: on("N2"), Value: one, When: day(9)},
			{Mode: board.Diode, On: on("N2"), Value: one, When: day(9)},
			{Mode: board.Diode, On: on("N2"), Value: one, When: day(2), Specimen: "b10"},
			{Mode: board.Diode, On: on("N2"), Value: one, When: day(2), Specimen: "b9"}},
		Links: []board.Link{{A: on("P9"), B: on("P10")}, {A: on("P10"), B: on("P9")}},
		Jobs:  []board.Job{{ID: "10"}, {ID: "9", Steps: []board.Step{{Number: 2, Text: "joined"}, {Number: 1, Text: "separated"}}}},
	}
	text, _ := written(t, &Content{Knowledge: k})
	want := strings.Join([]string{"netlore 1", "",
		"reading diode N2 1V specimen b9 when 2026-03-02",
		"reading diode N2 1V specimen b10 when 2026-03-02",
		"reading diode N2 1V when 2026-03-09",
		"reading diode N10 1V", "",
		"continuity P9 P10", "",
		"job 9", "  1 separated", "  2 joined", "job 10", ""}, "\n")
	if d := cmp.Diff(want, text); d != "" {
		t.Error(d)
	}
}

// The letters of the name tell the class; another class is written.
func TestWriteClass(t *testing.T) {
	bu := board.NewBuilder(board.Ref{Name: "A"})
	bu.PartAt(bu.Part("C1")).Class = board.Capacitor
	bu.PartAt(bu.Part("C2")).Class = board.Varistor
	text, back := written(t, &Content{Board: bu.Build()})
	if !strings.Contains(text, "part C1\npart C2 varistor\n") || back.Board.Parts[1].Class != board.Varistor {
		t.Error(text)
	}
}

func TestWriteBoardIsWrite(t *testing.T) {
	c := mustRead(t, string(boardSheet(100)))
	if d := cmp.Diff(string(Write(c)), string(WriteBoard(c.Board))); d != "" {
		t.Error(d)
	}
}

// TestFewAllocations keeps reading and printing free of work for each line.
func TestFewAllocations(t *testing.T) {
	src := boardSheet(1000)
	lines := strings.Count(string(src), "\n")
	f, _ := Parse("", src)
	c, _ := Read(f)
	for name, do := range map[string]func(){
		"Parse":     func() { Parse("", src) },
		"Canonical": func() { f.Canonical() },
		"Write":     func() { Write(c) },
	} {
		if n := testing.AllocsPerRun(3, do); n > float64(lines)/10 {
			t.Errorf("%s: %g allocations for %d lines", name, n, lines)
		}
	}
}
