package run

import (
	"context"
	"time"

	"netlore/query/plan"
	"netlore/query/words"
)

// evaluator runs the plan of one set on one member. What it works out for
// sub-questions and indexes is kept, so that a set can be asked for piece by
// piece.
type evaluator struct {
	*site
	plan  *plan.Plan
	brake *brake

	sets     map[*plan.Node]Pair
	operands map[*plan.Node]*operand
	images   map[*plan.Node]Pair
	actual   map[*plan.Node]plan.Actual // nil unless the plan is asked for
	form     *form                      // of the answer; nil if the plan is for an operand

	// Things are tested one after the other by the same condition, so what was
	// found for the last one is at hand.
	lastOperand struct {
		node *plan.Node
		*operand
	}
	lastTraced struct {
		node *plan.Node
		*traced
	}

	reasoning bool // findings need a reason, and what is done is no part of the plan
}

func newEvaluator(s *site, p *plan.Plan, b *brake) *evaluator {
	return &evaluator{site: s, plan: p, brake: b, operands: map[*plan.Node]*operand{}, images: map[*plan.Node]Pair{}}
}

// all are the evaluators of the same set on all members.
func (ev *evaluator) all() []*evaluator {
	if ev.form == nil {
		return []*evaluator{ev}
	}
	list := make([]*evaluator, len(ev.assembly.sites))
	for i := range list {
		list[i] = ev.assembly.evaluator(i)
	}
	return list
}

// brake tells when to stop. Once it says so, results are worthless.
type brake struct {
	ctx   context.Context
	now   func() time.Time
	until time.Time // zero for no limit
	pace  int       // how many ticks there are from one look to the next
	ticks int       // since it looked last
	why   string    // why it stopped
}

// stopped is asked for every thing that is tested.
func (b *brake) stopped() bool {
	if b.ticks++; b.ticks < b.pace || b.why != "" {
		return b.why != ""
	}
	b.ticks = 0
	return b.check()
}

// worked counts things that were tested without asking, so that it looks sooner.
func (b *brake) worked(things int) { b.ticks += things }

// check looks at the clock and the context.
func (b *brake) check() bool {
	switch {
	case b.why != "":
	case b.ctx.Err() != nil:
		b.why = "cancelled"
	case !b.until.IsZero() && b.now().After(b.until):
		b.why = "stopped at the time limit"
	}
	return b.why != ""
}

// whole is all of a set.
func (ev *evaluator) whole(n *plan.Node) Pair {
	if p, ok := ev.sets[n]; ok {
		return p
	}
	p := ev.set(n, ev.universe(n.Noun))
	if ev.sets == nil {
		ev.sets = map[*plan.Node]Pair{}
	}
	ev.sets[n] = p
	return p
}

// mayBeIn is the things that can be in a set: what the index leads to that is
// asked first, else all.
func (ev *evaluator) mayBeIn(n *plan.Node) Bits {
	if n.Op != plan.Select || len(n.Kids) == 0 || !lookedUp(n.Kids[0]) {
		return ev.universe(n.Noun)
	}
	start := ev.clock()
	led := ev.image(n.Kids[0]).Possible
	ev.did(n.Kids[0], func(a *plan.Actual) { a.Took += ev.brake.now().Sub(start) })
	return led
}

// lookedUp reports whether an index finds the things for which a condition holds.
func lookedUp(n *plan.Node) bool {
	return n.Op == plan.Tie && n.Path != plan.Test && n.Path != plan.Follow
}

// set is what is in a set, of the things given.
func (ev *evaluator) set(n *plan.Node, of Bits) Pair {
	start := ev.clock()
	var p Pair
	switch n.Op {
	case plan.Select:
		p = ev.sel(n, of)
	case plan.Union:
		p = ev.set(n.Kids[0], of).Or(ev.set(n.Kids[1], of))
	case plan.Shared:
		p = ev.set(n.Kids[0], of)
		p = p.And(ev.set(n.Kids[1], p.Possible))
	case plan.Except:
		p = ev.set(n.Kids[0], of)
		p = p.Less(ev.set(n.Kids[1], p.Possible))
	}
	ev.note(n, start, of, p)
	return p
}

