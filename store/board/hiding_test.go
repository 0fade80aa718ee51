package board

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// at places a part of a size on a side.
func at(bu *Builder, name string, side Side, x, y int32, size Size) PartID {
	id := bu.Part(name)
	p := bu.PartAt(id)
	p.Placed, p.Side, p.At, p.Size = true, side, Point{x, y}, size
	return id
}

// lidBoard has a shield of 10 by 10 mm on the top and parts in and about it.
func lidBoard() *Board {
	bu := NewBuilder(Ref{})
	lid := bu.Cover("SH1")
	bu.CoverAt(lid).Side, bu.CoverAt(lid).Outline = Top, Box(Point{0, 0}, Point{10000, 10000})
	mm := Size{1000, 1000}
	at(bu, "C1", Top, 5000, 5000, mm)        // inside
	at(bu, "C2", Bottom, 5000, 5000, mm)     // behind it
	at(bu, "C3", Top, 10000, 5000, mm)       // half
	at(bu, "C4", Top, 10450, 5000, mm)       // 5 %
	at(bu, "C5", Top, 10451, 5000, mm)       // a hair less
	at(bu, "C6", Top, 9550, 5000, mm)        // 95 %
	at(bu, "C7", Top, 9551, 5000, mm)        // a hair less
	at(bu, "C8", Top, 5000, 5000, Size{})    // its place alone, inside
	at(bu, "C9", Top, 10000, 5000, Size{})   // its place alone, on the edge
	at(bu, "C10", Top, 10001, 5000, Size{})  // its place alone, outside
	at(bu, "C11", SideUnknown, 5000, 0, mm)  // side not known, half
	at(bu, "C12", SideUnknown, 20000, 0, mm) // side not known, outside
	bu.PartAt(bu.Part("C13")).Side = Top     // no place
	bu.Part("C14")                           // nothing known
	bu.PartAt(bu.Part("C15")).Side = Bottom  // no place, but the other side
	at(bu, "U1", Top, 0, 0, Size{50000, 50000})
	bu.Cover("SH3")
	unsided := bu.Cover("SH4")
	bu.CoverAt(unsided).Outline = Box(Point{0, 0}, Point{10000, 10000})
	bu.CoverAt(bu.Cover("SH5")).Side = Bottom
	at(bu, "J7", Top, 5000, 5000, Size{2000, 2000})
	bu.Cover("J7")
	listed := bu.Cover("ST1")
	bu.CoverAt(listed).Side, bu.CoverAt(listed).Outline = Top, Box(Point{0, 0}, Point{10000, 10000})
	bu.CoverAt(listed).Listed, bu.CoverAt(listed).Parts = true, []PartID{bu.Part("C2"), bu.Part("C14")}
	return bu.Build()
}

// closely compares shares that went through floating point.
var closely = cmpopts.EquateApprox(0, 1e-9)

func TestCoversPart(t *testing.T) {
	b := lidBoard()
	no, yes := Hiding{Truth: False}, Hiding{Truth: True, Share: 1}
	for _, test := range []struct {
		cover, part string
		want        Hiding
	}{
		{"SH1", "C1", yes},
		{"SH1", "C2", no},
		{"SH1", "C3", Hiding{Truth: True, Partly: true, Share: 0.5}},
		{"SH1", "C4", Hiding{Truth: True, Partly: true, Share: 0.05}},
		{"SH1", "C5", Hiding{Truth: False, Share: 0.049}},
		{"SH1", "C6", Hiding{Truth: True, Share: 0.95}},
		{"SH1", "C7", Hiding{Truth: True, Partly: true, Share: 0.949}},
		{"SH1", "C8", yes},
		{"SH1", "C9", yes},
		{"SH1", "C10", no},
		{"SH1", "C11", Hiding{Truth: Unknown, Share: 0.5, Why: "side not known"}},
		{"SH1", "C12", no},
		{"SH1", "C13", Hiding{Truth: Unknown, Why: "no position"}},
		{"SH1", "C14", Hiding{Truth: Unknown, Why: "no position"}},
		{"SH1", "C15", no},
		// The whole lid lies over a big part, which is hidden to 4 %.
		{"SH1", "U1", Hiding{Truth: True, Partly: true, Share: 100.0 / 2500}},
		{"SH3", "C1", Hiding{Truth: Unknown, Why: "SH3 has no outline and no list"}},
		{"SH4", "C1", Hiding{Truth: Unknown, Share: 1, Why: "side of SH4 not known"}},
		{"SH4", "C12", no},
		{"SH5", "C1", no},
		{"SH5", "C2", Hiding{Truth: Unknown, Why: "SH5 has no outline and no list"}},
		// The part J7 is a cover, with the outline and side of the part.
		{"J7", "C1", yes},
		{"J7", "C3", no},
		{"J7", "J7", no},
		// A list is all there is to say, wherever the parts are.
		{"ST1", "C1", no},
		{"ST1", "C2", yes},
		{"ST1", "C14", yes},
	} {
		got := b.CoversPart(b.FindCover(test.cover), b.FindPart(test.part))
		if d := cmp.Diff(test.want, got, closely); d != "" {
			t.Errorf("%s over %s:\n%s", test.cover, test.part, d)
		}
	}
}

