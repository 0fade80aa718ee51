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

// operand takes an operand apart. Groups, boards and stacks, which have no
// ids, are not in it.
func (p *planner) operand(o check.Operand) []operand {
	switch o := o.(type) {
	case check.Names:
		return p.names(o)
	case check.Anything:
		return []operand{p.anything(o.Of)}
	case check.Kinds:
		return []operand{p.kinds(o)}
	case check.Sub:
		n := p.plan.Sets[o.Set]
		return []operand{{noun: n.Noun, rows: float64(n.Rows)}}
	case check.Either:
		var all []operand
		for _, part := range o.List {
			all = append(all, p.operand(part)...)
		}
		return all
	}
	return nil
}

func (p *planner) names(o check.Names) []operand {
	var all []operand
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
		for i := range p.b.Covers {
			o.ids = append(o.ids, int32(i))
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
	for _, o := range p.operand(n.Related.Operand) {
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
	parts := p.operand(n.Related.Operand)
	if len(parts) == 0 {
		return Test, 0
	}
	switch reach := p.reach(n); {
	case !isSpace(n.Related.Relation):
		return p.linkIndex(n, reach)
	case p.allListed(parts):
		return ListIndex, linkCost * reach
	default:
		return SpaceIndex, indexCost*float64(p.count(n.Noun)) + judgeCost*reach
	}
}

// traceCost is what making the graph of a supply costs: a look at every pin.
func (p *planner) traceCost() float64 { return linkCost * float64(len(p.b.Pins)) }

// linkIndex is for the things that the board keeps by net and part. What is
// said about things is kept in no index.
func (p *planner) linkIndex(n *Node, reach float64) (Path, float64) {
	switch n.Noun {
	case words.Parts, words.Pins, words.Pads, words.Nets, words.Branches:
		if n.Related.Relation != words.In {
			return LinkIndex, linkCost * reach
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
