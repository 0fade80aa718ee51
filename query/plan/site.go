package plan

import (
	"slices"

	"netlore/query/check"
	"netlore/query/words"
	"netlore/store/board"
)

// site is what a plan has to know about the member that it is for.
type site struct {
	member int
	b      *board.Board
	k      *board.Knowledge
	area   float64 // of the board, in square millimetres; 0 when unknown
	// counted are the numbers of things that the board does not keep, as far as
	// they were asked for.
	counted map[words.Noun]int
}

func newSite(scope *check.Scope, member int) *site {
	m := scope.Members[member]
	s := &site{member: member, b: m.Board, k: m.Knowledge}
	if s.k == nil {
		s.k = &board.Knowledge{}
	}
	s.area = area(board.Bounds{Max: board.Point{X: s.b.Size.W, Y: s.b.Size.H}})
	if !s.b.Outline.Zero() {
		s.area = area(s.b.Outline.Bounds())
	}
	return s
}

func area(b board.Bounds) float64 {
	return float64(b.Max.X-b.Min.X) * float64(b.Max.Y-b.Min.Y) / 1e6
}

// usualTests is about how many tests are told of a job.
const usualTests = 8

// count is how many things of a noun the member has.
func (s *site) count(n words.Noun) int {
	switch n {
	case words.Parts:
		return len(s.b.Parts)
	case words.Pins:
		return len(s.b.Pins)
	case words.Nets:
		return len(s.b.Nets)
	case words.Pads:
		return len(s.b.Pads)
	case words.Covers:
		return len(s.b.Covers)
	case words.Branches:
		return len(s.b.Copper().Pieces)
	case words.Readings:
		return len(s.k.Readings)
	case words.Expected:
		return len(s.k.Expected)
	case words.Notes:
		return len(s.k.Notes)
	case words.Jobs:
		return len(s.k.Jobs)
	case words.Observations:
		n := 0
		for i := range s.k.Jobs {
			n += len(s.k.Jobs[i].Steps)
		}
		return n
	case words.Suspects:
		return s.counting(n, func() int { return (len(s.b.Parts) + len(s.b.Pads)) / 4 })
	case words.Tests:
		return usualTests
	case words.Functions:
		return s.counting(n, func() int { return len(s.b.FunctionNames()) })
	}
	return 1
}

// counting counts things once.
func (s *site) counting(n words.Noun, count func() int) int {
	if _, ok := s.counted[n]; !ok {
		if s.counted == nil {
			s.counted = map[words.Noun]int{}
		}
		s.counted[n] = count()
	}
	return s.counted[n]
}

// each is how many things of one noun there are for each of another.
func (s *site) each(of, n words.Noun) float64 {
	return float64(s.count(of)) / float64(max(s.count(n), 1))
}

// partsOf is how many parts are of one of the kinds, going by what is stated.
func (s *site) partsOf(kinds []check.PartKind) int {
	return ofSome(s.b.Parts, kinds, func(part *board.Part, k check.PartKind) bool {
		return part.Class.Is(k.Class) || k.ZeroOhm && part.Value.Unit == board.Ohm && part.Value.Coef == 0
	})
}

// coversOf is how many covers are of one of the kinds or of none that is
// stated.
func (s *site) coversOf(kinds []board.CoverKind) int {
	return ofSome(s.b.Covers, kinds, func(c *board.Cover, k board.CoverKind) bool { return c.Kind == k || c.Kind == board.CoverUnknown })
}

// netsOf is how many nets are of one of the kinds or of none that is stated.
func (s *site) netsOf(kinds []board.NetKind) int {
	return ofSome(s.b.Nets, kinds, func(n *board.Net, k board.NetKind) bool { return n.Kind == k || n.Kind == board.NetUnknown })
}

// ofSome counts things that are of one of the kinds at least.
func ofSome[T, K any](things []T, kinds []K, is func(*T, K) bool) (n int) {
	for i := range things {
		if slices.ContainsFunc(kinds, func(k K) bool { return is(&things[i], k) }) {
			n++
		}
	}
	return n
}