// padBoard has a round lid of 10 mm diameter and pads.
func padBoard() *Board {
	bu := NewBuilder(Ref{})
	lid := bu.Cover("SH1")
	bu.CoverAt(lid).Side, bu.CoverAt(lid).Outline = Top, Circle(Point{0, 0}, 5000)
	pad := func(name string, side Side, x int32, shape PadShape) PadID {
		id := bu.Pad(name)
		p := bu.PadAt(id)
		p.Placed, p.Side, p.At.X, p.Shape = true, side, x, shape
		return id
	}
	in := pad("P1", Top, 0, PadShape{W: 500})
	pad("P2", Bottom, 0, PadShape{W: 500})
	pad("P3", BothSides, 0, PadShape{W: 500})
	pad("P4", Top, 5000, PadShape{})
	pad("P5", Top, 5001, PadShape{})
	pad("P6", Top, 5300, PadShape{W: 600, H: 600})
	bu.PadAt(bu.Pad("P7")).Side = Top
	pad("P8", SideUnknown, 0, PadShape{W: 500})
	list := bu.Cover("ST1")
	bu.CoverAt(list).Listed, bu.CoverAt(list).Pads = true, []PadID{in}
	for name, x := range map[string]int32{"in": 0, "out": 9000} {
		pin := bu.Pin(bu.Part("U1"), name)
		bu.PinAt(pin).Placed, bu.PinAt(pin).At.X, bu.PinAt(pin).Shape = true, x, PadShape{W: 300}
	}
	bu.PartAt(bu.Part("U1")).Side = Top
	bu.CoverAt(list).Parts = []PartID{bu.Part("U1")}
	return bu.Build()
}

func TestCoversPad(t *testing.T) {
	b := padBoard()
	no, yes := Hiding{Truth: False}, Hiding{Truth: True, Share: 1}
	for name, want := range map[string]Hiding{
		"P1": yes, "P2": no, "P3": yes, "P4": yes, "P5": no, "P6": no,
		"P7": {Truth: Unknown, Why: "no position"}, "P8": {Truth: Unknown, Share: 1, Why: "side not known"},
	} {
		got := b.CoversPad(b.FindCover("SH1"), b.FindPad(name))
		if d := cmp.Diff(want, got, closely); d != "" {
			t.Errorf("%s:\n%s", name, d)
		}
	}
	list := b.FindCover("ST1")
	if b.CoversPad(list, b.FindPad("P1")) != yes || b.CoversPad(list, b.FindPad("P3")) != no {
		t.Error("the list of pads does not decide")
	}
}

func TestCoversPin(t *testing.T) {
	b := padBoard()
	u := b.FindPart("U1")
	lid, list := b.FindCover("SH1"), b.FindCover("ST1")
	in, out := b.FindPin(u, "in"), b.FindPin(u, "out")
	if b.CoversPin(lid, in).Truth != True || b.CoversPin(lid, out).Truth != False {
		t.Error("the lid hides the wrong pin")
	}
	if b.CoversPin(list, in).Truth != True || b.CoversPin(list, out).Truth != True {
		t.Error("the list of parts does not hide the part's pins")
	}
}

