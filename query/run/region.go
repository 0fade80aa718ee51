package run

import (
	"slices"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/store/board"
)

// inside judges whether the middle of a thing lies in a region.
func (ev *evaluator) inside(n *plan.Node, id int32) finding {
	r := n.Inside
	if !slices.Contains(r.Members, ev.member) {
		return no
	}
	outline, _ := ev.outline(thing{n.Noun, id})
	if outline.Zero() {
		return unknown("no position")
	}
	if r.Area.Box != nil {
		return known(r.Area.Box.Contains(outline.Bounds().Center()))
	}
	edges := ev.edges()
	if edges == nil {
		return unknown("edges of the board not known")
	}
	area := region(*edges, r.Area)
	return known(area.Contains(outline.Bounds().Center()))
}

// edges is the box of the board; nil if it is not known.
func (s *site) edges() *board.Bounds {
	if s.extent == nil {
		box, known := s.b.Extent()
		s.extent = &edges{box, known}
	}
	if !s.extent.known {
		return nil
	}
	return &s.extent.box
}

// edges are worked out once for a site.
type edges struct {
	box   board.Bounds
	known bool
}

// region is the piece of a box on the sides that are said.
func region(box board.Bounds, a check.Area) board.Bounds {
	box.Min.X, box.Max.X = between(box.Min.X, box.Max.X, a.Left, a.Right, a.Middle)
	box.Min.Y, box.Max.Y = between(box.Min.Y, box.Max.Y, a.Bottom, a.Top, a.Middle)
	return box
}

// between is the lower or upper half of a length, or the half round its middle.
func between(from, to int32, lower, upper, middle bool) (int32, int32) {
	part := func(quarters int64) int32 { return int32(int64(from) + (int64(to)-int64(from))*quarters/4) }
	switch {
	case lower:
		return from, part(2)
	case upper:
		return part(2), to
	case middle:
		return part(1), part(3)
	}
	return from, to
}

// whereabouts tells where the middle of a thing is.
func (ev *evaluator) whereabouts(n *plan.Node, id int32) string {
	outline, _ := ev.outline(thing{n.Noun, id})
	if outline.Zero() {
		return "no position"
	}
	at := outline.Bounds().Center()
	return "its middle is at " + board.Millimetres(at.X).String() + ", " + board.Millimetres(at.Y).String()
}
