package board

import (
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// randomBoard has n parts of even sizes, some unplaced, and some covers.
func randomBoard(rnd *rand.Rand, n int) *Builder {
	bu := NewBuilder(Ref{})
	for i := range n {
		name := []string{"C", "R", "U"}[i%3] + plainText(int64(i), 0)
		size := Size{2 * (1 + rnd.Int32N(2000)), 2 * (1 + rnd.Int32N(2000))}
		id := at(bu, name, []Side{Top, Bottom, SideUnknown}[rnd.IntN(3)], rnd.Int32N(60000), rnd.Int32N(60000), size)
		p := bu.PartAt(id)
		p.Placed, p.Turn = rnd.IntN(10) > 0, 90_000*rnd.Int32N(4)
	}
	for i := range 10 {
		c := bu.CoverAt(bu.Cover("SH" + plainText(int64(i), 0)))
		c.Side = []Side{Top, Bottom}[i%2]
		c.Outline = Box(Point{rnd.Int32N(60000), rnd.Int32N(60000)}, Point{rnd.Int32N(60000), rnd.Int32N(60000)})
	}
	return bu
}

// A board seen in the mirror hides the same, and one turned over too.
func TestCoversPartInTheMirror(t *testing.T) {
	bu, mirrored := randomBoard(rand.New(rand.NewPCG(1, 9)), 600), randomBoard(rand.New(rand.NewPCG(1, 9)), 600)
	for i := range mirrored.Board().Parts {
		p := mirrored.PartAt(PartID(i))
		p.At.X, p.Turn = -p.At.X, -p.Turn
		p.Side = []Side{SideUnknown, Bottom, Top}[p.Side]
	}
	for i := range mirrored.Board().Covers {
		c := mirrored.CoverAt(CoverID(i))
		c.Outline = changed(c.Outline, motions["mirrored"])
		c.Side = []Side{SideUnknown, Bottom, Top}[c.Side]
	}
	a, b := bu.Build(), mirrored.Build()
	hidden := 0
	for c := range a.Covers {
		for p := range a.Parts {
			want, got := a.CoversPart(CoverID(c), PartID(p)), b.CoversPart(CoverID(c), PartID(p))
			if d := cmp.Diff(want, got, closely); d != "" {
				t.Fatalf("%s over %s:\n%s", a.Covers[c].Name, a.Parts[p].Name, d)
			}
			if got.Truth == True {
				hidden++
			}
		}
	}
	if hidden < 100 {
		t.Errorf("only %d parts were hidden", hidden)
	}
}
