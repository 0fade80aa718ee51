package board

import (
	"cmp"
	"slices"
	"strings"
)

// PieceBasis is what it rests on that something is a piece of copper.
type PieceBasis uint8

const (
	// Declared: somebody stated the branch. Pins and pads that its copper touches
	// are in it, too.
	Declared PieceBasis = iota
	// ByName: a net is one piece, as its name says; what is known of its copper
	// does not speak against that.
	ByName
	// ByTracks: tracks and vias join all pins and pads of the net.
	ByTracks
	// Apart: the tracks of the net leave several pieces that something else than
	// copper can join. Whether they are one all the same is not known: there may be
	// copper that is not listed, such as a plane.
	Apart
)

// Piece is a piece of copper of a net.
type Piece struct {
	Branch
	Basis PieceBasis
	// Tracks and Vias are how many touch in it; of a declared branch those that
	// join something to it.
	Tracks, Vias int
	// Open says that there are vias in it of which no more than one layer is
	// known to have copper: they lead to copper that is not listed.
	Open bool
	// Against is another declared branch that tracks and vias join a declared one
	// with, or None.
	Against BranchID
	// Dense says that the tracks of the net lie too closely to be compared.
	Dense bool
}

// Whole reports whether the piece is a net of which no branch is declared.
func (x *Piece) Whole() bool { return x.Basis == ByName || x.Basis == ByTracks }

// Copper is what is known of how the copper of a board hangs together. It is
// shared and must not be changed.
type Copper struct {
	// Pieces are the branches that are declared, in their order and with their
	// ids, and after them, in order of nets, the pieces of each net that has no
	// branches, is not stated to be ground, and has pins or pads.
	Pieces []Piece
	// Rest is more copper that touches, in order of nets, of nets that are apart or
	// have declared branches: it may belong to each of the pieces of its net.
	Rest []Piece
	// Apart tells of each net whether its pieces may be one all the same.
	Apart []bool
}

// RestOf is the rest that is of a net.
func (c *Copper) RestOf(net NetID) []Piece {
	first, _ := slices.BinarySearchFunc(c.Rest, net, func(x Piece, net NetID) int { return cmp.Compare(x.Net, net) })
	end := first
	for end < len(c.Rest) && c.Rest[end].Net == net {
		end++
	}
	return c.Rest[first:end]
}

// keptCopper is the key under which the copper of a board is kept.
type keptCopper struct{}

// Copper returns what is known of the copper of the board. It is made once.
//
// A net is one piece, as its name says, unless its tracks leave two pieces or
// more that something else than copper can join: each has a pad, a pin of
// a connector or of a part not known what it is, or of a part that carries
// a supply and has a pin in another of them, too. If nothing but copper could
// join the pieces, they would not be one net if they were not joined. A via
// of which no more than one layer is known to have copper leads to copper that
// is not listed; what has such vias is taken for one piece. Nothing is said of
// pins and pads that no track and no via touches.
func (b *Board) Copper() *Copper {
	return b.Keep(keptCopper{}, func() any { return newCopper(b) }).(*Copper)
}

func newCopper(b *Board) *Copper {
	c := &Copper{Pieces: make([]Piece, 0, len(b.Branches)+len(b.Nets)), Apart: make([]bool, len(b.Nets))}
	declared := make([][]BranchID, len(b.Nets))
	for i := range b.Branches {
		c.Pieces = append(c.Pieces, Piece{Branch: b.Branches[i], Against: None})
		if net := b.Branches[i].Net; net != None {
			declared[net] = append(declared[net], BranchID(i))
		}
	}
	drawn := newDrawn(b)
	for i := range b.Nets {
		net := NetID(i)
		switch {
		case len(b.PinsOn(net)) == 0 && len(b.PadsOn(net)) == 0:
		case declared[i] != nil:
			c.extend(drawn.net(net), declared[i])
		case b.Nets[i].Kind != Ground:
			c.compute(b, net, drawn.net(net))
		}
	}
	return c
}

// compute adds the pieces of a net of which no branch is declared.
func (c *Copper) compute(b *Board, net NetID, t touching) {
	out, rest := b.waysOut(withOneOpen(t.pieces))
	if len(out) < 2 {
		c.Pieces = append(c.Pieces, b.wholeNet(net, t))
		return
	}
	c.Apart[net] = true
	for i := range out {
		out[i].Name, out[i].Basis = b.pieceName(&out[i]), Apart
	}
	slices.SortStableFunc(out, func(x, y Piece) int { return CompareNatural(x.Name, y.Name) })
	c.Pieces, c.Rest = append(c.Pieces, out...), append(c.Rest, rest...)
}

// wholeNet is a net that is one piece. It has the name of the net, and what the
// net is for.
func (b *Board) wholeNet(net NetID, t touching) Piece {
	n := &b.Nets[net]
	whole := Piece{Branch: Branch{Name: n.Name, Net: net, Pads: b.PadsOn(net), Pins: b.PinsOn(net), Functions: n.Functions},
		Basis: ByName, Against: None, Dense: t.dense}
	for i := range t.pieces {
		x := &t.pieces[i]
		whole.Tracks, whole.Vias, whole.Open = whole.Tracks+x.Tracks, whole.Vias+x.Vias, whole.Open || x.Open
		if len(x.Pins) == len(whole.Pins) && len(x.Pads) == len(whole.Pads) {
			whole.Basis = ByTracks
		}
	}
	return whole
}

