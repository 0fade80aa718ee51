package store

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/store/board"
	"netlore/store/sheet"
)

func boardOf(t *testing.T, text string) *board.Board {
	t.Helper()
	content, list := sheet.Read(parse(t, "", "netlore 1\nboard Plover-P rev 2\n"+text))
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	return content.Board
}

func TestCompare(t *testing.T) {
	a := boardOf(t, `
cover SH1 shield top over C1
part C1 10uF 0402 top at 1,1
part C2 1uF
part C10 1uF
net GND ground
  C1 2
  C2 2
net VMAIN power 3.8V
  C1 1
  C2 1
pad P1 on VMAIN at 1,1
via on GND at 5,5 drill 0.2mm
`)
	b := boardOf(t, `
cover SH1 shield top over C1,C3 risk low
part C1 22uF 0402 top at 1,2.5
part C2 1uF turned 90
part C3 1uF
net GND ground
  C1 2
net VMAIN power 3.8V
  C1 1
  C2 1 2
pad P2 on VMAIN at 1,1
via on GND at 5,6 drill 0.2mm
`)
	var lines []string
	for _, c := range Compare(a, b) {
		lines = append(lines, c.String())
	}
	want := []string{
		"part C1 value: 10uF -> 22uF",
		"part C1 place: 1mm, 1mm -> 1mm, 2.5mm",
		"part C2 turned: nothing -> 90 degrees",
		"part C3 is new: capacitor, 1uF",
		"part C10 is gone: capacitor, 1uF",
		"pin C2.2 net: GND -> VMAIN",
		"pad P1 is gone: VMAIN, 1mm, 1mm",
		"pad P2 is new: VMAIN, 1mm, 1mm",
		"cover SH1 list: C1 -> C1, C3",
		"cover SH1 risk: nothing -> low",
		"via at 5mm, 5mm drill 0.2mm  on GND layers 0 to 0 mask 0 is gone",
		"via at 5mm, 6mm drill 0.2mm  on GND layers 0 to 0 mask 0 is new",
	}
	if d := cmp.Diff(want, lines); d != "" {
		t.Error(d)
	}
}

// TestCompareSeesEverything: boards of which the snapshots differ do not
// compare as equal, and a board is equal to itself.
func TestCompareSeesEverything(t *testing.T) {
	for seed := range uint64(400) {
		a := randomBoard(rand.New(rand.NewPCG(seed, 5)))
		b, err := DecodeBoard(EncodeBoard(a))
		if err != nil {
			t.Fatal(err)
		}
		if got := Compare(a, b); len(got) > 0 {
			t.Fatalf("seed %d: equal boards differ: %v", seed, got)
		}
		changeOne(rand.New(rand.NewPCG(seed, 6)), b)
		if different := !bytes.Equal(EncodeBoard(a), EncodeBoard(b)); different != (len(Compare(a, b)) > 0) {
			t.Fatalf("seed %d: the snapshots differ: %t, but the comparison says %v", seed, different, Compare(a, b))
		}
	}
}

// changeOne changes one thing of a board, if it has such a thing.
func changeOne(r *rand.Rand, b *board.Board) {
	p := board.Point{X: 1, Y: 2}
	changes := []func(){
		func() { b.Title += "x" },
		func() { b.Layers = 77 },
		func() { one(r, b.Parts).Turn += 500 },
		func() { one(r, b.Parts).Value = board.MustQuantity("7V") },
		func() { one(r, b.Parts).Unfitted = !one(r, b.Parts).Unfitted },
		func() { one(r, b.Pins).Shape.W++ },
		func() { one(r, b.Pins).Side ^= 1 },
		func() { one(r, b.Pads).Group += "x" },
		func() { one(r, b.Covers).Outline = board.Box(p, board.Point{X: 9, Y: 9}) },
		func() { one(r, b.Branches).Functions = []string{"x"} },
		func() { one(r, b.Nets).Kind ^= 1 },
		func() { one(r, b.Vias).Mask++ },
		func() { one(r, b.Holes).At = p },
		func() { one(r, b.Tracks).Path = []board.Point{p, p} },
	}
	changes[r.IntN(len(changes))]()
}

// one is a thing of a list, or a new one that belongs to nothing.
func one[T any](r *rand.Rand, all []T) *T {
	if len(all) == 0 {
		return new(T)
	}
	return &all[r.IntN(len(all))]
}
