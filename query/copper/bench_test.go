package copper_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"netlore/query/copper"
	"netlore/store/board"
)

// rail is a rail of a board: tracks across it and along it on four layers, with vias
// where they cross, and a pin at each of some places.
func rail(pins int) (*board.Board, board.NetID) {
	r := rand.New(rand.NewPCG(1, 1))
	b := board.NewBuilder(board.Ref{Name: "Rail"})
	net := b.Net("V")
	x := b.Board()
	x.Layers = 4
	const pitch, lines = 1500, 40
	for i := range int32(lines) {
		var across, along []board.Point
		for k := range int32(lines) {
			across, along = append(across, board.Point{X: k * pitch, Y: i * pitch}), append(along, board.Point{X: i * pitch, Y: k * pitch})
			if r.IntN(3) == 0 {
				x.Vias = append(x.Vias, board.Via{Net: net, At: board.Point{X: i * pitch, Y: k * pitch}, Drill: 200, Shape: board.PadShape{W: 450}})
			}
		}
		x.Tracks = append(x.Tracks, board.Track{Net: net, Layer: 1, Pen: board.PadShape{W: 300}, Path: across},
			board.Track{Net: net, Layer: uint8(2 + i%3), Pen: board.PadShape{W: 300}, Path: along})
	}
	for i := range pins {
		part := b.Part("C" + string(rune('A'+i%26)) + string(rune('0'+i/26)))
		pin := b.Pin(part, "1")
		b.Connect(pin, net)
		p := b.PinAt(pin)
		p.Placed, p.Side, p.Shape = true, board.Top, board.PadShape{W: 400}
		p.At = board.Point{X: r.Int32N(lines * pitch), Y: r.Int32N(lines) * pitch}
	}
	return b.Build(), net
}

// BenchmarkRail makes the circuit of a rail of 5,000 pins, solves it, and asks for
// the resistances from one pin to all. Beside it stand the same matrix of a tenth of
// the pins solved whole by gonum, and a grid of 40,000 nodes.
func BenchmarkRail(b *testing.B) {
	brd, net := rail(5000)
	lay := func(b *testing.B) (*copper.Circuit, copper.Layout) {
		c := &copper.Circuit{}
		l, ok := copper.UsualMetal().Lay(c, brd, brd.Drawing(), net)
		if !ok {
			b.Fatal("nothing is drawn")
		}
		return c, l
	}
	c, l := lay(b)
	s := solve(b, c)
	b.Logf("%d pins, %d nodes, %d pieces of track", len(l.Pins), c.Nodes(), len(l.Lines))
	b.Run("circuit", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			lay(b)
		}
	})
	b.Run("solve", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			solve(b, c)
		}
	})
	b.Run("from-one-to-all", func(b *testing.B) {
		for b.Loop() {
			s.From(l.Pins[0])
		}
	})
	b.Run("grid-of-40000", func(b *testing.B) {
		c, _ := grid(200, 200)
		for b.Loop() {
			solve(b, c)
		}
	})
	b.Run("dense-1500-by-gonum", func(b *testing.B) {
		const n = 1500
		g := mat.NewSymDense(n, nil)
		r := rand.New(rand.NewPCG(1, 2))
		for i := range n {
			k := r.IntN(n)
			x := math.Pow(10, r.Float64())
			g.SetSym(i, i, g.At(i, i)+x+1)
			if i != k {
				g.SetSym(k, k, g.At(k, k)+x)
				g.SetSym(i, k, g.At(i, k)-x)
			}
		}
		for b.Loop() {
			var factor mat.Cholesky
			if !factor.Factorize(g) {
				b.Fatal("singular")
			}
		}
	})
}
