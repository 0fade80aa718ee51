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
		at = ids(s.b.Space().PartsIn(in))
	case words.Pins:
		at = ids(s.b.Space().PinsIn(in))
	case words.Pads:
		at = ids(s.b.Space().PadsIn(in))
	}
	return append(at, s.placeless(n)...), true
}

// underNear are the things that a cover may hide.
func (s *site) underNear(n words.Noun, c board.CoverID) ([]int32, bool) {
	cover := &s.b.Covers[c]
	switch {
	case n == words.Suspects:
		return nil, false
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
	switch n {
	case words.Parts:
		return ids(s.b.Space().PartsNowhere())
	case words.Pins:
		return ids(s.b.Space().PinsNowhere())
	case words.Pads:
		return ids(s.b.Space().PadsNowhere())
	}
	return nil
}

func ids[ID ~int32](list []ID) []int32 {
	all := make([]int32, len(list))
	for i, id := range list {
		all[i] = int32(id)
	}
	return all
}

// lidsOver are the covers that hide a thing or may, in natural order. What is
// shown of a thing is often several columns of them.
func (s *site) lidsOver(t thing) []board.Hider {
	if s.under == t {
		return s.lids
	}
	s.under = t
	if t.noun == words.Parts && s.handy() {
		s.lids = s.b.Hiders(board.PartID(t.id))
		return s.lids
	}
	s.lids = nil
	for c := range board.CoverID(len(s.b.Covers)) {
		if h := s.covers(c, t); h.Truth != board.False {
			s.lids = append(s.lids, board.Hider{Cover: c, Hiding: h})
		}
	}
	return s.lids
}
