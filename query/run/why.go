package run

import (
	"netlore/query/plan"
	"netlore/query/words"
	"netlore/store/board"
)

// why says what is missing, for a thing that is possibly but not certainly in a
// set: the first thing that is not known, in the order of the question and
// whatever the order of the plan.
func (ev *evaluator) why(n *plan.Node, id int32) string {
	before := ev.reasoning
	ev.reasoning = true
	defer func() { ev.reasoning = before }()
	if n.Noun == words.Suspects && n.Op == plan.Select && !ev.asked(n).Certain.Has(id) {
		return nowhere.why
	}
	if n.Op == plan.Tie || len(n.Kids) == 0 {
		return ev.test(n, id).why
	}
	if kid := ev.firstUnknown(n, id); kid != nil {
		return ev.why(kid, id)
	}
	return "not known"
}

// firstUnknown is the kid of a node that leaves it open whether a thing passes.
func (ev *evaluator) firstUnknown(n *plan.Node, id int32) *plan.Node {
	var first *plan.Node
	for _, kid := range n.Kids {
		if (first == nil || kid.Said < first.Said) && ev.truth(kid, id) == board.Unknown {
			first = kid
		}
	}
	return first
}

// truth is whether a single thing passes a node.
func (ev *evaluator) truth(n *plan.Node, id int32) board.Truth {
	of := rangeBits(int(id), int(id)+1)
	var p Pair
	if n.Op <= plan.Shared {
		p = ev.set(n, of)
	} else {
		p = ev.holds(n, of)
	}
	switch {
	case p.Certain.Has(id):
		return board.True
	case p.Possible.Has(id):
		return board.Unknown
	}
	return board.False
}
