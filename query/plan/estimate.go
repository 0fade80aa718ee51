package plan

import (
	"netlore/query/check"
	"netlore/query/words"
	"netlore/store/board"
)

// What share of things is expected to pass a condition of which nothing more
// is known.
const (
	fewPass  = 0.1
	somePass = 0.4
	mostPass = 0.9
)

// estimate fills in what share of rows a condition keeps, and what testing one
// thing costs.
func (p *planner) estimate(n *Node, rows int) {
	n.Cost, n.keep = 1, somePass
	switch n.Op {
	case Kind:
		n.keep = p.kindShare(n)
	case Adjective:
		n.keep = adjectiveShare[n.Adjective]
	case Compare:
		n.keep, n.Cost = p.compareShare(n)
	case IsUnknown:
		n.keep, n.Cost = fewPass, p.fieldCost(n.Field)
	case Inside:
		n.keep, n.Cost = fewPass, judgeCost
	case Reads:
		n.keep, n.Cost = fewPass, judgeCost
	case Has:
		n.Cost = p.fieldCost(n.Field)
	case Tie:
		n.apart = p.apart(n.Related.Operand, nil)
		n.reach = p.reach(n)
		n.keep = min(n.reach/float64(max(p.count(n.Noun), 1)), 1)
		n.Cost = p.testCost(n)
	case All, Any, Not:
		p.estimateKids(n, rows)
	}
}

func (p *planner) estimateKids(n *Node, rows int) {
	n.Cost, n.keep = 0, 1
	passed, failed := 1.0, 1.0
	for _, kid := range n.Kids {
		p.estimate(kid, rows)
		n.Cost += kid.Cost
		passed *= kid.keep
		failed *= 1 - kid.keep
	}
	switch n.Op {
	case All:
		n.keep = passed
	case Any:
		n.keep = 1 - failed
	case Not:
		n.keep = failed
	}
}

var adjectiveShare = map[words.Adjective]float64{
	words.OnTop: 0.6, words.OnBottom: somePass, words.Fitted: mostPass, words.Unfitted: fewPass,
	words.GroundNet: 0.02, words.PowerNet: fewPass, words.SignalNet: mostPass, words.Good: somePass,
}

func (p *planner) kindShare(n *Node) float64 {
	if n.Noun == words.Covers {
		return float64(p.coversOf(n.CoverKinds)) / float64(max(len(p.b.Covers), 1))
	}
	return float64(p.partsOf(n.Kinds)) / float64(max(len(p.b.Parts), 1))
}

func (p *planner) compareShare(n *Node) (keep, cost float64) {
	cost = p.fieldCost(n.Compared.Field)
	switch n.Compared.Op {
	case check.Equal:
		return min(fewPass*float64(len(n.Compared.Values)), mostPass), cost
	case check.NotEqual:
		return mostPass, cost
	}
	return somePass, cost
}

// fieldCost is what finding a field of one thing costs: fields that are kept
// are cheap, those that are judged or counted are not.
func (p *planner) fieldCost(f check.Field) float64 {
	switch f.ID {
	case words.CoverOf:
		return judgeCost * float64(len(p.b.Covers))
	case words.PartCount, words.PadCount:
		if f.Noun == words.Covers {
			return judgeCost * float64(p.count(words.Parts)) / 4
		}
	case words.ExpectedOf, words.ReadingsOf, words.NotesOf:
		return linkCost * 4
	}
	return linkCost
}

// reach is how many things are expected to stand in a relation to one of the
// operand.
func (p *planner) reach(n *Node) float64 {
	if n.Related.Trace != nil {
		return fewPass * float64(p.count(n.Noun))
	}
	total := 0.0
	for _, part := range n.apart {
		if isSpace(n.Related.Relation) {
			total += part.rows * p.near(n, part)
		} else {
			total += p.linked(n, part)
		}
	}
	return total
}

// linked is how many things the links of the operand lead to: counted where it
// is named, else the average.
func (p *planner) linked(n *Node, o operand) float64 {
	if o.noun != words.Nets || o.ids == nil {
		return o.rows * max(p.each(n.Noun, o.noun), 1)
	}
	things := 0
	for _, id := range o.ids {
		switch n.Noun {
		case words.Pads:
			things += len(p.b.PadsOn(board.NetID(id)))
		case words.Parts:
			things += p.partsOn(board.NetID(id))
		default:
			things += len(p.b.PinsOn(board.NetID(id)))
		}
	}
	return float64(things)
}

// partsOn is how many parts have a pin on a net. The pins of a part follow each
// other. Of a net with many pins only some are looked at, so that a plan takes no
// longer for it.
func (p *planner) partsOn(net board.NetID) int {
	const most = 256
	pins := p.b.PinsOn(net)
	n, last := 0, board.PartID(board.None)
	for _, pin := range pins[:min(most, len(pins))] {
		if part := p.b.Pins[pin].Part; part != last {
			n, last = n+1, part
		}
	}
	return n * max(len(pins), 1) / max(min(most, len(pins)), 1)
}

// near is how many things are expected at one of the operand, going by its
// share of the board.
func (p *planner) near(n *Node, o operand) float64 {
	share := fewPass / 2
	if n.Related.Relation == words.Over {
		share = fewPass
	}
	if sizes := p.sizes(n, o); p.area > 0 && sizes > 0 {
		share = min(sizes/p.area, 1) / 2 // things are on both sides
	}
	return share * float64(p.count(n.Noun))
}

// sizes is the average area that one of the operand takes, in square
// millimetres, with the margin of `within`.
func (p *planner) sizes(n *Node, o operand) float64 {
	margin, _ := board.Micrometres(n.Related.Distance)
	total, known := 0.0, 0
	for _, id := range o.ids {
		if outline := p.outline(o.noun, id); !outline.Zero() {
			total += area(outline.Bounds().Grow(margin))
			known++
		}
	}
	return total / float64(max(known, 1))
}

func (p *planner) outline(noun words.Noun, id int32) (o board.Outline) {
	switch noun {
	case words.Covers:
		o, _ = p.b.CoverOutline(board.CoverID(id))
	case words.Parts:
		o, _ = p.b.PartOutline(board.PartID(id))
	case words.Pads:
		o, _ = p.b.PadOutline(board.PadID(id))
	case words.Pins:
		o, _ = p.b.PinOutline(board.PinID(id))
	}
	return o
}
