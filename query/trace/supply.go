package trace

import (
	"slices"

	"netlore/store/board"
)

// Member is one board of a stack, or a board alone, which has no role.
type Member struct {
	Role  string
	Board *board.Board
}

// Pass is whether a part lets a trace through, and what is known of its
// resistance. Why says what is missing if that is unknown.
type Pass struct {
	board.Truth
	Why  string
	Ohms Ohms
	// Inside says that it does not matter which of its pins are joined inside.
	// Else a part with more than two nets is passed only possibly.
	Inside bool
}

// InsideUnknown is why a part with more than two nets is only possibly passed.
const InsideUnknown = "which pins are joined inside a part not known"

// GroundUnknown is why a trace may or may not end at a net.
const GroundUnknown = "which net is ground not known"

// BranchUnknown is why copper may or may not be one piece.
const BranchUnknown = "branch not known"

// PlaneUnknown is why pieces that the tracks of a net leave may or may not be one.
const PlaneUnknown = "whether a plane joins the pieces not known"

// Copper is what a place stands for: a net of a member, or a branch of one, which
// is declared or a piece that tracks leave. Branch is board.None if the net is
// one piece or it is not known which; so is Net of a place that rings so that it may
// be on several.
type Copper struct {
	Member int
	Net    board.NetID
	Branch board.BranchID
}

// Crossing is what a tie stands for. Of a part, Part says which and Member
// where; of a join, A and B are its pads, and Via the frame between them. It is
// neither if copper may be one piece. What leads outside is a join to Pad{None,
// None}.
type Crossing struct {
	Member int
	Part   board.PartID // board.None of a join
	A, B   Pad
	Via    string
	Why    string // what is missing if the tie is not sure
}

// IsJoin reports whether a crossing is from board to board.
func (c Crossing) IsJoin() bool { return c.A != c.B }

// Pad is a pad of a member.
type Pad struct {
	Member int
	ID     board.PadID
}

// Supply is the graph of what can carry a supply on some boards.
type Supply struct {
	*Graph
	members   []Member
	places    []Copper
	crossings []Crossing
	pins      [][]Place // by member and pin
	pads      [][]Place
	branches  [][]Place // by member and piece; None if the piece is a whole net
	nets      []lists   // by member: the places of each net
	ofPad     map[Pad][]TieID
	ofPart    []map[board.PartID]TieID
	outside   []Place // one for each net that leaves a board that is asked alone
}

// NewSupply makes the graph of some boards. Passes says which parts a trace
// goes through. A net has a place for each of its declared branches, or a
// single one; a pin or pad that is in none of the branches of its net has a
// loose place of its own, or one with the others that its copper touches. Of
// a net whose tracks leave several pieces each has a place; whether these are one
// is not sure.
func NewSupply(members []Member, joins []board.Join, passes func(member int, part board.PartID) Pass) *Supply {
	w := weaver{Supply: &Supply{members: members, ofPad: map[Pad][]TieID{}}}
	for i, m := range members {
		w.grounded = append(w.grounded, m.Board.HasGround())
		w.copper(i)
	}
	for i := range members {
		w.parts(i, passes)
	}
	for _, j := range joins {
		w.join(j)
	}
	for i := range members {
		w.outsideOf(i)
	}
	w.Graph = w.build.Graph()
	return w.Supply
}

// weaver makes a Supply.
type weaver struct {
	*Supply
	build    Builder
	grounded []bool   // by member: a net of it is stated to be ground
	one      [1]Place // the place of a net that has a single one
}

// add adds the place of some copper.
func (w *weaver) add(c Copper, loose bool) Place {
	stop := w.stop(c)
	if loose {
		w.places = append(w.places, c, c)
		return w.build.AddLoose(stop)
	}
	w.places = append(w.places, c)
	return w.build.Add(stop)
}

// stop is whether a trace ends at a net. A board that states a ground is taken to
// state all of them.
func (w *weaver) stop(c Copper) Stop {
	switch kind := w.members[c.Member].Board.Nets[c.Net].Kind; {
	case kind == board.Ground:
		return Stops
	case kind == board.NetUnknown && !w.grounded[c.Member]:
		return MayStop
	}
	return Goes
}

// tie adds a tie and what it stands for.
func (w *weaver) tie(t Tie, c Crossing, places ...Place) TieID {
	w.crossings = append(w.crossings, c)
	return w.build.Tie(t, places...)
}

