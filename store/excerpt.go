package store

import (
	"slices"

	"netlore/store/board"
)

// excerpter cuts out of a board what hangs on one net: the net, its pins, their
// parts, and the covers that hide or may hide one of those. Of these an excerpt
// says what the board says, so that a question about the parts on a net need
// not read the board.
type excerpter struct {
	board *board.Board
	over  [][]board.CoverID // of each part, the covers that hide or may hide it
}

func newExcerpter(b *board.Board) *excerpter {
	x := &excerpter{b, make([][]board.CoverID, len(b.Parts))}
	for c := range b.Covers {
		lid := b.Lid(board.CoverID(c))
		for p := range b.Parts {
			if lid.OverPart(board.PartID(p)).Truth != board.False {
				x.over[p] = append(x.over[p], board.CoverID(c))
			}
		}
	}
	return x
}

// of is the excerpt of a net, or nil if it would be out of proportion to the
// net. It has no name, for all its readers know it.
func (x *excerpter) of(net board.NetID) *board.Board {
	b, own := x.board, x.board.PinsOn(net)
	covers, parts := x.cast(own)
	e := &board.Board{Nets: []board.Net{b.Nets[net]}}
	for i, p := range parts {
		e.Parts = append(e.Parts, b.Parts[p])
		e.Pins = x.addPins(e.Pins, p, board.PartID(i), net)
	}
	if len(e.Pins) > 4*len(own)+16 {
		return nil
	}
	for _, id := range covers {
		c := b.Covers[id]
		c.Part, c.Parts, c.Pads = newID(parts, c.Part), newIDs(parts, c.Parts), nil
		e.Covers = append(e.Covers, c)
	}
	return e
}

// addPins adds the pins of a part that are on the net, or, if only its pins
// tell where the part is, all of them.
func (x *excerpter) addPins(pins []board.Pin, p, as board.PartID, net board.NetID) []board.Pin {
	all := x.knownByPins(p)
	first, last := x.board.PinsOf(p)
	for _, pin := range x.board.Pins[first:last] {
		switch {
		case pin.Net == net:
			pin.Net = 0
		case all:
			pin.Net = board.None
		default:
			continue
		}
		pin.Part = as
		pins = append(pins, pin)
	}
	return pins
}

// knownByPins reports whether the place or side of a part follows from its pins.
func (x *excerpter) knownByPins(p board.PartID) bool {
	_, basis := x.board.PartBounds(p)
	return basis == board.ByPins || x.board.Parts[p].Side == board.SideUnknown
}

// cast is who appears in an excerpt: the parts of the pins, the covers over
// them, and the parts that these covers are.
func (x *excerpter) cast(pins []board.PinID) ([]board.CoverID, []board.PartID) {
	var parts []board.PartID
	for _, pin := range pins {
		parts = append(parts, x.board.Pins[pin].Part)
	}
	parts = inOrder(parts)
	var covers []board.CoverID
	for _, p := range parts {
		covers = append(covers, x.over[p]...)
	}
	covers = inOrder(covers)
	for _, c := range covers {
		if p := x.board.Covers[c].Part; p != board.None {
			parts = append(parts, p)
		}
	}
	return covers, inOrder(parts)
}

func inOrder[ID ~int32](ids []ID) []ID {
	slices.Sort(ids)
	return slices.Compact(ids)
}

// newID is the place of an id among those kept, or None.
func newID[ID ~int32](kept []ID, id ID) ID {
	if i, ok := slices.BinarySearch(kept, id); ok {
		return ID(i)
	}
	return board.None
}

func newIDs[ID ~int32](kept, ids []ID) []ID {
	var list []ID
	for _, id := range ids {
		if i := newID(kept, id); i != board.None {
			list = append(list, i)
		}
	}
	return list
}

// joined puts excerpts of several nets of one board together.
func joined(ref board.Ref, excerpts []*board.Board) *board.Board {
	bu := board.NewBuilder(ref)
	for _, e := range excerpts {
		join(bu, e)
	}
	return bu.Build()
}

// join adds an excerpt to a board. What several excerpts say of a part is the
// same; the lists of a cover are what each has of them.
func join(bu *board.Builder, e *board.Board) {
	for i := range e.Nets {
		*bu.NetAt(bu.Net(e.Nets[i].Name)) = e.Nets[i]
	}
	for i := range e.Parts {
		*bu.PartAt(bu.Part(e.Parts[i].Name)) = e.Parts[i]
	}
	for _, pin := range e.Pins {
		id := bu.Pin(bu.Part(e.Parts[pin.Part].Name), pin.Name)
		held := bu.PinAt(id)
		pin.Part = held.Part
		if pin.Net == board.None {
			pin.Net = held.Net // another excerpt may know
		} else {
			pin.Net = bu.Net(e.Nets[pin.Net].Name)
		}
		*held = pin
	}
	for _, c := range e.Covers {
		cover := bu.CoverAt(bu.Cover(c.Name))
		parts := cover.Parts
		for _, p := range c.Parts {
			parts = append(parts, bu.Part(e.Parts[p].Name))
		}
		*cover = c
		cover.Part, cover.Parts = board.None, parts
		if c.Part != board.None {
			cover.Part = bu.Part(e.Parts[c.Part].Name)
		}
	}
}
