package plan

import (
	"slices"

	"netlore/query/check"
	"netlore/query/words"
)

// planner builds the plan for one member.
type planner struct {
	*site
	opt  Options
	plan *Plan
}

// set plans a set that is not planned already.
func (p *planner) set(set check.Set) *Node {
	if n, ok := p.plan.Sets[set]; ok {
		return n
	}
	var n *Node
	switch s := set.(type) {
	case *check.Combine:
		n = p.combine(s)
	case *check.Select:
		n = p.sel(s)
	}
	p.plan.Sets[set] = n
	return n
}

var setOps = map[check.SetOp]Op{check.Union: Union, check.Except: Except, check.Shared: Shared}

// combined are the words for sets that are put together.
var combined = map[Op]string{Union: "and also", Except: "except", Shared: "shared with"}

func (p *planner) combine(c *check.Combine) *Node {
	l, r := p.set(c.L), p.set(c.R)
	n := &Node{Op: setOps[c.Op], Noun: c.Noun(), Kids: []*Node{l, r}, Cost: l.Cost + r.Cost}
	switch n.Op {
	case Union:
		n.Rows = min(l.Rows+r.Rows, p.count(n.Noun))
	case Except:
		n.Rows = max(l.Rows-r.Rows, l.Rows/2)
	default:
		n.Rows = min(l.Rows, r.Rows)
	}
	return n
}

func (p *planner) sel(s *check.Select) *Node {
	n := &Node{Op: Select, Noun: s.Of, Rows: p.count(s.Of), all: p.count(s.Of)}
	n.Members, n.Jobs = s.Members, s.Jobs
	if !slices.Contains(s.Members, p.member) && !s.Of.OfNoBoard() {
		n.Rows, n.Empty = 0, true
		return n
	}
	if s.Kinds != nil || s.CoverKinds != nil {
		n.add(&Node{Op: Kind, Noun: s.Of, Kinds: s.Kinds, CoverKinds: s.CoverKinds})
	}
	for _, a := range s.Adjectives {
		n.add(adjective(s.Of, a))
	}
	if s.Where != nil {
		n.add(p.pred(s.Of, s.Where))
	}
	n.setNear(n.first(words.Within), n.first(words.JoinedTo, words.LeadingTo))
	for _, kid := range n.Kids {
		p.estimate(kid, n.Rows)
	}
	p.order(n)
	return n
}

// add appends a condition; one that is several holding together is taken
// apart, so that each can go to its best place.
func (n *Node) add(kid *Node) {
	if kid.Op == All {
		for _, k := range kid.Kids {
			n.add(k)
		}
		return
	}
	kid.Said = len(n.Kids)
	n.Kids = append(n.Kids, kid)
}

// first is the first condition of a select that is one of some relations.
func (n *Node) first(any ...words.Relation) *Node {
	for _, kid := range n.Kids {
		if kid.Op == Tie && slices.Contains(any, kid.Related.Relation) {
			return kid
		}
	}
	return nil
}

// setNear tells all that may ask for a distance, or for steps, which one is
// meant.
func (n *Node) setNear(near, followed *Node) {
	for _, kid := range n.Kids {
		kid.Near, kid.Followed = near, followed
		if kid.Op != Tie {
			kid.setNear(near, followed)
		}
	}
}

// adjective is the condition of an adjective. Hidden and visible are said with
// covers.
func adjective(noun words.Noun, a words.Adjective) *Node {
	hidden := check.Related{Relation: words.Under, Operand: check.Anything{Of: words.Covers}}
	switch a {
	case words.Hidden:
		return &Node{Op: Tie, Noun: noun, Related: hidden}
	case words.Visible:
		return not(&Node{Op: Tie, Noun: noun, Related: hidden})
	}
	return &Node{Op: Adjective, Noun: noun, Adjective: a}
}

// not is the opposite of a condition.
func not(kid *Node) *Node {
	if kid.Op == Not {
		return kid.Kids[0]
	}
	return &Node{Op: Not, Noun: kid.Noun, Kids: []*Node{kid}}
}

// pred is the condition of a predicate.
func (p *planner) pred(noun words.Noun, pred check.Pred) *Node {
	switch c := pred.(type) {
	case check.All:
		return p.several(All, noun, c.Preds)
	case check.Any:
		return p.several(Any, noun, c.Preds)
	case check.Not:
		return not(p.pred(noun, c.Pred))
	case check.Compare:
		return &Node{Op: Compare, Noun: noun, Compared: &c}
	case check.Inside:
		return &Node{Op: Inside, Noun: noun, Inside: &c}
	case check.Reads:
		return &Node{Op: Reads, Noun: noun, Reads: &c}
	case check.Has:
		return &Node{Op: Has, Noun: noun, Field: c.Field}
	case check.IsUnknown:
		return &Node{Op: IsUnknown, Noun: noun, Field: c.Field}
	}
	return p.tie(noun, pred.(check.Related))
}

func (p *planner) several(op Op, noun words.Noun, preds []check.Pred) *Node {
	n := &Node{Op: op, Noun: noun}
	for i, pred := range preds {
		kid := p.pred(noun, pred)
		kid.Said = i
		n.Kids = append(n.Kids, kid)
	}
	return n
}

// tie plans a relation and the sub-questions in its operand.
func (p *planner) tie(noun words.Noun, r check.Related) *Node {
	n := &Node{Op: Tie, Noun: noun, Related: r}
	for _, set := range subs(r.Operand) {
		n.Kids = append(n.Kids, p.set(set))
	}
	return n
}

// subs are the sub-questions of an operand.
func subs(o check.Operand) []check.Set {
	switch o := o.(type) {
	case check.Sub:
		return []check.Set{o.Set}
	case check.Either:
		var all []check.Set
		for _, part := range o.List {
			all = append(all, subs(part)...)
		}
		return all
	}
	return nil
}
