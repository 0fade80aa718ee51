package board

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// copperBoard is made of lines of words: "pin C1.1 top 0,0 0.4", "pad P1 top 0,0
// 0.4", "track 1 0.2 0,0 5,0", "via 1..2 0,0 0.5", "branch a P1 C1.1", "layers
// 4". All of it is on the net V. Lengths are in millimetres; a place or size
// that is not known is -.
func copperBoard(t *testing.T, lines ...string) *Board {
	t.Helper()
	bu := NewBuilder(Ref{Name: "Plover-A"})
	net := bu.Net("V")
	at := func(s string) (Point, bool) {
		var x, y float64
		n, _ := fmt.Sscanf(s, "%g,%g", &x, &y)
		return Point{int32(x * 1000), int32(y * 1000)}, n == 2
	}
	size := func(s string) PadShape {
		var w, h float64
		fmt.Sscanf(s, "%gx%g", &w, &h)
		return PadShape{W: int32(w * 1000), H: int32(h * 1000)}
	}
	sides := map[string]Side{"top": Top, "bottom": Bottom, "through": BothSides, "-": SideUnknown}
	pin := func(name string) PinID {
		part, pin, _ := strings.Cut(name, ".")
		id := bu.Pin(bu.Part(part), pin)
		bu.Connect(id, net)
		return id
	}
	for _, line := range lines {
		f := strings.Fields(line)
		switch f[0] {
		case "pin":
			p := bu.PinAt(pin(f[1]))
			p.Side, p.Shape = sides[f[2]], size(f[4])
			p.At, p.Placed = at(f[3])
		case "pad":
			p := bu.PadAt(bu.Pad(f[1]))
			p.Net, p.Side, p.Shape = net, sides[f[2]], size(f[4])
			p.At, p.Placed = at(f[3])
		case "track":
			track := Track{Net: net, Pen: size(f[2])}
			fmt.Sscan(f[1], &track.Layer)
			for _, s := range f[3:] {
				p, _ := at(s)
				track.Path = append(track.Path, p)
			}
			bu.Board().Tracks = append(bu.Board().Tracks, track)
		case "via":
			v := Via{Net: net, Shape: size(f[3])}
			fmt.Sscanf(f[1], "%d..%d", &v.From, &v.To)
			v.At, _ = at(f[2])
			bu.Board().Vias = append(bu.Board().Vias, v)
		case "layers":
			fmt.Sscan(f[1], &bu.Board().Layers)
		case "branch":
			x := bu.BranchAt(bu.Branch(f[1]))
			x.Net = net
			for _, name := range f[2:] {
				if strings.Contains(name, ".") {
					x.Pins = append(x.Pins, pin(name))
				} else {
					x.Pads = append(x.Pads, bu.Pad(name))
				}
			}
		default:
			t.Fatalf("what is %q?", line)
		}
	}
	return bu.Build()
}

// contents are the pads and pins of a piece.
func contents(b *Board, x *Piece) string {
	var names []string
	for _, p := range x.Pads {
		names = append(names, b.Pads[p].Name)
	}
	for _, p := range x.Pins {
		names = append(names, b.PinName(p))
	}
	return strings.Join(names, " ")
}

var basisNames = [...]string{"declared", "by name", "by tracks", "apart"}

// told is the copper of a board in words.
func told(b *Board) []string {
	c := b.Copper()
	var list []string
	for i := range c.Pieces {
		x := &c.Pieces[i]
		list = append(list, fmt.Sprintf("%s %s: %s", x.Name, basisNames[x.Basis], contents(b, x)))
	}
	for i := range c.Rest {
		list = append(list, "rest: "+contents(b, &c.Rest[i]))
	}
	return list
}

