package trace

import "netlore/store/board"

// Pin is the place of a pin of a member, None if it is on no net.
func (s *Supply) Pin(member int, pin board.PinID) Place { return s.pins[member][pin] }

// Pad is the place of a pad of a member, None if it is on no net.
func (s *Supply) Pad(member int, pad board.PadID) Place { return s.pads[member][pad] }

// Branch appends the place of a branch of a member, one of the pieces of its
// board's copper, to a list; none if its net is not known.
func (s *Supply) Branch(list []Place, member int, branch board.BranchID) []Place {
	x := &s.members[member].Board.Copper().Pieces[branch]
	switch at := s.branches[member][branch]; {
	case at != None:
		return append(list, at)
	case x.Net == board.None:
		return list
	}
	return s.Net(list, member, x.Net)
}

// Net appends the places of a net of a member to a list: its branches, or a
// single one, and those of pins and pads that are in none.
func (s *Supply) Net(list []Place, member int, net board.NetID) []Place {
	for _, p := range s.nets[member].of(int32(net)) {
		list = append(list, Place(p))
	}
	return list
}

// Part appends the places of the pins of a part of a member to a list, without
// those where a trace surely ends. A place can come twice.
func (s *Supply) Part(list []Place, member int, part board.PartID) []Place {
	first, last := s.members[member].Board.PinsOf(part)
	for pin := first; pin < last; pin++ {
		if p := s.pins[member][pin]; p != None && s.Stop(p) != Stops {
			list = append(list, p)
		}
	}
	return list
}

// Copper is what a place stands for.
func (s *Supply) Copper(p Place) Copper { return s.places[p] }

// Crossing is what a tie stands for.
func (s *Supply) Crossing(t TieID) Crossing { return s.crossings[t] }

// Why says what is missing where a search gives a tie as its doubt, "" for None.
func (s *Supply) Why(doubt TieID) string {
	switch doubt {
	case None:
		return ""
	case GroundDoubt:
		return GroundUnknown
	}
	return s.crossings[doubt].Why
}

// Same reports whether two places are one, or the two of a loose one. Neither is
// None.
func (s *Supply) Same(p, other Place) bool {
	return p == other || s.twins[p] == other || s.twins[other] == p
}

// PinAt is the first pin of a part at a place, board.None if it has none there.
func (s *Supply) PinAt(member int, part board.PartID, at Place) board.PinID {
	first, last := s.members[member].Board.PinsOf(part)
	for pin := first; pin < last; pin++ {
		if p := s.pins[member][pin]; p != None && s.Same(p, at) {
			return pin
		}
	}
	return board.None
}

// OpenPad is the ties that are cut when a pad stays open: its joins.
func (s *Supply) OpenPad(p Pad) []TieID { return s.ofPad[p] }

// OpenPart is the tie that is cut when a part is lifted; false if a trace does
// not go through the part.
func (s *Supply) OpenPart(member int, part board.PartID) (TieID, bool) {
	t, ok := s.ofPart[member][part]
	return t, ok
}

// Joins are the ties from board to board.
func (s *Supply) Joins() map[TieID]bool {
	joins := map[TieID]bool{}
	for i, c := range s.crossings {
		if c.IsJoin() {
			joins[TieID(i)] = true
		}
	}
	return joins
}
