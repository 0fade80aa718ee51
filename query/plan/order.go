package plan

import (
	"cmp"
	"math"
	"slices"
)

// Costs are in units of one plain comparison, some ten nanoseconds.
const (
	linkCost   = 2   // following one link of the index
	judgeCost  = 30  // judging two outlines
	indexCost  = 25  // putting one outline into the space index
	indexShare = 1.1 // an index must beat the test by this much
)

// order puts the conditions of a select into the order in which they are
// tested, and chooses their paths: first what can be looked up and leaves few,
// then the cheapest for what it throws out.
func (p *planner) order(n *Node) {
	if !p.opt.Scan {
		p.start(n)
		rest := n.Kids
		if len(rest) > 0 && rest[0].Path != Test {
			rest = rest[1:]
		}
		slices.SortStableFunc(rest, func(a, b *Node) int { return cmp.Compare(a.rank(), b.rank()) })
	}
	for _, kid := range n.Kids {
		p.choose(kid, n.Rows)
		n.Rows = kid.Rows
		n.Cost += kid.Cost
	}
}

// rank is what a condition costs for each thing that it throws out.
func (n *Node) rank() float64 { return n.Cost / (1.001 - n.keep) }

// start moves the condition to the front whose index leaves the fewest to be
// tested, if looking up beats testing all.
func (p *planner) start(n *Node) {
	best, least := -1, float64(n.Rows)*(1+n.cheapest())
	for i, kid := range n.Kids {
		if kid.Op != Tie || kid.Related.Operand == nil {
			continue
		}
		if path, cost := p.lookUp(kid); path != Test && cost+kid.keep*float64(n.Rows) < least {
			best, least = i, cost+kid.keep*float64(n.Rows)
		}
	}
	if best < 0 {
		return
	}
	first := n.Kids[best]
	first.Path, _ = p.lookUp(first)
	n.Kids = slices.Insert(slices.Delete(n.Kids, best, best+1), 0, first)
}

// cheapest is what the cheapest condition costs for each thing.
func (n *Node) cheapest() float64 {
	least := math.Inf(1)
	for _, kid := range n.Kids {
		least = min(least, kid.Cost)
	}
	return least
}

// choose settles how a condition is tested when rows are left, and what is
// expected to remain of them.
func (p *planner) choose(n *Node, rows int) {
	n.Rows = int(n.keep*float64(rows) + 0.5)
	perThing := n.Cost
	n.Cost *= float64(rows)
	switch {
	case n.Op == Tie && !p.opt.Scan:
		if path, cost := p.lookUp(n); path != Test && (n.Path != Test || cost*indexShare < perThing*float64(rows)) {
			n.Path, n.Cost = path, cost
		}
		for _, kid := range n.Kids {
			n.Cost += kid.Cost
		}
	case n.Op == All || n.Op == Any || n.Op == Not:
		n.Cost = 0
		for _, kid := range n.Kids {
			p.choose(kid, rows)
			n.Cost += kid.Cost
		}
	}
}
