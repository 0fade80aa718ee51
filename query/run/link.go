package run

import (
	"netlore/query/words"
	"netlore/store/board"
)

// follow yields the things that one thing is linked to, each with whether that
// is sure. It may yield a thing twice.
type follow func(s *site, id int32, yield func(to int32, sure bool))

// link ties things of two nouns by what is stated, not by where they are.
type link struct{ forward, back follow }

func (l link) turned() link { return link{l.back, l.forward} }

var (
	partsNets    = link{partNets, netParts}
	partsBranch  = link{partBranches, branchParts}
	pinsNets     = link{pinNet, netPins}
	pinsBranches = link{pinBranches, branchPins}
	padsNets     = link{padNet, netPads}
	padsBranches = link{padBranches, branchPads}
	branchesNets = link{branchNet, netBranches}
	pinsParts    = link{pinPart, partPins}
)

// tied names two nouns that are linked, from the first to the second.
type tied struct{ from, to words.Noun }

// links is the table of links, whether said as `on` or `of`. Links from what is
// said about things are in saidLink.
var links = map[tied]link{
	{words.Parts, words.Nets}:     partsNets,
	{words.Parts, words.Branches}: partsBranch,
	{words.Pins, words.Nets}:      pinsNets,
	{words.Pins, words.Branches}:  pinsBranches,
	{words.Pins, words.Parts}:     pinsParts,
	{words.Pads, words.Nets}:      padsNets,
	{words.Pads, words.Branches}:  padsBranches,
	{words.Branches, words.Nets}:  branchesNets,
	{words.Nets, words.Parts}:     partsNets.turned(),
	{words.Nets, words.Pins}:      pinsNets.turned(),
	{words.Nets, words.Pads}:      padsNets.turned(),
	{words.Nets, words.Branches}:  branchesNets.turned(),
	{words.Jobs, words.Boards}:    {jobBoard, nil},

	{words.Parts, words.Suspects}:    {forward: suspectsAt(words.Parts)},
	{words.Pads, words.Suspects}:     {forward: suspectsAt(words.Pads)},
	{words.Branches, words.Suspects}: {forward: suspectsAt(words.Branches)},
	{words.Parts, words.Tests}:       {forward: testsAt(words.Parts)},
	{words.Pads, words.Tests}:        {forward: testsAt(words.Pads)},
	{words.Covers, words.Tests}:      {forward: testsAt(words.Covers)},

	{words.Functions, words.Parts}:    functionsFor(words.Parts),
	{words.Functions, words.Nets}:     functionsFor(words.Nets),
	{words.Functions, words.Branches}: functionsFor(words.Branches),
}

// linkOf is the link between two nouns.
func linkOf(from, to words.Noun) (link, bool) {
	switch {
	case from == words.Suspects:
		return link{forward: suspectTo(to)}, true
	case to == words.Jobs:
		return link{forward: jobsOf(from)}, true
	case from == words.Readings || from == words.Expected || from == words.Notes || from == words.Observations:
		return saidLink(from, to), true
	case from == words.Jobs && to != words.Boards:
		return link{forward: culpritsOf(to)}, true
	}
	l, ok := links[tied{from, to}]
	return l, ok
}

func partNets(s *site, id int32, yield func(int32, bool)) {
	first, last := s.b.PinsOf(board.PartID(id))
	for pin := first; pin < last; pin++ {
		pinNet(s, int32(pin), yield)
	}
}

func netParts(s *site, id int32, yield func(int32, bool)) {
	netPins(s, id, func(pin int32, sure bool) { yield(int32(s.b.Pins[pin].Part), sure) })
}

func pinNet(s *site, id int32, yield func(int32, bool)) {
	if net := s.b.Pins[id].Net; net != board.None {
		yield(int32(net), true)
		return
	}
	maybeNets(s.b.RungPin(board.PinID(id)), yield)
}

// maybeNets yields the nets that a place rings on without it being sure.
func maybeNets(r *board.Rung, yield func(int32, bool)) {
	if r != nil && !r.Sure {
		for _, net := range r.Nets {
			yield(int32(net), false)
		}
	}
}

func netPins(s *site, id int32, yield func(int32, bool)) {
	for _, pin := range s.b.PinsOn(board.NetID(id)) {
		yield(int32(pin), true)
	}
	for _, pin := range s.b.PinsMaybeOn(board.NetID(id)) {
		yield(int32(pin), false)
	}
}

func padNet(s *site, id int32, yield func(int32, bool)) {
	if net := s.b.Pads[id].Net; net != board.None {
		yield(int32(net), true)
		return
	}
	maybeNets(s.b.RungPad(board.PadID(id)), yield)
}

func netPads(s *site, id int32, yield func(int32, bool)) {
	for _, pad := range s.b.PadsOn(board.NetID(id)) {
		yield(int32(pad), true)
	}
	for _, pad := range s.b.PadsMaybeOn(board.NetID(id)) {
		yield(int32(pad), false)
	}
}

func pinPart(s *site, id int32, yield func(int32, bool)) {
	yield(int32(s.b.Pins[id].Part), true)
}

func partPins(s *site, id int32, yield func(int32, bool)) {
	first, last := s.b.PinsOf(board.PartID(id))
	for pin := first; pin < last; pin++ {
		yield(int32(pin), true)
	}
}

// saidLink ties statements to what they are about.
func saidLink(from, to words.Noun) link {
	return link{
		forward: func(s *site, id int32, yield func(int32, bool)) {
			for _, t := range s.statements(from).about[id] {
				if t.noun == to {
					yield(t.id, true)
				}
			}
		},
	}
}
