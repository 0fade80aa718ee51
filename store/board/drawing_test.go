package board_test

import (
	"slices"
	"testing"

	"netlore/store/board"
)

// TestDrawing: a pad on a track that goes round a corner, a via at its end, and
// a track below, by hand.
func TestDrawing(t *testing.T) {
	b := board.NewBuilder(board.Ref{Name: "Drawn"})
	net, other, empty := b.Net("V"), b.Net("W"), b.Net("X")
	at := func(x, y int32) board.Point { return board.Point{X: x, Y: y} }
	pad := b.Pad("TP1")
	*b.PadAt(pad) = board.Pad{Name: "TP1", Net: net, Placed: true, Side: board.Top, At: at(0, 0), Shape: board.PadShape{W: 600, H: 400}}
	x := b.Board()
	x.Layers = 2
	x.Tracks = []board.Track{
		{Net: net, Layer: 1, Pen: board.PadShape{W: 200}, Path: []board.Point{at(0, 0), at(5000, 0), at(5000, 5000)}},
		{Net: net, Layer: 2, Pen: board.PadShape{W: 300}, Path: []board.Point{at(5000, 5000), at(9000, 5000)}},
		{Net: other, Layer: 1, Pen: board.PadShape{W: 200}, Path: []board.Point{at(0, 0), at(0, 9000)}},
		{Net: net, Layer: 1, Pen: board.PadShape{W: 200}, Path: []board.Point{at(5000, 9000), at(9000, 9000)}},
	}
	x.Vias = []board.Via{{Net: net, At: at(5000, 5000), Drill: 300, Shape: board.PadShape{W: 500}}}
	drawing := b.Build().Drawing()
	got, ok := drawing.Net(net)
	if !ok || len(got.Conductors) != 6 {
		t.Fatalf("%+v", got)
	}
	find := func(kind board.ConductorKind, id int32, line int) int32 {
		return int32(slices.IndexFunc(got.Conductors, func(c board.Conductor) bool { return c.Kind == kind && c.ID == id && c.Line == line }))
	}
	first, second, below, via, tp := find(board.TrackCopper, 0, 0), find(board.TrackCopper, 0, 1), find(board.TrackCopper, 1, 0), find(board.ViaCopper, 0, 0), find(board.PadCopper, 0, 0)
	want := [][2]int32{{tp, first}, {first, second}, {second, via}, {below, via}}
	for i := range want {
		slices.Sort(want[i][:])
	}
	slices.SortFunc(want, func(p, q [2]int32) int { return slices.Compare(p[:], q[:]) })
	if !slices.Equal(got.Touching, want) {
		t.Errorf("what touches is %v, want %v of %+v", got.Touching, want, got.Conductors)
	}
	if c := got.Conductors[second]; c.A != at(5000, 0) || c.B != at(5000, 5000) || c.Width != 200 || c.From != 1 {
		t.Errorf("the second line is %+v", c)
	}
	if c := got.Conductors[tp]; c.A != c.B || c.Width != 400 {
		t.Errorf("the pad is %+v", c)
	}
	if _, ok := drawing.Net(empty); ok {
		t.Error("a net without tracks has drawn copper")
	}
}