// sel narrows the things down condition by condition.
func (ev *evaluator) sel(n *plan.Node, of Bits) Pair {
	if n.Empty {
		return Pair{}
	}
	p := exactly(of)
	if n.Noun.OfNoBoard() {
		p = p.And(ev.asked(n))
	}
	for _, kid := range n.Kids {
		if p.Possible.Empty() {
			break
		}
		p = p.narrowed(ev.holds(kid, p.Possible))
	}
	return p
}

// holds is for which of the things given a condition holds.
func (ev *evaluator) holds(n *plan.Node, of Bits) Pair {
	start := ev.clock()
	p := ev.condition(n, of)
	ev.note(n, start, of, p)
	return p
}

func (ev *evaluator) condition(n *plan.Node, of Bits) Pair {
	switch n.Op {
	case plan.All:
		p := exactly(of)
		for _, kid := range n.Kids {
			p = p.narrowed(ev.holds(kid, p.Possible))
		}
		return p
	case plan.Any:
		var p Pair
		for _, kid := range n.Kids {
			p = p.Or(ev.holds(kid, of.Less(p.Certain)))
		}
		return p
	case plan.Not:
		return exactly(of).Less(ev.holds(n.Kids[0], of))
	case plan.Tie:
		if lookedUp(n) {
			return ev.image(n).And(exactly(of))
		}
	}
	return ev.each(n, of)
}

// each tests thing by thing.
func (ev *evaluator) each(n *plan.Node, of Bits) Pair {
	p := pairFor(of.first, len(of.words))
	for id := range of.All() {
		if ev.brake.stopped() {
			break
		}
		p.put(id, ev.test(n, id).Truth)
	}
	return p
}

// test judges one thing by a condition that is not made of others.
func (ev *evaluator) test(n *plan.Node, id int32) finding {
	switch n.Op {
	case plan.Kind:
		return ev.isOneOf(id, n.Kinds, nil, n.CoverKinds)
	case plan.Adjective:
		return ev.is(n.Noun, id, n.Adjective)
	case plan.Compare:
		return ev.compare(n, id)
	case plan.Has:
		return ev.fieldOf(n, n.Field.Field, id).has(n.Field.Field)
	case plan.Reads:
		return ev.reads(n, id)
	case plan.Inside:
		return ev.inside(n, id)
	case plan.IsUnknown:
		f := ev.fieldOf(n, n.Field.Field, id)
		return known(f.open() || f.maybe() != nil)
	}
	return ev.tied(n, id)
}

// clock is the time, if it is asked how long the nodes take.
func (ev *evaluator) clock() time.Time {
	if ev.actual == nil {
		return time.Time{}
	}
	return ev.brake.now()
}

// note keeps what a node did, if the plan is asked for.
func (ev *evaluator) note(n *plan.Node, start time.Time, of Bits, p Pair) {
	if ev.reasoning {
		return
	}
	ev.did(n, func(a *plan.Actual) {
		a.In += of.Count()
		a.Out += p.Possible.Count()
		a.Took += ev.brake.now().Sub(start)
	})
}

// did adds to what a node did, if the plan is asked for.
func (ev *evaluator) did(n *plan.Node, add func(*plan.Actual)) {
	if ev.actual == nil {
		return
	}
	a := ev.actual[n]
	add(&a)
	ev.actual[n] = a
}

// context ends when what is done has to stop.
func (b *brake) context() (context.Context, context.CancelFunc) {
	if b.until.IsZero() {
		return context.WithCancel(b.ctx)
	}
	return context.WithTimeout(b.ctx, b.until.Sub(b.now()))
}

// byPlace reports whether a relation is judged by place.
func byPlace(r words.Relation) bool {
	return r == words.Under || r == words.Over || r == words.Behind || r == words.Within
}
