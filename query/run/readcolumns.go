package run

import (
	"netlore/query/plan"
	"netlore/query/value"
)

// asked are the conditions of a sort in a set, whatever they are put together
// with.
func asked(n *plan.Node, op plan.Op) []*plan.Node {
	if n.Op == op {
		return []*plan.Node{n}
	}
	if n.Op == plan.Tie {
		return nil
	}
	var all []*plan.Node
	for _, kid := range n.Kids {
		all = append(all, asked(kid, op)...)
	}
	return all
}

// addReads is what was read, what is expected, and how the one lies to the
// other, where readings are asked for. All conditions of a selection speak of
// the same jobs.
func (f *form) addReads() {
	jobs := f.jobs
	each := func(of func(x *read) []value.Value) cell {
		return func(f *fields, id int32) value.Value {
			var all []value.Value
			for _, x := range f.ev.readsOf(thing{f.noun, id}, jobs) {
				all = appendShown(all, of(&x)...)
			}
			return value.OfList(all)
		}
	}
	f.addColumn("reading", "", each((*read).shown))
	f.addColumn("expected", "", func(f *fields, id int32) value.Value { return f.ev.expectedCell(thing{f.noun, id}, jobs) })
	f.addColumn("verdict", "", each((*read).verdictShown))
}
