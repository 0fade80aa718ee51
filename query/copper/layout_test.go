package copper_test

import (
	"math"
	"testing"

	"netlore/query/copper"
	"netlore/store/board"
)

// TestSheet: copper of 100 % IACS (IEC 60028); the figures were computed in Python,
// among them the half milliohm a square of an ounce.
func TestSheet(t *testing.T) {
	for micrometres, want := range map[float64]float64{34.8: .4954, 35: .4926, 34.3: .5027, 18: .9578, 17.5: .9852} {
		m := copper.Metal{Outer: micrometres, Celsius: 20}
		near(t, "milliohms a square", m.Sheet(true)*1000, want, 1e-4)
	}
	m := copper.Metal{Outer: 35, Inner: 17.5, Celsius: 20}
	near(t, "50 mm of 0.2 mm, cold", m.Track(50, .2, true)*1000, 123.150, 1e-3)
	near(t, "inside, of half the copper", m.Track(50, .2, false)*1000, 246.300, 1e-3)
	m.Celsius = 60
	near(t, "50 mm of 0.2 mm, warm", m.Track(50, .2, true)*1000, 142.509, 1e-3)
	barrel := copper.Metal{Plating: 25, Celsius: 20}
	near(t, "a barrel of 0.3 mm through 1.6 mm", barrel.Barrel(.3, 1.6)*1000, 1.7241e-8*1.6e-3/(math.Pi*.325e-3*25e-6)*1000, 1e-9)
}

// square is copper of 1 milliohm a square outside, 2 inside.
var square = copper.Metal{Outer: 17.241, Inner: 17.241 / 2, Plating: 20, Thick: 1, Celsius: 20}

// drawing draws a net.
type drawing struct {
	*board.Builder
	net board.NetID
}

func newDrawing() drawing {
	b := board.NewBuilder(board.Ref{Name: "Drawn"})
	b.Board().Layers = 4
	return drawing{b, b.Net("V")}
}

func (d drawing) pad(name string, x, y int32) board.PadID {
	id := d.Pad(name)
	*d.PadAt(id) = board.Pad{Name: name, Net: d.net, Placed: true, Side: board.Top, At: board.Point{X: x, Y: y}, Shape: board.PadShape{W: 400}}
	return id
}

// track draws a line of 1 mm through some points.
func (d drawing) track(layer uint8, xy ...int32) {
	var path []board.Point
	for i := 0; i < len(xy); i += 2 {
		path = append(path, board.Point{X: xy[i], Y: xy[i+1]})
	}
	d.Board().Tracks = append(d.Board().Tracks, board.Track{Net: d.net, Layer: layer, Pen: board.PadShape{W: 1000}, Path: path})
}

func (d drawing) via(x, y int32) {
	d.Board().Vias = append(d.Board().Vias, board.Via{Net: d.net, At: board.Point{X: x, Y: y}, Drill: 300, Shape: board.PadShape{W: 600}})
}

// milliohms are those between two pads.
func (d drawing) milliohms(t *testing.T, from, to board.PadID) float64 {
	t.Helper()
	b := d.Build()
	c := &copper.Circuit{}
	l, ok := square.Lay(c, b, b.Drawing(), d.net)
	if !ok {
		t.Fatal("nothing is drawn")
	}
	return solve(t, c).Between(l.Pads[from], l.Pads[to]) * 1000
}

// TestLayout: by hand, tracks 1 mm wide of 1 milliohm a square: as many milliohms
// as mm.
func TestLayout(t *testing.T) {
	t.Run("one line", func(t *testing.T) {
		d := newDrawing()
		d.track(1, 0, 0, 10000, 0)
		near(t, "10 mm", d.milliohms(t, d.pad("A", 0, 0), d.pad("B", 10000, 0)), 10, 1e-6)
	})
	t.Run("bent, in two tracks, with a branch that leads nowhere", func(t *testing.T) {
		d := newDrawing()
		d.track(1, 0, 0, 10000, 0, 10000, 5000)
		d.track(1, 10000, 5000, 16000, 5000)
		d.track(1, 5000, 0, 5000, 9000)
		near(t, "21 mm", d.milliohms(t, d.pad("A", 0, 0), d.pad("B", 16000, 5000)), 21, 1e-6)
	})
	t.Run("a ring", func(t *testing.T) {
		d := newDrawing()
		d.track(1, 0, 0, 10000, 0, 10000, 10000, 0, 10000, 0, 0)
		near(t, "10 beside 30 mm", d.milliohms(t, d.pad("A", 0, 0), d.pad("B", 10000, 0)), 10*30./40, 1e-6)
	})
	t.Run("a cross", func(t *testing.T) {
		d := newDrawing()
		d.track(1, 0, 0, 10000, 0)
		d.track(1, 4000, -6000, 4000, 6000)
		near(t, "4 and 6 mm", d.milliohms(t, d.pad("A", 0, 0), d.pad("B", 4000, 6000)), 10, 1e-6)
	})
	t.Run("by vias to a layer inside", func(t *testing.T) {
		d := newDrawing()
		d.track(1, 0, 0, 5000, 0)
		d.via(5000, 0)
		d.track(2, 5000, 0, 8000, 0)
		d.via(8000, 0)
		d.track(1, 8000, 0, 12000, 0)
		want := 5 + 2*3 + 4 + 2*square.Barrel(.3, 1./3)*1000
		near(t, "9 mm outside, 3 inside, two barrels", d.milliohms(t, d.pad("A", 0, 0), d.pad("B", 12000, 0)), want, 1e-6)
	})
	t.Run("an arc of short lines under a wide pen", func(t *testing.T) {
		d := newDrawing()
		var arc []int32
		for i := range 91 {
			sin, cos := math.Sincos(float64(i) * math.Pi / 180)
			arc = append(arc, int32(math.Round(10000*cos)), int32(math.Round(10000*sin)))
		}
		d.track(1, arc...)
		near(t, "a quarter of a circle", d.milliohms(t, d.pad("A", 10000, 0), d.pad("B", 0, 10000)), 10*math.Pi/2, .5) // the pads are 0.4 mm across
	})
	t.Run("side by side", func(t *testing.T) {
		d := newDrawing()
		d.track(1, 0, 0, 10000, 0)
		d.track(1, 0, 900, 10000, 900)
		got := d.milliohms(t, d.pad("A", 0, 0), d.pad("B", 10000, 0))
		if got < 5 || got > 6 { // one of twice the width has 5, and the current has to come there
			t.Errorf("two tracks beside each other have %v milliohms", got)
		}
	})
	t.Run("apart", func(t *testing.T) {
		d := newDrawing()
		d.track(1, 0, 0, 4000, 0)
		d.track(2, 4000, 0, 8000, 0)
		if got := d.milliohms(t, d.pad("A", 0, 0), d.pad("B", 8000, 0)); !math.IsInf(got, 1) {
			t.Errorf("tracks on two layers without a via have %v milliohms", got)
		}
	})
}
