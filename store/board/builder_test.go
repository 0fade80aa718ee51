package board

import (
	"math/rand/v2"
	"strings"
	"testing"
	"unsafe"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// statement is one thing said to a builder.
type statement func(*Builder)

// smallBoard says everything there is about a small board.
func smallBoard() []statement {
	connect := func(part, pin, net string) statement {
		return func(bu *Builder) { bu.Connect(bu.Pin(bu.Part(part), pin), bu.Net(net)) }
	}
	return []statement{
		connect("C10", "1", "VMAIN"), connect("C10", "2", "GND"),
		connect("C2", "1", "VMAIN"), connect("C2", "2", "GND"),
		connect("U300", "A4", "VMAIN"), connect("U300", "A10", "GND"), connect("U300", "A5", "VMAIN"),
		func(bu *Builder) { bu.Pin(bu.Part("U300"), "NC") },
		func(bu *Builder) { bu.Part("J7") },
		func(bu *Builder) { n := bu.Net("VMAIN"); bu.NetAt(n).Aliases = []string{"VSYS"} },
		func(bu *Builder) { p := bu.Pad("P11"); n := bu.Net("VMAIN"); bu.PadAt(p).Net = n },
		func(bu *Builder) { bu.Pad("P2") },
		func(bu *Builder) {
			c := bu.Cover("SH1")
			parts := []PartID{bu.Part("U300"), bu.Part("C2"), bu.Part("U300")}
			pads := []PadID{bu.Pad("P11"), bu.Pad("P2")}
			bu.CoverAt(c).Listed, bu.CoverAt(c).Parts, bu.CoverAt(c).Pads = true, parts, pads
		},
		func(bu *Builder) { bu.Cover("J7") },
		func(bu *Builder) {
			x := bu.Branch("left")
			n, pad, pin := bu.Net("VMAIN"), bu.Pad("P11"), bu.Pin(bu.Part("C10"), "1")
			bu.BranchAt(x).Net, bu.BranchAt(x).Pads, bu.BranchAt(x).Pins = n, []PadID{pad}, []PinID{pin}
		},
	}
}

func build(say []statement) *Board {
	bu := NewBuilder(Ref{"Heron-A", "3"})
	for _, s := range say {
		s(bu)
	}
	return bu.Build()
}

// sameBoard compares boards in all but what is indexed.
var sameBoard = cmpopts.IgnoreUnexported(Board{})

func TestBuildOrdersNaturally(t *testing.T) {
	b := build(smallBoard())
	var parts, pins []string
	for _, p := range b.Parts {
		parts = append(parts, p.Name)
	}
	for p := range b.Pins {
		pins = append(pins, b.PinName(PinID(p)))
	}
	if d := cmp.Diff([]string{"C2", "C10", "J7", "U300"}, parts); d != "" {
		t.Error(d)
	}
	want := []string{"C2.1", "C2.2", "C10.1", "C10.2", "U300.A4", "U300.A5", "U300.A10", "U300.NC"}
	if d := cmp.Diff(want, pins); d != "" {
		t.Error(d)
	}
	if c := b.Parts[b.FindPart("C10")].Class; c != Capacitor {
		t.Errorf("C10 is a %v", c)
	}
}

func TestBuildRenumbers(t *testing.T) {
	b := build(smallBoard())
	vmain := b.FindNet("VMAIN")
	var on []string
	for _, p := range b.PinsOn(vmain) {
		on = append(on, b.PinName(p))
	}
	if d := cmp.Diff([]string{"C2.1", "C10.1", "U300.A4", "U300.A5"}, on); d != "" {
		t.Error(d)
	}
	if pads := b.PadsOn(vmain); len(pads) != 1 || b.Pads[pads[0]].Name != "P11" {
		t.Errorf("the pads on VMAIN are %v", pads)
	}
	if pads := b.PadsOn(b.FindNet("GND")); len(pads) != 0 {
		t.Errorf("the pads on GND are %v", pads)
	}
	lid := b.Covers[b.FindCover("SH1")]
	if d := cmp.Diff([]PartID{b.FindPart("C2"), b.FindPart("U300")}, lid.Parts); d != "" {
		t.Errorf("the cover's parts are not a set in order:\n%s", d)
	}
	if d := cmp.Diff([]PadID{b.FindPad("P2"), b.FindPad("P11")}, lid.Pads); d != "" {
		t.Error(d)
	}
	if lid.Part != None || b.Covers[b.FindCover("J7")].Part != b.FindPart("J7") {
		t.Error("of the covers only J7 is a part")
	}
	left := b.Branches[0]
	if left.Net != vmain || b.PinName(left.Pins[0]) != "C10.1" || b.Pads[left.Pads[0]].Name != "P11" {
		t.Errorf("the branch is %+v", left)
	}
}

// Saying everything in another order, or twice, makes the same board.
func TestBuildIsSetValued(t *testing.T) {
	want := build(smallBoard())
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		say := append(smallBoard(), smallBoard()...)
		rnd.Shuffle(len(say), func(i, j int) { say[i], say[j] = say[j], say[i] })
		if d := cmp.Diff(want, build(say), sameBoard); d != "" {
			t.Fatal(d)
		}
	}
}

