package board

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// copyOf is a board with the same fields and no index, as a store would read it.
func copyOf(b *Board) *Board {
	return &Board{
		Ref: b.Ref, Parts: append([]Part(nil), b.Parts...), Pins: append([]Pin(nil), b.Pins...),
		Nets: append([]Net(nil), b.Nets...), Pads: append([]Pad(nil), b.Pads...),
		Covers: append([]Cover(nil), b.Covers...), Branches: append([]Branch(nil), b.Branches...),
		Vias: []Via{{Net: None}, {Net: 0}}, Tracks: []Track{{Net: None}, {Net: 1}},
	}
}

func TestAssemble(t *testing.T) {
	built := build(smallBoard())
	b := copyOf(built)
	if err := Assemble(b); err != nil {
		t.Fatal(err)
	}
	b.Vias, b.Tracks = nil, nil
	if d := cmp.Diff(built, b, cmp.AllowUnexported(Board{})); d != "" {
		t.Errorf("assembled and built boards differ:\n%s", d)
	}
}

func TestAssembleRefuses(t *testing.T) {
	for name, test := range map[string]struct {
		spoil func(*Board)
		want  string
	}{
		"parts":          {func(b *Board) { b.Parts[0], b.Parts[1] = b.Parts[1], b.Parts[0] }, `part "C2" is out of order`},
		"part twice":     {func(b *Board) { b.Parts[1].Name = "C2" }, `part "C2" is out of order`},
		"nets":           {func(b *Board) { b.Nets[0].Name = "Z" }, `net "VMAIN" is out of order`},
		"pads":           {func(b *Board) { b.Pads[0].Name = "P12" }, `pad "P11" is out of order`},
		"covers":         {func(b *Board) { b.Covers[0].Name = "Z" }, `cover "SH1" is out of order`},
		"branches":       {func(b *Board) { b.Branches = append(b.Branches, b.Branches[0]) }, `branch "left" is out of order`},
		"pins":           {func(b *Board) { b.Pins[0].Name = "3" }, `pin "2" is out of order`},
		"pins of parts":  {func(b *Board) { b.Pins[0].Part = 2 }, `pin "2" is out of order`},
		"pin's part":     {func(b *Board) { b.Pins[7].Part = 4 }, "pin 7 points outside the board"},
		"pin's net":      {func(b *Board) { b.Pins[0].Net = 2 }, "pin 0 points outside the board"},
		"pin's no net":   {func(b *Board) { b.Pins[0].Net = -2 }, "pin 0 points outside the board"},
		"pad's net":      {func(b *Board) { b.Pads[1].Net = 2 }, "pad 1 points outside the board"},
		"cover's part":   {func(b *Board) { b.Covers[0].Part = 4 }, "cover 0 points outside the board"},
		"cover's parts":  {func(b *Board) { b.Covers[0].Parts = []PartID{4} }, "cover 0 points outside the board"},
		"listed twice":   {func(b *Board) { b.Covers[0].Parts = []PartID{1, 1} }, "cover 0 points outside the board"},
		"cover's pads":   {func(b *Board) { b.Covers[1].Pads = []PadID{-1} }, "cover 1 points outside the board"},
		"branch's net":   {func(b *Board) { b.Branches[0].Net = 9 }, "branch 0 points outside the board"},
		"branch's pads":  {func(b *Board) { b.Branches[0].Pads = []PadID{2} }, "branch 0 points outside the board"},
		"branch's pins":  {func(b *Board) { b.Branches[0].Pins = []PinID{8} }, "branch 0 points outside the board"},
		"via's net":      {func(b *Board) { b.Vias[1].Net = 2 }, "via 1 points outside the board"},
		"track's net":    {func(b *Board) { b.Tracks[1].Net = 2 }, "track 1 points outside the board"},
		"pin's bad part": {func(b *Board) { b.Pins[0].Part = None }, "pin 0 points outside the board"},
	} {
		b := copyOf(build(smallBoard()))
		test.spoil(b)
		if err := Assemble(b); err == nil || err.Error() != test.want {
			t.Errorf("%s: error is %v; want %s", name, err, test.want)
		}
	}
}