// copper adds the places of a member.
func (w *weaver) copper(member int) {
	b := w.members[member].Board
	known := b.Copper()
	pins, pads, branches := filled[Place](len(b.Pins)), filled[Place](len(b.Pads)), filled[Place](len(known.Pieces))
	pieces := make([][]Place, len(b.Nets))
	for i := range known.Pieces {
		x := &known.Pieces[i]
		if x.Net != board.None && !x.Whole() {
			branches[i] = w.add(Copper{member, x.Net, board.BranchID(i)}, false)
			pieces[x.Net] = append(pieces[x.Net], branches[i])
			w.branch(&x.Branch, branches[i], pins, pads)
		}
	}
	nets := make([]end, 0, len(b.Nets))
	for i := range b.Nets {
		for _, p := range w.net(Copper{member, board.NetID(i), board.None}, pieces[i], pins, pads) {
			nets = append(nets, end{p, TieID(i)})
		}
	}
	w.rung(member, nets, pins, pads)
	w.pins, w.pads, w.branches = append(w.pins, pins), append(w.pads, pads), append(w.branches, branches)
	w.nets = append(w.nets, listsOf(len(b.Nets), nets, func(e end) (int32, int32) { return int32(e.tie), int32(e.place) }))
}

// branch puts the pins and pads of a branch at its place. What is in two
// branches makes one piece of them.
func (w *weaver) branch(x *board.Branch, at Place, pins, pads []Place) {
	for _, pin := range x.Pins {
		w.put(&pins[pin], at)
	}
	for _, pad := range x.Pads {
		w.put(&pads[pad], at)
	}
}

func (w *weaver) put(where *Place, at Place) {
	if *where != None && *where != at {
		w.tie(Tie{Sure: true, Free: true, Ohms: Ohms{Exact: true}}, Crossing{Part: board.None}, *where, at)
		return
	}
	*where = at
}

// net adds the places of a net that are not those of branches, and gives all.
func (w *weaver) net(c Copper, pieces, pins, pads []Place) []Place {
	b := w.members[c.Member].Board
	if len(pieces) == 0 {
		whole := w.add(c, false)
		for _, pin := range b.PinsOn(c.Net) {
			pins[pin] = whole
		}
		for _, pad := range b.PadsOn(c.Net) {
			pads[pad] = whole
		}
		w.one[0] = whole
		return w.one[:]
	}
	known := b.Copper()
	apart := known.Apart[c.Net]
	var loose []Place
	put := func(where *Place) {
		if *where == None {
			*where = w.add(c, !apart)
			loose = append(loose, *where)
		}
	}
	for _, x := range known.RestOf(c.Net) {
		at := w.add(c, !apart)
		loose = append(loose, at)
		w.branch(&x.Branch, at, pins, pads)
	}
	for _, pin := range b.PinsOn(c.Net) {
		put(&pins[pin])
	}
	for _, pad := range b.PadsOn(c.Net) {
		put(&pads[pad])
	}
	all := append(slices.Clip(pieces), loose...)
	switch {
	case apart:
		w.tie(Tie{Free: true, Ohms: Ohms{Exact: true}}, Crossing{Member: c.Member, Part: board.None, Why: PlaneUnknown}, all...)
	case len(loose) > 0:
		w.build.Copper(pieces, loose)
		maybe := Crossing{Member: c.Member, Part: board.None, Why: BranchUnknown}
		w.crossings = append(w.crossings, maybe, maybe)
	}
	return all
}

// parts adds the parts of a member that are fitted and let a trace through.
func (w *weaver) parts(member int, passes func(int, board.PartID) Pass) {
	b := w.members[member].Board
	ties := map[board.PartID]TieID{}
	var at []Place
	for i := range b.Parts {
		part := board.PartID(i)
		at = w.placesOf(at[:0], member, part)
		if len(at) < 2 || b.Parts[i].Unfitted {
			continue
		}
		pass := passes(member, part)
		if pass.Truth == board.True && len(at) > 2 && !pass.Inside {
			pass.Truth, pass.Why = board.Unknown, InsideUnknown
		}
		if pass.Truth != board.False {
			ties[part] = w.tie(Tie{Sure: pass.Truth == board.True, Ohms: pass.Ohms}, Crossing{Member: member, Part: part, Why: pass.Why}, at...)
		}
	}
	w.ofPart = append(w.ofPart, ties)
}

// placesOf adds the places that a part has pins at, each once.
func (w *weaver) placesOf(at []Place, member int, part board.PartID) []Place {
	first, last := w.members[member].Board.PinsOf(part)
	for pin := first; pin < last; pin++ {
		if p := w.pins[member][pin]; p != None {
			at = append(at, p)
		}
	}
	slices.Sort(at)
	return slices.Compact(at)
}