func TestConnectConflict(t *testing.T) {
	bu := NewBuilder(Ref{})
	pin := bu.Pin(bu.Part("C1"), "1")
	a, b := bu.Net("A"), bu.Net("B")
	if n, ok := bu.Connect(pin, a); n != a || !ok {
		t.Errorf("the first net gives %d, %v", n, ok)
	}
	if n, ok := bu.Connect(pin, a); n != a || !ok {
		t.Errorf("the same net again gives %d, %v", n, ok)
	}
	if n, ok := bu.Connect(pin, b); n != a || ok {
		t.Errorf("another net gives %d, %v; want %d, false", n, ok, a)
	}
	if got := bu.Build(); got.Pins[0].Net != got.FindNet("A") {
		t.Error("the conflict moved the pin")
	}
}

func TestBuilderInterns(t *testing.T) {
	bu := NewBuilder(Ref{})
	first, again := bu.Intern(strings.Clone("VMAIN")), bu.Intern(strings.Clone("VMAIN"))
	if unsafe.StringData(first) != unsafe.StringData(again) {
		t.Error("one name is held twice")
	}
	if n := bu.Net("VMAIN"); bu.Net("VMAIN") != n || !bu.HasNet("VMAIN") || bu.HasNet("VMAIM") {
		t.Error("a net is not the one of its name")
	}
	if bu.HasPart("C1") || bu.Part("C1") != 0 || !bu.HasPart("C1") {
		t.Error("a part is known before it was added, or not after")
	}
}

func TestViasAndTracksAreRenumbered(t *testing.T) {
	bu := NewBuilder(Ref{})
	z, a := bu.Net("Z"), bu.Net("A")
	bu.Board().Vias = append(bu.Board().Vias, Via{Net: z}, Via{Net: None})
	bu.Board().Tracks = append(bu.Board().Tracks, Track{Net: a})
	b := bu.Build()
	if b.Vias[0].Net != b.FindNet("Z") || b.Vias[1].Net != None || b.Tracks[0].Net != b.FindNet("A") {
		t.Errorf("vias are on %v, tracks on %v", b.Vias, b.Tracks)
	}
}

func TestEmptyBoard(t *testing.T) {
	b := NewBuilder(Ref{Name: "empty"}).Build()
	if b.FindPart("C1") != None || b.FindNet("A") != None || b.FindPad("P") != None || b.FindCover("S") != None {
		t.Error("something is found on an empty board")
	}
	if got := NewSpace(b).PartsIn(Bounds{Point{-1, -1}, Point{1, 1}}); len(got) != 0 {
		t.Errorf("%v lies on an empty board", got)
	}
}

func TestFind(t *testing.T) {
	b := build(smallBoard())
	for i, p := range b.Parts {
		if b.FindPart(p.Name) != PartID(i) {
			t.Errorf("%s is not found", p.Name)
		}
	}
	if b.FindNet("VSYS") != b.FindNet("VMAIN") || b.FindNet("VMAIN") == None {
		t.Error("the alias VSYS does not lead to VMAIN")
	}
	u := b.FindPart("U300")
	if p := b.FindPin(u, "A10"); p == None || b.PinName(p) != "U300.A10" {
		t.Errorf("U300.A10 is pin %d", p)
	}
	for _, missing := range []int32{
		int32(b.FindPart("c2")), int32(b.FindPart("C02")), int32(b.FindPart("")), int32(b.FindNet("VSY")), int32(b.FindPad("P1")),
		int32(b.FindCover("SH2")), int32(b.FindPin(u, "A6")), int32(b.FindPin(b.FindPart("J7"), "1")),
	} {
		if missing != None {
			t.Errorf("what is not there is found as %d", missing)
		}
	}
}

func TestHasGround(t *testing.T) {
	b := NewBuilder(Ref{})
	b.Net("GND")
	b.NetAt(b.Net("VMAIN")).Kind = Power
	if b.Build().HasGround() {
		t.Error("a net that is only called GND is taken for ground")
	}
	b = NewBuilder(Ref{})
	b.NetAt(b.Net("CHASSIS")).Kind = Ground
	if !b.Build().HasGround() {
		t.Error("a net that is said to be ground is not seen")
	}
}

// A name wins over an alias of the same spelling.
func TestFindNetNameBeforeAlias(t *testing.T) {
	bu := NewBuilder(Ref{})
	a := bu.Net("A")
	bu.NetAt(a).Aliases = []string{"B"}
	bu.Net("B")
	b := bu.Build()
	if got := b.FindNet("B"); b.Nets[got].Name != "B" {
		t.Errorf("B is the net %s", b.Nets[got].Name)
	}
}

// Making room, at the start and halfway, changes nothing.
func TestGrow(t *testing.T) {
	say := smallBoard()
	grow := func(bu *Builder) { bu.Grow(100, 10, 1000) }
	half := append([]statement{grow}, say[:7]...)
	grown := build(append(append(half, grow), say[7:]...))
	if d := cmp.Diff(build(say), grown, sameBoard); d != "" {
		t.Error(d)
	}
}
