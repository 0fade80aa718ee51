package plan

import (
	"fmt"
	"time"

	"netlore/query/check"
	"netlore/query/diag"
	"netlore/query/words"
)

// Actual is what a node did when it was run.
type Actual struct {
	Pins int           // that the index led to on the way to parts or nets
	In   int           // things that were tested
	Out  int           // things that may pass
	Took time.Duration // sub-questions included
}

// Line is one step of a plan in a table. Depth is how many sub-questions it is
// in.
type Line struct {
	Depth    int
	Text     string
	Expected int
	Actual
}

// Lines are the steps of the plan in the order in which they are done.
func (p *Plan) Lines(actual map[*Node]Actual) []Line {
	l := lister{actual: actual}
	l.set(p.Root, 0)
	return l.lines
}

type lister struct {
	actual map[*Node]Actual
	lines  []Line
}

func (l *lister) add(depth int, n *Node, text string) {
	if a := l.actual[n]; a.Pins > 0 {
		text += fmt.Sprintf(" → %d pins", a.Pins)
	}
	l.lines = append(l.lines, Line{depth, text, n.Rows, l.actual[n]})
}

func (l *lister) set(n *Node, depth int) {
	if n.Op != Select {
		l.set(n.Kids[0], depth+1)
		l.set(n.Kids[1], depth+1)
		l.add(depth, n, n.Text())
		return
	}
	if len(n.Kids) == 0 || n.Kids[0].Path == Test {
		l.all(n, depth)
	}
	for _, kid := range n.Kids {
		l.subs(kid, depth+1)
		l.add(depth, kid, kid.step(kid == n.Kids[0]))
	}
}

// all is the line of a select that starts with everything there is.
func (l *lister) all(n *Node, depth int) {
	a := l.actual[n]
	a.Out = a.In
	if len(n.Kids) > 0 {
		a.Took = 0
	}
	l.lines = append(l.lines, Line{depth, "all " + n.Text(), n.all, a})
}

// subs lists the sub-questions in a condition.
func (l *lister) subs(n *Node, depth int) {
	for _, kid := range n.Kids {
		if n.Op == Tie {
			l.set(kid, depth)
		} else {
			l.subs(kid, depth)
		}
	}
}

// step is what is done for a condition.
func (n *Node) step(first bool) string {
	how := map[Path]string{LinkIndex: "look up ", SpaceIndex: "look up by place ", ListIndex: "look up in the list of ", Follow: "follow "}[n.Path]
	switch {
	case how == "":
		return "test " + n.Text()
	case n.Path == LinkIndex && first:
		return how + operandText(n.Related.Operand) + " in " + n.indexed()
	case n.Path == ListIndex:
		return how + operandText(n.Related.Operand)
	}
	return how + n.Text()
}

// indexed are the nouns of which the operand of a relation is made.
func (n *Node) indexed() string {
	var all []string
	for _, of := range n.Related.Relation.Operands(n.Noun) {
		if named(n.Related.Operand, of) {
			all = append(all, of.String())
		}
	}
	return diag.OneOf(all...)
}

// named reports whether there are things of a noun in an operand.
func named(o check.Operand, of words.Noun) bool {
	switch o := o.(type) {
	case check.Names:
		for _, name := range o.List {
			for _, f := range name.Found {
				if f.Noun == of {
					return true
				}
			}
		}
	case check.Anything:
		return o.Of == of
	case check.Kinds:
		return o.Of == of
	case check.Sub:
		return o.Set.Noun() == of
	case check.Either:
		for _, part := range o.List {
			if named(part, of) {
				return true
			}
		}
	}
	return false
}
