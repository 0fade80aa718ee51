package isolate_test

import (
	"testing"

	"netlore/query/isolate"
	"netlore/query/trace"
	"netlore/store/board"
)

// stack is a device of two boards that are joined by a frame, made for tests.
type stack struct {
	isolate.Device
	build    trace.Builder
	upper    trace.Place
	branches []trace.Place // of the lower board
}

const (
	upperBoard = iota
	lowerBoard
)

// newStack has one piece of the rail on the upper board, which is fed there, and
// on the lower one a branch for each number of pads that feed it, one beside the
// other.
func newStack(pads ...int) *stack {
	s := &stack{}
	s.build.Add(trace.Stops) // ground
	s.upper = s.build.Add(trace.Goes)
	s.Source = []trace.Place{s.upper}
	for b, n := range pads {
		s.branches = append(s.branches, s.build.Add(trace.Goes))
		for range n {
			tie := s.build.Tie(trace.Tie{Sure: true}, s.upper, s.branches[b])
			s.Pads = append(s.Pads, isolate.Pad{Ties: []trace.TieID{tie}, At: []trace.Place{s.upper, s.branches[b]},
				Spot: isolate.Spot{Cover: isolate.None}})
		}
	}
	s.Halves = []isolate.Half{{Feed: []trace.Place{s.upper}}, {Feed: s.branches}}
	return s
}

// done is the device, its graph made.
func (s *stack) done() *isolate.Device {
	s.Graph = s.build.Graph()
	return &s.Device
}

// part adds a capacitor from a place to ground, under a cover or in the open.
func (s *stack) part(at trace.Place, half, cover int, x float64) int {
	s.Parts = append(s.Parts, isolate.Part{Class: board.Capacitor, At: []trace.Place{at}, Grounded: board.True, Tie: trace.None,
		Spot: isolate.Spot{Board: half, Side: board.Top, X: x, Placed: true, Cover: cover}})
	return len(s.Parts) - 1
}

// series adds a coil from a place to a new one, and gives that.
func (s *stack) series(from trace.Place, half int, sure bool) (part int, to trace.Place) {
	to = s.build.Add(trace.Goes)
	tie := s.build.Tie(trace.Tie{Sure: sure}, from, to)
	s.Parts = append(s.Parts, isolate.Part{Class: board.Inductor, At: []trace.Place{from, to}, Grounded: board.False, Tie: tie,
		Spot: isolate.Spot{Board: half, Side: board.Top, Cover: isolate.None}})
	return len(s.Parts) - 1, to
}

// exact are rates without any error.
func exact() isolate.Rates { return isolate.Rates{Unsure: .5} }

// TestPieces: a half of three branches is in three pieces when it lies alone, in one
// with the other half, and in two when the pads of one branch are covered.
func TestPieces(t *testing.T) {
	d := newStack(2, 3, 1).done()
	at := d.Halves[lowerBoard].Feed
	for name, c := range map[string]struct {
		state isolate.State
		want  int
	}{
		"alone": {isolate.State{Apart: true}, 3}, "together": {isolate.State{}, 1}, "covered": {isolate.State{Taped: []int{0, 1}}, 2}, "half covered": {isolate.State{Taped: []int{1}}, 1},
	} {
		if got := len(d.Pieces(at, &c.state)); got != c.want {
			t.Errorf("%s: %d pieces, want %d", name, got, c.want)
		}
	}
}