func TestCopper(t *testing.T) {
	for _, c := range []struct {
		name string
		say  string
		want string
	}{
		{"nothing is known of the copper", "pin C1.1 top 0,0 0.4|pin C2.1 top 0,0 0.4", "V by name: C1.1 C2.1"},
		{"a track joins all", "pin C1.1 top 0,0 0.4|pin C2.1 top 5,0 0.4|track 1 0.2 0,0 5,0", "V by tracks: C1.1 C2.1"},
		{"a track goes round a corner", "pin C1.1 top 0,0 0.4|pin C2.1 top 5,5 0.4|track 1 0.2 0,0 5,0 5,5", "V by tracks: C1.1 C2.1"},
		{"edges that just touch", "pin C1.1 top 0,0 0.4|pin C2.1 top 5,0 0.4|track 1 0.2 0.3,0 4.7,0", "V by tracks: C1.1 C2.1"},
		{"a micrometre short", "pin C1.1 top 0,0 0.4|pin C2.1 top 5,0 0.4|track 1 0.2 0.301,0 4.7,0", "V by name: C1.1 C2.1"},
		{"a square pen reaches further in its corner", "pad A top 0,0 0.2|pad B top 5,0.19 0.2x0.2|track 1 0.2x0.2 0,0 4.8,0", "V by tracks: A B"},
		{"than a round one", "pad A top 0,0 0.2|pad B top 5,0.19 0.2x0.2|track 1 0.2 0,0 4.8,0", "V by name: A B"},
		{"another layer", "layers 2|pin C1.1 top 0,0 0.4|pin C2.1 bottom 5,0 0.4|track 1 0.2 0,0 5,0", "V by name: C1.1 C2.1"},
		{"a via joins layers", "layers 2|pin C1.1 top 0,0 0.4|pin C2.1 bottom 5,0 0.4|track 1 0.2 0,0 5,0|via 0..0 5,0 0.5", "V by tracks: C1.1 C2.1"},
		{"a blind via does not reach", "layers 4|pin C1.1 top 0,0 0.4|pin C2.1 bottom 5,0 0.4|track 1 0.2 0,0 5,0|via 1..3 5,0 0.5", "V by name: C1.1 C2.1"},
		{"two blind vias do", "layers 4|pin C1.1 top 0,0 0.4|pin C2.1 bottom 5,0 0.4|track 1 0.2 0,0 5,0|via 1..3 5,0 0.5|via 3..4 5,0 0.5", "V by tracks: C1.1 C2.1"},
		{"the bottom layer is not known", "pin C1.1 bottom 0,0 0.4|pin C2.1 bottom 5,0 0.4|track 2 0.2 0,0 5,0", "V by name: C1.1 C2.1"},
		{"a pin goes through all layers", "layers 4|pin J1.1 through 0,0 0.4|pin J1.2 through 5,0 0.4|track 3 0.2 0,0 5,0", "V by tracks: J1.1 J1.2"},
		{"a pad on both sides joins these", "layers 4|pad A top 0,0 0.4|pad E through 5,0 0.4|pad B bottom 9,0 0.4|track 1 0.2 0,0 5,0|track 4 0.2 5,0 9,0", "V by tracks: A B E"},
		{"but not the layers between", "layers 4|pad A top 0,0 0.4|pad E through 5,0 0.4|pin J1.1 through 9,0 0.4|track 1 0.2 0,0 5,0|track 2 0.2 5,0 9,0", "V@A apart: A E|V@J1.1 apart: J1.1"},
		{"the side of a pin is that of its part", "pin C1.1 - 0,0 0.4|pin C1.2 top 5,0 0.4|track 1 0.2 0,0 5,0", "V by tracks: C1.1 C1.2"},
		{"a pin known by its place only", "pin C1.1 top 0,0 -|pin C2.1 top 5,0 0.4|track 1 0.2 0,0 5,0", "V by tracks: C1.1 C2.1"},
		{"a pin without a place", "pin C1.1 top - 0.4|pin C2.1 top 5,0 0.4|track 1 0.2 0,0 5,0", "V by name: C1.1 C2.1"},
		{"pins that lie one over the other", "pin C1.1 top 0,0 0.4|pin C2.1 top 0.3,0 0.4|track 1 0.2 0,0 -1,0", "V by tracks: C1.1 C2.1"},
		{"a track of one point", "pad A top 0,0 0.4|pad B top 1,0 0.4|track 1 0.8 0.5,0", "V by tracks: A B"},

		{"two pieces, each with a pad", "pad A top 0,0 0.4|pin C1.1 top 3,0 0.4|track 1 0.2 0,0 3,0|pad B top 0,5 0.4|pin C2.1 top 3,5 0.4|track 1 0.2 0,5 3,5", "V@A apart: A C1.1|V@B apart: B C2.1"},
		{"two pieces that nothing else could join", "pin U1.1 top 0,0 0.4|pin C1.1 top 3,0 0.4|track 1 0.2 0,0 3,0|pin U1.2 top 0,5 0.4|pin C2.1 top 3,5 0.4|track 1 0.2 0,5 3,5", "V by name: C1.1 C2.1 U1.1 U1.2"},
		{"a resistor could", "pin R1.1 top 0,0 0.4|pin C1.1 top 3,0 0.4|track 1 0.2 0,0 3,0|pin R1.2 top 0,5 0.4|pin C2.1 top 3,5 0.4|track 1 0.2 0,5 3,5", "V@C1.1 apart: C1.1 R1.1|V@C2.1 apart: C2.1 R1.2"},
		{"one pad and one piece beside", "pad A top 0,0 0.4|pin C1.1 top 3,0 0.4|track 1 0.2 0,0 3,0|pin C3.1 top 0,5 0.4|pin C2.1 top 3,5 0.4|track 1 0.2 0,5 3,5", "V by name: A C1.1 C2.1 C3.1"},
		{"two pieces with pads, one without, and a pin that nothing touches", "pad A top 0,0 0.4|track 1 0.2 0,0 3,0|pad B top 0,5 0.4|track 1 0.2 0,5 3,5|pin C1.1 top 0,9 0.4|pin C2.1 top 3,9 0.4|track 1 0.2 0,9 3,9|pin C3.1 top 8,8 0.4",
			"V@A apart: A|V@B apart: B|rest: C1.1 C2.1"},
		{"vias lead to a plane", "layers 4|pad A top 0,0 0.4|track 1 0.2 0,0 3,0|via 0..0 3,0 0.5|pad B top 0,5 0.4|track 1 0.2 0,5 3,5|via 0..0 3,5 0.5", "V by name: A B"},
		{"a plane and a piece that is whole", "layers 4|pad A top 0,0 0.4|track 1 0.2 0,0 3,0|via 0..0 3,0 0.5|pad B top 0,5 0.4|track 1 0.2 0,5 3,5|via 0..0 3,5 0.5|pad D top 0,9 0.4|pin C1.1 top 3,9 0.4|track 1 0.2 0,9 3,9",
			"V@A apart: A B|V@D apart: D C1.1"},

		{"declared branches take in what their copper touches", "branch a P1|branch b P2|pad P1 top 0,0 0.4|pad P2 top 0,5 0.4|pin C1.1 top 3,0 0.4|track 1 0.2 0,0 3,0|pin C2.1 top 3,5 0.4|pin C3.1 top 5,9 0.4|pin C4.1 top 9,9 0.4|track 1 0.2 5,9 9,9",
			"a declared: P1 C1.1|b declared: P2|rest: C3.1 C4.1"},
		{"and go before tracks", "branch a P1|branch b P2|pad P1 top 0,0 0.4|pad P2 top 3,0 0.4|track 1 0.2 0,0 3,0|pin C1.1 top 1,0 0.4", "a declared: P1|b declared: P2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := copperBoard(t, strings.Split(c.say, "|")...)
			if d := cmp.Diff(strings.Split(c.want, "|"), told(b)); d != "" {
				t.Error(d)
			}
		})
	}
}

