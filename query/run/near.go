package run

import (
	"netlore/query/check"
	"netlore/query/words"
	"netlore/store/board"
)

// near are the things of a noun that may stand in a relation, judged by place,
// to what has outline o: those at the place, and those without one. It is all
// of them, as nil and false, if the outline is not known.
func (s *site) near(n words.Noun, o board.Outline, margin int32) ([]int32, bool) {
	if o.Zero() {
		return nil, false
	}
	in := o.Bounds().Grow(margin)
	var at []int32
	switch n {
	case words.Parts:
		at = ids(s.index().PartsIn(in))
	case words.Pins:
		at = ids(s.index().PinsIn(in))
	case words.Pads:
		at = ids(s.index().PadsIn(in))
	}
	return append(at, s.placeless(n)...), true
}

// underNear are the things that a cover may hide.
func (s *site) underNear(n words.Noun, c board.CoverID) ([]int32, bool) {
	cover := &s.b.Covers[c]
	switch {
	case !cover.Listed:
		o, _ := s.b.CoverOutline(c)
		return s.near(n, o, 0)
	case n == words.Parts:
		return ids(cover.Parts), true
	case n == words.Pads:
		return ids(cover.Pads), true
	}
	var pins []int32
	for _, p := range cover.Parts {
		first, last := s.b.PinsOf(p)
		for pin := first; pin < last; pin++ {
			pins = append(pins, int32(pin))
		}
	}
	return pins, true
}

// candidates are the things of a noun that may stand in a relation to a thing
// of the operand.
func (s *site) candidates(r *check.Related, n words.Noun, of thing) ([]int32, bool) {
	if r.Relation == words.Under {
		return s.underNear(n, board.CoverID(of.id))
	}
	margin := int32(0)
	if r.Relation == words.Within {
		margin, _ = board.Micrometres(r.Distance)
	}
	o, _ := s.outline(of)
	if r.Relation == words.Behind && isSpot(o) {
		return nil, false
	}
	return s.near(n, o, margin)
}

// placeless are the things of a noun that have no place.
func (s *site) placeless(n words.Noun) []int32 {
	if list, ok := s.loose[n]; ok {
		return list
	}
	list := []int32{}
	for id := range int32(s.count(n)) {
		if o, _ := s.outline(thing{n, id}); o.Zero() {
			list = append(list, id)
		}
	}
	s.loose[n] = list
	return list
}

func ids[ID ~int32](list []ID) []int32 {
	all := make([]int32, len(list))
	for i, id := range list {
		all[i] = int32(id)
	}
	return all
}

// lid is a cover that hides a thing, or may.
type lid struct {
	cover board.CoverID
	board.Hiding
}

// lidsOver are the covers that hide a thing or may, in natural order.
func (s *site) lidsOver(t thing) []lid {
	if list, ok := s.lids[t]; ok {
		return list
	}
	var list []lid
	for c := range board.CoverID(len(s.b.Covers)) {
		if h := s.covers(c, t); h.Truth != board.False {
			list = append(list, lid{c, h})
		}
	}
	s.lids[t] = list
	return list
}