// withOneOpen makes one piece of those that lead to copper that is not listed.
func withOneOpen(pieces []Piece) []Piece {
	var all []Piece
	open := -1
	for _, x := range pieces {
		switch {
		case !x.Open:
			all = append(all, x)
		case open < 0:
			open = len(all)
			all = append(all, x)
		default:
			all[open].add(x.Pins, x.Pads, &x)
		}
	}
	return all
}

// pieceName is the net and the first pad of a piece, or its first pin:
// VMAIN@P11, VMAIN@C12.1. A pad that is called after its net keeps its name.
func (b *Board) pieceName(x *Piece) string {
	net := b.Nets[x.Net].Name + "@"
	if len(x.Pads) > 0 {
		return net + strings.TrimPrefix(b.Pads[x.Pads[0]].Name, net)
	}
	return net + b.PinName(x.Pins[0])
}

// extend adds to the declared branches of a net what their copper touches. What
// touches two of them is added to neither: that they are two goes before tracks.
func (c *Copper) extend(t touching, declared []BranchID) {
	ofPin, ofPad := map[PinID][]BranchID{}, map[PadID][]BranchID{}
	for _, id := range declared {
		for _, pin := range c.Pieces[id].Pins {
			ofPin[pin] = append(ofPin[pin], id)
		}
		for _, pad := range c.Pieces[id].Pads {
			ofPad[pad] = append(ofPad[pad], id)
		}
	}
	for i := range t.pieces {
		x := &t.pieces[i]
		pins, inPins := parted(x.Pins, ofPin)
		pads, inPads := parted(x.Pads, ofPad)
		in := slices.Compact(slices.Sorted(slices.Values(append(inPins, inPads...))))
		switch {
		case len(pins) == 0 && len(pads) == 0:
		case len(in) == 0:
			c.Rest = append(c.Rest, *x)
		case len(in) == 1:
			c.Pieces[in[0]].add(pins, pads, x)
		}
		c.contradict(in)
	}
}

// contradict notes that branches that are declared touch.
func (c *Copper) contradict(in []BranchID) {
	for i, id := range in {
		if x := &c.Pieces[id]; len(in) > 1 && x.Against == None {
			x.Against = in[(i+1)%len(in)]
		}
	}
}

// parted is what is in no branch, and the branches of the others.
func parted[ID comparable](list []ID, of map[ID][]BranchID) (free []ID, in []BranchID) {
	for _, id := range list {
		if branches := of[id]; branches != nil {
			in = append(in, branches...)
		} else {
			free = append(free, id)
		}
	}
	return free, in
}

// add adds pins and pads to a piece whose lists are those of the board.
func (x *Piece) add(pins []PinID, pads []PadID, by *Piece) {
	x.Pins, x.Pads = append(slices.Clip(x.Pins), pins...), append(slices.Clip(x.Pads), pads...)
	slices.Sort(x.Pins)
	slices.Sort(x.Pads)
	x.Tracks, x.Vias = x.Tracks+by.Tracks, x.Vias+by.Vias
}

// several stands for more than one piece.
const several = -1

// waysOut parts the pieces that something else than copper can join from those
// that nothing else can.
func (b *Board) waysOut(pieces []Piece) (out, rest []Piece) {
	carriers := map[PartID]int{} // the piece that it has pins in, or several
	for i := range pieces {
		for _, pin := range pieces[i].Pins {
			part := b.Pins[pin].Part
			if first, ok := carriers[part]; ok && first != i {
				carriers[part] = several
			} else if b.Parts[part].Class.carriesSupply() {
				carriers[part] = i
			}
		}
	}
	leads := func(pin PinID) bool {
		part := b.Pins[pin].Part
		return b.Parts[part].Class.leadsOut() || carriers[part] == several
	}
	for i := range pieces {
		if len(pieces[i].Pads) > 0 || slices.ContainsFunc(pieces[i].Pins, leads) {
			out = append(out, pieces[i])
		} else {
			rest = append(rest, pieces[i])
		}
	}
	return out, rest
}

// leadsOut reports whether a part of the class leads off the board, or may do
// so because it is not known what it is.
func (c Class) leadsOut() bool {
	switch c {
	case ClassUnknown, ConnectorPart, ModulePart, Battery, Display:
		return true
	}
	return false
}

// carriesSupply reports whether a part of the class may join two pieces of copper
// of one net. That boards do not rely on a chip to join its supply pins inside
// is common practice, no source.
func (c Class) carriesSupply() bool {
	switch c {
	case Resistor, Inductor, Bead, Fuse, Switch, Relay, Jumper, Filter, Attenuator, Transformer, Thermistor, Network, LoadSwitch:
		return true
	}
	return false
}
