package run

import (
	"netlore/query/check"
	"netlore/query/words"
	"netlore/store/board"
)

// judge says whether thing a of one noun stands in a relation, judged by
// place, to thing b of another.
func (s *site) judge(r *check.Related, a, b thing) board.Hiding {
	switch r.Relation {
	case words.Under:
		return s.covers(board.CoverID(b.id), a)
	case words.Over:
		return s.covers(board.CoverID(a.id), b)
	case words.Behind:
		return s.behind(a, b)
	}
	return s.within(r, a, b)
}

// covers judges whether a cover hides a thing.
func (s *site) covers(c board.CoverID, t thing) board.Hiding {
	if t.noun == words.Parts && s.handy() {
		return hiding(s.b.Hiders(board.PartID(t.id)), c)
	}
	if t.noun == words.Suspects {
		return s.coversSuspect(c, t.id)
	}
	lid := s.ready(c)
	switch t.noun {
	case words.Parts:
		return lid.OverPart(board.PartID(t.id))
	case words.Pins:
		return lid.OverPin(board.PinID(t.id))
	}
	return lid.OverPad(board.PadID(t.id))
}

// handy reports whether it is known what hides each part, or is worth finding
// out because so many were judged one by one.
func (s *site) handy() bool {
	s.judged++
	return s.judged > len(s.b.Parts) || s.b.HidersReady()
}

// hiding is the judgement on one cover among those over a part.
func hiding(over []board.Hider, c board.CoverID) board.Hiding {
	for _, h := range over {
		if h.Cover == c {
			return h.Hiding
		}
	}
	return board.Hiding{}
}

// ready is a cover made ready for judging, once.
func (s *site) ready(c board.CoverID) *board.Lid {
	if s.readied == nil {
		s.readied = make([]*board.Lid, len(s.b.Covers))
	}
	if s.readied[c] == nil {
		s.readied[c] = s.b.Lid(c)
	}
	return s.readied[c]
}

// behind judges whether a part or pad lies behind a part or cover. Nothing lies
// behind itself.
func (s *site) behind(t, front thing) (h board.Hiding) {
	if s.same(t, front) {
		return board.Hiding{}
	}
	outline, side := s.outline(front)
	spot := isSpot(outline)
	if spot {
		outline = board.Outline{}
	}
	if t.noun == words.Parts {
		h = s.b.BehindPart(outline, side, board.PartID(t.id))
	} else {
		h = s.b.BehindPad(outline, side, board.PadID(t.id))
	}
	if h.Truth == board.Unknown && spot {
		h.Why = "position or size of " + s.name(front.noun, front.id) + " not known"
	}
	return h
}

// isSpot reports whether an outline is no more than a place, or not known.
func isSpot(o board.Outline) bool {
	box := o.Bounds()
	return box.Min == box.Max
}

// same reports whether two things are one: a cover can be a part.
func (s *site) same(a, b thing) bool {
	if a == b {
		return true
	}
	if a.noun == words.Covers {
		a, b = b, a
	}
	return b.noun == words.Covers && a.noun == words.Parts && s.b.Covers[b.id].Part == board.PartID(a.id)
}

// within judges whether two different things are so near to each other, edge
// to edge, on one side of the board.
func (s *site) within(r *check.Related, a, b thing) board.Hiding {
	if s.same(a, b) {
		return board.Hiding{}
	}
	most, _ := board.Micrometres(r.Distance)
	away, why := s.distance(a, b)
	switch {
	case away > most:
		return board.Hiding{}
	case why != "":
		return board.Hiding{Truth: board.Unknown, Why: why}
	}
	return board.Hiding{Truth: board.True}
}

// farAway is more than any distance on a board.
const farAway = 1<<31 - 1

// distance is the least that two things can be apart, in micrometres: farAway
// if they are on different sides, 0 if it is not known where they are. Why says
// what is missing if they may be further apart.
func (s *site) distance(a, b thing) (um int32, why string) {
	oa, sideA := s.outline(a)
	ob, sideB := s.lastOutline(b)
	switch {
	case sideA == board.Top && sideB == board.Bottom, sideA == board.Bottom && sideB == board.Top:
		return farAway, ""
	case oa.Zero():
		return 0, "no position"
	case ob.Zero():
		return 0, "no position of " + s.name(b.noun, b.id)
	case sideA == board.SideUnknown || sideB == board.SideUnknown:
		why = "side not known"
	}
	return board.Distance(oa, ob), why
}

// lastOutline is outline for what mostly is asked for again: many things are
// measured to one.
func (s *site) lastOutline(t thing) (board.Outline, board.Side) {
	if s.last.thing != t {
		s.last.thing = t
		s.last.outline, s.last.side = s.outline(t)
	}
	return s.last.outline, s.last.side
}

// outline is where a thing is, and on which side.
func (s *site) outline(t thing) (o board.Outline, side board.Side) {
	switch t.noun {
	case words.Parts:
		o, _ = s.b.PartOutline(board.PartID(t.id))
	case words.Pins:
		o, _ = s.b.PinOutline(board.PinID(t.id))
	case words.Pads:
		o, _ = s.b.PadOutline(board.PadID(t.id))
	case words.Covers:
		return s.coverPlace(board.CoverID(t.id))
	}
	return o, s.side(t.noun, t.id)
}

// coverPlace is where a cover is; of a part of which only the place is known,
// that place.
func (s *site) coverPlace(c board.CoverID) (board.Outline, board.Side) {
	o, side := s.b.CoverOutline(c)
	if part := s.b.Covers[c].Part; o.Zero() && part != board.None {
		o, _ = s.b.PartOutline(part)
	}
	return o, side
}

// side is the side that a thing is on. A pin whose own is not stated is on that
// of its part.
func (s *site) side(n words.Noun, id int32) (side board.Side) {
	switch n {
	case words.Parts:
		return s.b.PartSide(board.PartID(id))
	case words.Pads:
		return s.b.Pads[id].Side
	case words.Covers:
		_, side = s.b.CoverOutline(board.CoverID(id))
	case words.Pins:
		pin := &s.b.Pins[id]
		if side = pin.Side; side == board.SideUnknown {
			side = s.b.PartSide(pin.Part)
		}
	}
	return side
}
