package trace

import (
	"slices"

	"netlore/store/board"
)

// Pin is the place of a pin of a member, None if it is on no net.
func (s *Supply) Pin(member int, pin board.PinID) Place { return s.pins[member][pin] }

// Pad is the place of a pad of a member, None if it is on no net.
func (s *Supply) Pad(member int, pad board.PadID) Place { return s.pads[member][pad] }

// Branch is the place of a branch of a member, one of the Pieces of its board;
// none if its net is not known.
func (s *Supply) Branch(member int, branch board.BranchID) []Place {
	if declared := s.branches[member]; int(branch) < len(declared) {
		return slices.DeleteFunc([]Place{declared[branch]}, func(p Place) bool { return p == None })
	}
	return s.Net(member, s.pieces[member][branch].Net)
}

// Net yields the places of a net of a member: its branches, or a single one,
// and those of pins and pads that are in none.
func (s *Supply) Net(member int, net board.NetID) []Place {
	list := s.nets[member].of(int32(net))
	places := make([]Place, len(list))
	for i, p := range list {
		places[i] = Place(p)
	}
	return places
}

// Part is the places of the pins of a part of a member, without those where a
// trace surely ends. A place can come twice.
func (s *Supply) Part(member int, part board.PartID) []Place {
	var places []Place
	first, last := s.members[member].Board.PinsOf(part)
	for pin := first; pin < last; pin++ {
		if p := s.pins[member][pin]; p != None && s.Stop(p) != Stops {
			places = append(places, p)
		}
	}
	return places
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
