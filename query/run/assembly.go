package run

import (
	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/trace"
	"netlore/store/board"
)

// assembly is all members of a scope together, as far as a trace crosses from one
// to another. It is made once for a question and used by one goroutine.
type assembly struct {
	scope   *check.Scope
	opt     plan.Options
	brake   *brake
	sites   []*site
	traces  map[*check.Trace]*traced
	remarks []string // what was taken for granted, each once

	q       *check.Question // nil if the members are not asked one
	answers []*evaluator    // of its set on each member
	inquiry *inquiry        // nil if nothing is asked of suspects and tests
}

func newAssembly(scope *check.Scope, opt plan.Options, b *brake) *assembly {
	return &assembly{scope: scope, opt: opt, brake: b, sites: make([]*site, len(scope.Members))}
}

// newAsked is an assembly that is asked a question.
func newAsked(q *check.Question, opt plan.Options, b *brake) *assembly {
	w := newAssembly(q.Scope, opt, b)
	w.q, w.answers = q, make([]*evaluator, len(w.sites))
	return w
}

// site is a member of the scope.
func (w *assembly) site(member int) *site {
	if w.sites[member] == nil {
		w.sites[member] = newSite(w, member)
	}
	return w.sites[member]
}

// evaluator is what works out the set of the question on one member.
func (w *assembly) evaluator(member int) *evaluator {
	if w.answers[member] == nil {
		way := w.prepared(member)
		ev := newEvaluator(w.site(member), way.plan, w.brake)
		ev.form = &way.form
		if w.q.PlanOf {
			ev.actual = map[*plan.Node]plan.Actual{}
		}
		w.answers[member] = ev
	}
	return w.answers[member]
}

// supplyKey is what the graph of a board that is asked alone depends on besides
// the board.
type supplyKey struct {
	role   string
	n      int
	passes [6]check.Pass
}

// supply is the graph of what can carry a supply through some parts. That of a
// board that is asked alone is kept with it.
func (w *assembly) supply(passes []check.Pass) *trace.Supply {
	key := supplyKey{role: w.scope.Members[0].Role, n: len(passes)}
	if copy(key.passes[:], passes) < len(passes) || len(w.scope.Members) > 1 || w.scope.Lenient {
		return w.newSupply(passes)
	}
	return w.scope.Members[0].Board.Keep(key, func() any { return w.newSupply(passes) }).(*trace.Supply)
}

func (w *assembly) newSupply(passes []check.Pass) *trace.Supply {
	members := make([]trace.Member, len(w.scope.Members))
	for i, m := range w.scope.Members {
		members[i] = trace.Member{Role: m.Role, Board: m.Board}
	}
	return trace.NewSupply(members, w.scope.Joins, func(member int, part board.PartID) trace.Pass {
		return w.site(member).passes(part, passes)
	})
}

// remark keeps something that is to be said about the answer; of which board, if
// every board is asked.
func (w *assembly) remark(text string) {
	if w.scope.Lenient {
		text = w.scope.Members[0].Board.Ref.String() + ": " + text
	}
	w.remarks = appendNew(w.remarks, text)
}