// What it rests on is counted.
func TestCopperCounts(t *testing.T) {
	b := copperBoard(t, "layers 2", "pin C1.1 top 0,0 0.4", "pin C2.1 bottom 5,0 0.4", "track 1 0.2 0,0 3,0 5,0", "via 0..0 5,0 0.5", "track 2 0.2 5,0 9,9", "track 2 0.2 30,0 39,9")
	if x := b.Copper().Pieces[0]; x.Tracks != 2 || x.Vias != 1 || x.Open {
		t.Errorf("%d tracks and %d vias, open %v", x.Tracks, x.Vias, x.Open)
	}
	open := copperBoard(t, "pin C1.1 top 0,0 0.4", "track 1 0.2 0,0 3,0 5,0", "via 0..0 5,0 0.5", "via 0..0 5,0 0.5").Copper().Pieces[0]
	if !open.Open || open.Vias != 2 {
		t.Errorf("vias to nowhere: %+v", open)
	}
}

// That tracks join branches that are declared to be two is noted.
func TestCopperAgainstDeclared(t *testing.T) {
	b := copperBoard(t, "branch a P1", "branch b P2", "branch c P3", "pad P1 top 0,0 0.4", "pad P2 top 3,0 0.4", "pad P3 top 9,9 0.4", "track 1 0.2 0,0 3,0")
	var got []BranchID
	for _, x := range b.Copper().Pieces {
		got = append(got, x.Against)
	}
	if d := cmp.Diff([]BranchID{1, 0, None}, got); d != "" {
		t.Error(d)
	}
}

// Nets that are stated to be ground and nets without pins and pads are no pieces.
func TestCopperOfGround(t *testing.T) {
	b := build(append(smallBoard(),
		func(bu *Builder) { n := bu.Net("GND"); bu.NetAt(n).Kind = Ground },
		func(bu *Builder) { bu.Net("EMPTY") },
		func(bu *Builder) { bu.Connect(bu.Pin(bu.Part("U300"), "B1"), bu.Net("SDA")) },
	))
	if d := cmp.Diff([]string{"left declared: P11 C10.1", "SDA by name: U300.B1"}, told(b)); d != "" {
		t.Error(d)
	}
	if first, again := b.Copper(), b.Copper(); first != again {
		t.Error("it is made twice")
	}
	if n := len(b.Branches[0].Pins); n != 1 || !slices.Equal(b.Copper().Pieces[0].Pads, b.Branches[0].Pads) {
		t.Errorf("the declared branch has %d pins now", n)
	}
}