func TestPartOutline(t *testing.T) {
	bu := NewBuilder(Ref{})
	pin := func(part, name string, side Side, x, y int32, shape PadShape) {
		p := bu.PinAt(bu.Pin(bu.Part(part), name))
		p.Placed, p.Side, p.At, p.Shape = true, side, Point{x, y}, shape
	}
	at(bu, "C1", Top, 100, 200, Size{1000, 500})
	bu.PartAt(bu.Part("C1")).Package, bu.PartAt(bu.Part("C1")).Turn = "0603", 90_000
	at(bu, "C2", Top, 100, 200, Size{})
	bu.PartAt(bu.Part("C2")).Package = "0402"
	pin("C2", "1", Top, 9999, 9999, PadShape{W: 10})
	pin("U1", "1", Top, 0, 0, PadShape{W: 100})
	pin("U1", "2", Top, 1000, 2000, PadShape{W: 200, H: 400})
	pin("U2", "1", Bottom, 5, 5, PadShape{})
	pin("U3", "1", Top, 0, 0, PadShape{})
	pin("U3", "2", Bottom, 0, 900, PadShape{})
	pin("J1", "1", BothSides, 0, 0, PadShape{W: 100})
	at(bu, "U4", Top, 7, 8, Size{})
	bu.Pin(bu.Part("U4"), "1")
	bu.Part("U5")
	b := bu.Build()
	for name, want := range map[string]struct {
		bounds Bounds
		basis  Basis
		side   Side
	}{
		"C1": {Bounds{Point{-150, -300}, Point{350, 700}}, ByStatement, Top},
		"C2": {Bounds{Point{-400, -50}, Point{600, 450}}, ByPackage, Top},
		"U1": {Bounds{Point{-50, -50}, Point{1100, 2200}}, ByPins, Top},
		"U2": {Bounds{}, NoPlace, Bottom}, // one pin without size tells nothing of the body
		"U3": {Bounds{Point{0, 0}, Point{0, 900}}, ByPins, SideUnknown},
		"J1": {Bounds{Point{-50, -50}, Point{50, 50}}, ByPins, SideUnknown},
		"U4": {Bounds{Point{7, 8}, Point{7, 8}}, ByPoint, Top},
		"U5": {Bounds{}, NoPlace, SideUnknown},
	} {
		id := b.FindPart(name)
		o, basis := b.PartOutline(id)
		if o.Bounds() != want.bounds || basis != want.basis || b.PartSide(id) != want.side {
			t.Errorf("%s: %v, %v, %v; want %v", name, o.Bounds(), basis, b.PartSide(id), want)
		}
	}
}

// A part whose pins lie on one line has an outline without area; then its
// middle decides.
func TestPartOnALineUnderCover(t *testing.T) {
	bu := NewBuilder(Ref{})
	lid := bu.Cover("SH1")
	bu.CoverAt(lid).Side, bu.CoverAt(lid).Outline = Top, Box(Point{0, 0}, Point{1000, 1000})
	for i, x := range []int32{400, 1500} {
		p := bu.PinAt(bu.Pin(bu.Part("L1"), string(rune('1'+i))))
		p.Placed, p.Side, p.At = true, Top, Point{x, 500}
	}
	b := bu.Build()
	if got := b.CoversPart(0, 0); got.Truth != True {
		t.Errorf("L1 has its middle under SH1, but %v", got)
	}
}

func TestBehind(t *testing.T) {
	b := lidBoard()
	lid := Box(Point{0, 0}, Point{10000, 10000})
	for name, want := range map[string]Hiding{
		"C1": {Truth: False}, "C2": {Truth: True, Share: 1}, "C11": {Truth: Unknown, Share: 0.5, Why: "side not known"},
		"C12": {Truth: False}, "C13": {Truth: False}, "C14": {Truth: Unknown, Why: "no position"}, "C15": {Truth: Unknown, Why: "no position"},
	} {
		got := b.BehindPart(lid, Top, b.FindPart(name))
		if d := cmp.Diff(want, got, closely); d != "" {
			t.Errorf("%s:\n%s", name, d)
		}
	}
	if got := b.BehindPart(Outline{}, Top, b.FindPart("C2")); got.Truth != Unknown {
		t.Errorf("behind what has no place: %v", got)
	}
	if got := b.BehindPart(lid, SideUnknown, b.FindPart("C2")); got.Truth != Unknown {
		t.Errorf("behind what has no side: %v", got)
	}
	want := []PartID{b.FindPart("C2")}
	if got := b.PartsBehind(lid, Top); !slices.Equal(got, want) {
		t.Errorf("behind the lid are %v; want %v", got, want)
	}
	if got := NewSpace(b).PartsBehind(lid, Top); !slices.Equal(got, want) {
		t.Errorf("by the index, behind the lid are %v; want %v", got, want)
	}
	pads := padBoard()
	lid = Circle(Point{0, 0}, 5000)
	for name, want := range map[string]Truth{"P1": False, "P2": True, "P3": True, "P8": Unknown} {
		if got := pads.BehindPad(lid, Top, pads.FindPad(name)); got.Truth != want {
			t.Errorf("%s behind the lid: %v", name, got)
		}
	}
}
