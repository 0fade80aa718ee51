package run

import (
	"slices"

	"netlore/query/trace"
	"netlore/query/words"
	"netlore/store/board"
)

// pieces are the branches that are declared, and after them those that are
// computed: see board.Board.Copper.
func (s *site) pieces() []board.Piece {
	if s.copper == nil {
		s.copper = s.b.Copper()
	}
	return s.copper.Pieces
}

// mayBeOne reports whether a net is in several pieces that may be one.
func (s *site) mayBeOne(net board.NetID) bool {
	s.pieces()
	return net != board.None && s.copper.Apart[net]
}

// basis is whether a branch is declared or computed, and from what.
func basis(s *site, id int32) fact {
	x := &s.pieces()[id]
	list := []string{"computed"}
	if x.Basis == board.Declared {
		list[0] = "declared"
	}
	if text := s.pieceText(id); text != "" {
		list = append(list, text)
	}
	return texts(list)
}

// pieceText is what it rests on that something is a piece of copper; "" if
// somebody declared it.
func (s *site) pieceText(id int32) string {
	x := &s.pieces()[id]
	switch {
	case x.Against != board.None:
		return "but tracks join it with " + s.nameValue(words.Branches, int32(x.Against)).String()
	case x.Basis == board.Declared && x.Tracks+x.Vias == 0:
		return ""
	case x.Basis == board.Declared:
		return joining(x) + " more to it"
	case x.Basis == board.ByTracks:
		return joining(x) + " all of the net"
	case x.Basis == board.Apart && x.Open:
		return joining(x) + " it, and the plane that vias lead to"
	case x.Basis == board.Apart:
		return joining(x) + " it"
	case x.Dense:
		return "the whole net, its tracks lying too closely to be compared"
	case x.Open:
		return "the whole net, vias leading to copper that is not listed"
	case x.Tracks > 0:
		return "the whole net, of which tracks join some"
	}
	return "the whole net"
}

// joining is "2 tracks and 1 via join".
func joining(x *board.Piece) string {
	from := plural(x.Tracks, "track")
	if x.Vias > 0 {
		from += " and " + plural(x.Vias, "via")
	}
	if x.Tracks+x.Vias == 1 {
		return from + " joins"
	}
	return from + " join"
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

// onBranches yields the branches of a pin or pad on a net: those that it is in.
// All of the net are yielded as not sure if it is in none, or if they may be one.
func (s *site) onBranches(in []int32, net board.NetID, yield func(int32, bool)) {
	for _, id := range in {
		yield(id, true)
	}
	if len(in) > 0 && !s.mayBeOne(net) {
		return
	}
	for _, id := range s.branching().ofNet[int32(net)] {
		if !slices.Contains(in, id) {
			yield(id, false)
		}
	}
}

// onMaybe yields, not surely, the branches of the nets on which a place rings
// without it being sure.
func (s *site) onMaybe(r *board.Rung, yield func(int32, bool)) {
	if r == nil || r.Sure {
		return
	}
	for _, net := range r.Nets {
		s.onBranches(nil, net, yield)
	}
}

func pinBranches(s *site, id int32, yield func(int32, bool)) {
	br := s.branching()
	s.onBranches(br.ofPin[id], s.b.Pins[id].Net, yield)
	s.onMaybe(s.b.RungPin(board.PinID(id)), yield)
}

func padBranches(s *site, id int32, yield func(int32, bool)) {
	br := s.branching()
	s.onBranches(br.ofPad[id], s.b.Pads[id].Net, yield)
	s.onMaybe(s.b.RungPad(board.PadID(id)), yield)
}

func partBranches(s *site, id int32, yield func(int32, bool)) {
	first, last := s.b.PinsOf(board.PartID(id))
	for pin := first; pin < last; pin++ {
		pinBranches(s, int32(pin), yield)
	}
}

// branchPins yields the pins that are in a branch, and as not sure those of
// its net that are in none, or in one that may be the same.
func branchPins(s *site, id int32, yield func(int32, bool)) {
	x, br := &s.pieces()[id], s.branching()
	for _, pin := range x.Pins {
		yield(int32(pin), true)
	}
	if x.Net == board.None {
		return
	}
	for _, pin := range s.b.PinsOn(x.Net) {
		if in := br.ofPin[int32(pin)]; in == nil || s.mayBeOne(x.Net) && !slices.Contains(in, id) {
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
		if in := br.ofPad[int32(pad)]; in == nil || s.mayBeOne(x.Net) && !slices.Contains(in, id) {
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

// whyUnsure is why something may or may not be on a branch.
func (s *site) whyUnsure(branch int32) string {
	if s.mayBeOne(s.pieces()[branch].Net) {
		return trace.PlaneUnknown
	}
	return trace.BranchUnknown
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
