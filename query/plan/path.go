package plan

import (
	"netlore/query/check"
	"netlore/query/words"
	"netlore/store/board"
)

// operand is a part of an operand that is of one noun: about how many things,
// and which, where that is known beforehand.
type operand struct {
	noun words.Noun
	rows float64
	ids  []int32
}

// apart takes an operand apart and appends its parts. Groups, boards and stacks,
// which have no ids, are not in it.
func (p *planner) apart(o check.Operand, all []operand) []operand {
	switch o := o.(type) {
	case check.Names:
		return p.names(o, all)
	case check.Anything:
		return append(all, p.anything(o.Of))
	case check.Kinds:
		return append(all, p.kinds(o))
	case check.Sub:
		n := p.plan.Sets[o.Set]
		return append(all, operand{noun: n.Noun, rows: float64(n.Rows)})
	case check.Either:
		for _, part := range o.List {
			all = p.apart(part, all)
		}
	}
	return all
}

func (p *planner) names(o check.Names, all []operand) []operand {
	for _, name := range o.List {
		for _, f := range name.Found {
			if f.Member == p.member && f.IDs != nil {
				all = append(all, operand{f.Noun, float64(len(f.IDs)), f.IDs})
			}
		}
	}
	return all
}

func (p *planner) anything(of words.Noun) operand {
	o := operand{noun: of, rows: float64(p.count(of))}
	if of == words.Covers {
		o.ids = make([]int32, len(p.b.Covers))
		for i := range o.ids {
			o.ids[i] = int32(i)
		}
	}
	return o
}

func (p *planner) kinds(o check.Kinds) operand {
	n := 0
	switch o.Of {
	case words.Parts:
		n = p.partsOf(o.Parts)
	case words.Nets:
		n = p.netsOf(o.NetKinds)
	case words.Covers:
		n = p.coversOf(o.CoverKinds)
	}
	return operand{noun: o.Of, rows: float64(n)}
}

// isSpace reports whether a relation is judged by place.
func isSpace(r words.Relation) bool {
	return r == words.Under || r == words.Over || r == words.Behind || r == words.Within
}

// testCost is what testing one thing for a relation costs: by place, each of
// the operand is judged; else the links of the thing are followed.
func (p *planner) testCost(n *Node) float64 {
	rows := 0.0
	for _, o := range n.apart {
		rows += o.rows
	}
	switch {
	case n.Related.Trace != nil:
		return p.traceCost() // once; after that a look in what was found
	case isSpace(n.Related.Relation):
		return judgeCost * max(rows, 1)
	case n.Noun == words.Nets:
		return linkCost * (1 + p.each(words.Pins, words.Nets))
	case n.Noun == words.Parts:
		return linkCost * (1 + p.each(words.Pins, words.Parts))
	}
	return linkCost
}

// lookUp is the index that finds what stands in a relation to the operand, and
// what that costs. It is Test if there is none.
func (p *planner) lookUp(n *Node) (Path, float64) {
	if n.Related.Trace != nil {
		return Follow, p.traceCost()
	}
	if len(n.apart) == 0 || n.Noun.OfNoBoard() {
		return Test, 0 // an index leads to things of one board
	}
	switch {
	case !isSpace(n.Related.Relation):
		return linkIndex(n)
	case p.allListed(n.apart):
		return ListIndex, linkCost * n.reach
	default:
		return SpaceIndex, indexCost*float64(p.count(n.Noun)) + judgeCost*n.reach
	}
}

// traceCost is what making the graph of a supply costs: a look at every pin.
func (p *planner) traceCost() float64 { return linkCost * float64(len(p.b.Pins)) }

// linkIndex is for the things that the board keeps by net and part. What is
// said about things is kept in no index.
func linkIndex(n *Node) (Path, float64) {
	switch n.Noun {
	case words.Parts, words.Pins, words.Pads, words.Nets, words.Branches:
		if n.Related.Relation != words.In {
			return LinkIndex, linkCost * n.reach
		}
	}
	return Test, 0
}

// allListed reports whether the operand is covers that all have lists.
func (p *planner) allListed(parts []operand) bool {
	for _, o := range parts {
		if o.noun != words.Covers || o.ids == nil {
			return false
		}
		for _, id := range o.ids {
			if !p.b.Covers[board.CoverID(id)].Listed {
				return false
			}
		}
	}
	return true
}
