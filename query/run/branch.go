package run

import (
	"netlore/query/words"
	"netlore/store/board"
)

// pieces are the branches that are declared, and after them those that are
// computed: see board.Board.Pieces.
func (s *site) pieces() []board.Branch {
	if s.copper == nil {
		s.copper = s.b.Pieces()
	}
	return s.copper
}

// basis is whether a branch is declared or computed.
func basis(s *site, id int32) fact {
	if int(id) < len(s.b.Branches) {
		return stated("declared")
	}
	return stated("computed")
}

// branching is which branches the pins, pads and nets of a board belong to. A
// pin or pad of a net that has branches, but is in none of them, may be on each.
type branching struct {
	ofPin, ofPad, ofNet map[int32][]int32
}

// branching sorts the branches of the board by what is in them.
func (s *site) branching() *branching {
	if s.branches != nil {
		return s.branches
	}
	br := &branching{map[int32][]int32{}, map[int32][]int32{}, map[int32][]int32{}}
	for i, x := range s.pieces() {
		if x.Net != board.None {
			br.ofNet[int32(x.Net)] = append(br.ofNet[int32(x.Net)], int32(i))
		}
		for _, pin := range x.Pins {
			br.ofPin[int32(pin)] = append(br.ofPin[int32(pin)], int32(i))
		}
		for _, pad := range x.Pads {
			br.ofPad[int32(pad)] = append(br.ofPad[int32(pad)], int32(i))
		}
	}
	s.branches = br
	return br
}

// onBranches yields the branches of a pin or pad on a net: those that it is
// in, else, not surely, all of the net.
func (br *branching) onBranches(in []int32, net board.NetID, yield func(int32, bool)) {
	sure := len(in) > 0
	if !sure {
		in = br.ofNet[int32(net)]
	}
	for _, id := range in {
		yield(id, sure)
	}
}

// onMaybe yields, not surely, the branches of the nets on which a place rings
// without it being sure.
func (br *branching) onMaybe(r *board.Rung, yield func(int32, bool)) {
	if r == nil || r.Sure {
		return
	}
	for _, net := range r.Nets {
		br.onBranches(nil, net, yield)
	}
}

func pinBranches(s *site, id int32, yield func(int32, bool)) {
	br := s.branching()
	br.onBranches(br.ofPin[id], s.b.Pins[id].Net, yield)
	br.onMaybe(s.b.RungPin(board.PinID(id)), yield)
}

func padBranches(s *site, id int32, yield func(int32, bool)) {
	br := s.branching()
	br.onBranches(br.ofPad[id], s.b.Pads[id].Net, yield)
	br.onMaybe(s.b.RungPad(board.PadID(id)), yield)
}

func partBranches(s *site, id int32, yield func(int32, bool)) {
	first, last := s.b.PinsOf(board.PartID(id))
	for pin := first; pin < last; pin++ {
		pinBranches(s, int32(pin), yield)
	}
}

// branchPins yields the pins that are in a branch, and as not sure those of
// its net that are in none.
func branchPins(s *site, id int32, yield func(int32, bool)) {
	x, br := &s.pieces()[id], s.branching()
	for _, pin := range x.Pins {
		yield(int32(pin), true)
	}
	if x.Net == board.None {
		return
	}
	for _, pin := range s.b.PinsOn(x.Net) {
		if br.ofPin[int32(pin)] == nil {
			yield(int32(pin), false)
		}
	}
	for _, pin := range s.b.PinsMaybeOn(x.Net) {
		yield(int32(pin), false)
	}
}

func branchPads(s *site, id int32, yield func(int32, bool)) {
	x, br := &s.pieces()[id], s.branching()
	for _, pad := range x.Pads {
		yield(int32(pad), true)
	}
	if x.Net == board.None {
		return
	}
	for _, pad := range s.b.PadsOn(x.Net) {
		if br.ofPad[int32(pad)] == nil {
			yield(int32(pad), false)
		}
	}
	for _, pad := range s.b.PadsMaybeOn(x.Net) {
		yield(int32(pad), false)
	}
}

func branchParts(s *site, id int32, yield func(int32, bool)) {
	branchPins(s, id, func(pin int32, sure bool) { yield(int32(s.b.Pins[pin].Part), sure) })
}

// branchNet yields the net of a branch; if it is not stated, it may be any.
func branchNet(s *site, id int32, yield func(int32, bool)) {
	if net := s.pieces()[id].Net; net != board.None {
		yield(int32(net), true)
		return
	}
	for net := range s.count(words.Nets) {
		yield(int32(net), false)
	}
}

func netBranches(s *site, id int32, yield func(int32, bool)) {
	for i := range s.pieces() {
		switch s.pieces()[i].Net {
		case board.NetID(id):
			yield(int32(i), true)
		case board.None:
			yield(int32(i), false)
		}
	}
}
