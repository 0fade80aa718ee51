package run

import (
	"slices"

	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

var partFacts = looks{
	words.Name:      named(words.Parts),
	words.Kind:      func(s *site, id int32) fact { c := s.b.Parts[id].Class; return word(c.String(), c) },
	words.Value:     partValue,
	words.Volts:     func(s *site, id int32) fact { return quantity(s.b.Parts[id].Volts) },
	words.Amps:      func(s *site, id int32) fact { return quantity(s.b.Parts[id].Amps) },
	words.Tolerance: func(s *site, id int32) fact { return quantity(s.b.Parts[id].Percent) },
	words.Text:      func(s *site, id int32) fact { return stated(s.b.Parts[id].Text) },
	words.Package:   func(s *site, id int32) fact { return must(s.b.Parts[id].Package) },
	words.Side:      sideOf(words.Parts),
	words.X:         xOf(words.Parts),
	words.Y:         yOf(words.Parts),
	words.Width:     func(s *site, id int32) fact { return bodyLength(s, id, func(z board.Size) int32 { return z.W }) },
	words.Height:    func(s *site, id int32) fact { return bodyLength(s, id, func(z board.Size) int32 { return z.H }) },
	words.Function:  func(s *site, id int32) fact { return texts(s.b.Parts[id].Functions) },
	words.CoverOf:   coverNames(words.Parts),
	words.NetOf:     func(s *site, id int32) fact { return linked(s, thing{words.Parts, id}, words.Nets, partNets) },
	words.PinCount: func(s *site, id int32) fact {
		first, last := s.b.PinsOf(board.PartID(id))
		return count(int(last - first))
	},
}

var pinFacts = looks{
	words.Name:       named(words.Pins),
	words.PartOf:     func(s *site, id int32) fact { return linked(s, thing{words.Pins, id}, words.Parts, pinPart) },
	words.NetOf:      func(s *site, id int32) fact { return linked(s, thing{words.Pins, id}, words.Nets, pinNet) },
	words.Basis:      netBasis(words.Pins),
	words.Side:       sideOf(words.Pins),
	words.X:          xOf(words.Pins),
	words.Y:          yOf(words.Pins),
	words.CoverOf:    coverNames(words.Pins),
	words.ExpectedOf: expectedOf(words.Pins),
}

var netFacts = looks{
	words.Name:      named(words.Nets),
	words.Alias:     func(s *site, id int32) fact { return texts(s.b.Nets[id].Aliases) },
	words.Kind:      func(s *site, id int32) fact { k := s.b.Nets[id].Kind; return word(k.String(), k) },
	words.Volts:     func(s *site, id int32) fact { return quantity(s.b.Nets[id].Volts) },
	words.Function:  func(s *site, id int32) fact { return texts(s.b.Nets[id].Functions) },
	words.PartCount: netPartCount,
	words.PinCount: func(s *site, id int32) fact {
		return countOn(s.b.PinsOn(board.NetID(id)), s.b.PinsMaybeOn(board.NetID(id)))
	},
	words.PadCount: func(s *site, id int32) fact {
		return countOn(s.b.PadsOn(board.NetID(id)), s.b.PadsMaybeOn(board.NetID(id)))
	},
	words.ExpectedOf: expectedOf(words.Nets),
}

var padFacts = looks{
	words.Name:       named(words.Pads),
	words.NetOf:      func(s *site, id int32) fact { return linked(s, thing{words.Pads, id}, words.Nets, padNet) },
	words.Basis:      netBasis(words.Pads),
	words.Side:       sideOf(words.Pads),
	words.X:          xOf(words.Pads),
	words.Y:          yOf(words.Pads),
	words.Group:      func(s *site, id int32) fact { return stated(s.b.Pads[id].Group) },
	words.CoverOf:    coverNames(words.Pads),
	words.ExpectedOf: expectedOf(words.Pads),
}

var coverFacts = looks{
	words.Name:      named(words.Covers),
	words.Kind:      func(s *site, id int32) fact { k := s.b.Covers[id].Kind; return word(k.String(), k) },
	words.Side:      sideOf(words.Covers),
	words.Lift:      func(s *site, id int32) fact { return must(s.b.Covers[id].Lift) },
	words.Minutes:   func(s *site, id int32) fact { return quantity(s.b.Covers[id].Minutes) },
	words.Risk:      func(s *site, id int32) fact { r := s.b.Covers[id].Risk; return word(r.String(), r) },
	words.PartCount: func(s *site, id int32) fact { return hiddenCount(s, id, words.Parts) },
	words.PadCount:  func(s *site, id int32) fact { return hiddenCount(s, id, words.Pads) },
}

var branchFacts = looks{
	words.Name:     named(words.Branches),
	words.NetOf:    func(s *site, id int32) fact { return linked(s, thing{words.Branches, id}, words.Nets, branchNet) },
	words.PadsOf:   func(s *site, id int32) fact { return linked(s, thing{words.Branches, id}, words.Pads, branchPads) },
	words.PartsOf:  func(s *site, id int32) fact { return linked(s, thing{words.Branches, id}, words.Parts, branchParts) },
	words.Function: branchFunctions,
	words.Basis:    basis,
}

// countOn is how many pins or pads are on a net, between the bounds of what is
// known.
func countOn[ID board.PinID | board.PadID](on, maybe []ID) fact {
	return single(value.Between(len(on), len(on)+len(maybe)))
}

// netPartCount is how many parts have a pin on a net. The pins of a part follow
// each other.
func netPartCount(s *site, id int32) fact {
	maybe := s.b.PinsMaybeOn(board.NetID(id))
	if maybe == nil {
		return count(s.partsAt(s.b.PinsOn(board.NetID(id))))
	}
	all := slices.Concat(s.b.PinsOn(board.NetID(id)), maybe)
	slices.Sort(all)
	return single(value.Between(s.partsAt(s.b.PinsOn(board.NetID(id))), s.partsAt(all)))
}

func (s *site) partsAt(pins []board.PinID) int {
	n, last := 0, board.PartID(board.None)
	for _, pin := range pins {
		if part := s.b.Pins[pin].Part; part != last {
			n, last = n+1, part
		}
	}
	return n
}

func named(n words.Noun) look {
	return func(s *site, id int32) fact { return single(s.nameValue(n, id)) }
}

// partValue is open only for parts that have a value at all.
func partValue(s *site, id int32) fact {
	part := &s.b.Parts[id]
	if !part.Value.Known() && part.Class != board.ClassUnknown && part.Class.ValueUnit() == board.NoUnit {
		return fact{}
	}
	return quantity(part.Value)
}

func sideOf(n words.Noun) look {
	return func(s *site, id int32) fact { side := s.side(n, id); return word(side.String(), side) }
}

func xOf(n words.Noun) look {
	return func(s *site, id int32) fact {
		at, placed := s.place(n, id)
		return length(at.X, placed, noPosition)
	}
}

func yOf(n words.Noun) look {
	return func(s *site, id int32) fact {
		at, placed := s.place(n, id)
		return length(at.Y, placed, noPosition)
	}
}

// place is the place that is stated of a part, pin or pad.
func (s *site) place(n words.Noun, id int32) (board.Point, bool) {
	switch n {
	case words.Parts:
		return s.b.Parts[id].At, s.b.Parts[id].Placed
	case words.Pins:
		return s.b.Pins[id].At, s.b.Pins[id].Placed
	}
	return s.b.Pads[id].At, s.b.Pads[id].Placed
}

// bodyLength is a length of a part's body: as stated, else as its package tells.
func bodyLength(s *site, id int32, of func(board.Size) int32) fact {
	part := &s.b.Parts[id]
	size := part.Size
	if size.Zero() {
		size, _ = board.PackageSize(part.Package)
	}
	return length(of(size), !size.Zero(), notStated)
}

// hiddenCount is how many things of a noun a cover hides, between the bounds
// of what is known.
func hiddenCount(s *site, id int32, n words.Noun) fact {
	least, most := 0, 0
	list, known := s.underNear(n, board.CoverID(id))
	if !known {
		list = slices.Collect(s.universe(n).All())
	}
	for _, t := range list {
		switch s.covers(board.CoverID(id), thing{n, t}).Truth {
		case board.True:
			least, most = least+1, most+1
		case board.Unknown:
			most++
		}
	}
	return single(value.Between(least, most))
}

// branchFunctions are what the device loses without a branch: what is stated of
// it and of the parts that are surely on it.
func branchFunctions(s *site, id int32) fact {
	all := appendNew([]string(nil), s.pieces()[id].Functions...)
	for _, pin := range s.pieces()[id].Pins {
		all = appendNew(all, s.b.Parts[s.b.Pins[pin].Part].Functions...)
	}
	slices.SortFunc(all, board.CompareNatural)
	return texts(all)
}
