package board

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// scattered adds pins and pads to a board of parts, and a part far off.
func scattered(rnd *rand.Rand, n int) *Board {
	bu := randomBoard(rnd, n)
	at(bu, "X1", Top, math.MaxInt32, math.MinInt32, Size{1000, 1000})
	for i := range n {
		pin := bu.PinAt(bu.Pin(PartID(i), "1"))
		pin.Placed, pin.At, pin.Shape = rnd.IntN(4) > 0, Point{rnd.Int32N(60000), rnd.Int32N(60000)}, PadShape{W: rnd.Int32N(500)}
		pad := bu.PadAt(bu.Pad("P" + plainText(int64(i), 0)))
		pad.Placed, pad.At = rnd.IntN(4) > 0, Point{rnd.Int32N(60000), rnd.Int32N(60000)}
	}
	return bu.Build()
}

// meeting finds by looking at all.
func meeting[ID ~int32](n int, outline func(ID) (Outline, Basis), in Bounds) []ID {
	var found []ID
	for id := range ID(n) {
		if o, basis := outline(id); basis != NoPlace && o.Bounds().Meets(in) {
			found = append(found, id)
		}
	}
	return found
}

func TestSpaceAgainstLookingAtAll(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 3))
	for _, n := range []int{0, 1, 15, 16, 17, 255, 256, 257, 1500} {
		b := scattered(rnd, n)
		s := NewSpace(b)
		for range 200 {
			in := Box(Point{rnd.Int32N(70000) - 5000, rnd.Int32N(70000) - 5000}, Point{rnd.Int32N(70000) - 5000, rnd.Int32N(70000) - 5000}).Bounds()
			if rnd.IntN(10) == 0 {
				in = Bounds{Point{math.MinInt32, math.MinInt32}, Point{math.MaxInt32, math.MaxInt32}}
			}
			if got, want := s.PartsIn(in), meeting(len(b.Parts), b.PartOutline, in); !slices.Equal(got, want) {
				t.Fatalf("parts in %v are %v; want %v", in, got, want)
			}
			if got, want := s.PadsIn(in), meeting(len(b.Pads), b.PadOutline, in); !slices.Equal(got, want) {
				t.Fatalf("pads in %v are %v; want %v", in, got, want)
			}
			if got, want := s.PinsIn(in), meeting(len(b.Pins), b.PinOutline, in); !slices.Equal(got, want) {
				t.Fatalf("pins in %v are %v; want %v", in, got, want)
			}
		}
	}
}

func TestSpaceBehindAgainstLookingAtAll(t *testing.T) {
	rnd := rand.New(rand.NewPCG(4, 4))
	b := scattered(rnd, 500)
	s := NewSpace(b)
	for range 100 {
		o := anyOutline(rnd)
		for _, side := range []Side{Top, Bottom, BothSides, SideUnknown} {
			if got, want := s.PartsBehind(o, side), b.PartsBehind(o, side); !slices.Equal(got, want) {
				t.Fatalf("behind %v are %v; want %v", o, got, want)
			}
		}
	}
}

// The bits of the curve are those of x and y by turns.
func TestCurve(t *testing.T) {
	for _, test := range []struct {
		p    Point
		want uint64
	}{
		{Point{math.MinInt32, math.MinInt32}, 0},
		{Point{math.MinInt32 + 1, math.MinInt32}, 1},
		{Point{math.MinInt32, math.MinInt32 + 1}, 2},
		{Point{math.MinInt32 + 3, math.MinInt32 + 2}, 0b1101},
		{Point{math.MaxInt32, math.MaxInt32}, math.MaxUint64},
		{Point{math.MaxInt32, math.MinInt32}, 0x5555555555555555},
	} {
		if got := curve(test.p); got != test.want {
			t.Errorf("%v is at %b; want %b", test.p, got, test.want)
		}
	}
}
