package run

import (
	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/trace"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// traced is what following a supply has found for one relation of a question,
// on all members.
type traced struct {
	supply *trace.Supply
	begins ends
	at     []trace.Place // see places
	// Of joined to and leading to: what is surely and what is possibly reached.
	sure, all *trace.Reach
	// Of fed only by and lost without.
	feed   *trace.Feed
	opened ends                   // parts that are lifted are in it
	unfed  map[trace.Place]string // places of rails of which it is not known what feeds them, and why that matters
	// powerOnly says that nobody asks what feeds a rail without a power net.
	powerOnly bool
}

// ends are the places that a trace leads from.
type ends struct {
	trace.Bound[trace.Place]
	why    map[trace.Place]func() string // of those that are only possible
	things map[memberThing]board.Truth
	doubt  func() string // why the first of them is only possible; nil if all are certain
}

type memberThing struct {
	member int
	thing
}

// traced follows the trace of a relation, once for all members.
func (ev *evaluator) traced(n *plan.Node) *traced {
	if ev.lastTraced.node != n {
		ev.lastTraced.node, ev.lastTraced.traced = n, ev.findTraced(n)
	}
	return ev.lastTraced.traced
}

func (ev *evaluator) findTraced(n *plan.Node) *traced {
	r := &n.Related
	if len(n.Kids) > 0 {
		ev.operand(n) // so that the plan tells what was found
	}
	if t, ok := ev.assembly.traces[r.Trace]; ok {
		return t
	}
	t := ev.follow(r)
	if ev.assembly.traces == nil {
		ev.assembly.traces = map[*check.Trace]*traced{}
	}
	ev.assembly.traces[r.Trace] = t
	return t
}

func (ev *evaluator) follow(r *check.Related) *traced {
	t := &traced{supply: ev.assembly.supply(r.Trace.Passes)}
	t.begins = ev.assembly.ends(t.supply, r.Operand)
	var cut map[trace.TieID]bool
	switch r.Relation {
	case words.FedOnlyBy, words.LostWithout:
		ev.assembly.open(t, ev.assembly.from(t, r))
		return t
	case words.LeadingTo:
		cut = t.supply.Joins()
	}
	t.sure = t.supply.Reach(t.begins.Sure, trace.Ties{Cut: cut})
	t.all = t.supply.Reach(t.begins.All, trace.Ties{All: true, Cut: cut})
	return t
}

// ends are the places of an operand on all members.
func (w *assembly) ends(supply *trace.Supply, o check.Operand) ends {
	e := ends{why: map[trace.Place]func() string{}, things: map[memberThing]board.Truth{}}
	for member := range w.scope.Members {
		ev := newEvaluator(w.site(member), plan.OfOperand(o, w.scope, member, w.opt), w.brake)
		var named operand
		ev.addOperand(&named, o)
		for _, part := range named.parts {
			for id := range part.Possible.All() {
				e.add(supply, memberThing{member, thing{part.noun, id}}, part)
			}
		}
	}
	return e
}

// add adds a thing of an operand.
func (e *ends) add(supply *trace.Supply, t memberThing, of things) {
	truth, why := board.Unknown, func() string { return of.why(t.id) }
	if of.Certain.Has(t.id) {
		truth = board.True
	} else if e.doubt == nil {
		e.doubt = why
	}
	e.things[t] = max(e.things[t], truth)
	for _, p := range placesOf(nil, supply, t) {
		e.All = append(e.All, p)
		switch {
		case truth != board.True:
			e.why[p] = why
		case t.noun == words.Parts && supply.Stop(p) == trace.MayStop: // then it is no place of the part
			e.why[p] = func() string { return trace.GroundUnknown }
		default:
			e.Sure = append(e.Sure, p)
		}
	}
}

// placesOf appends the places of a thing to a list. Where a trace would surely end
// at once is no place of a part.
func placesOf(list []trace.Place, s *trace.Supply, t memberThing) []trace.Place {
	one := trace.Place(trace.None)
	switch t.noun {
	case words.Nets:
		return s.Net(list, t.member, board.NetID(t.id))
	case words.Parts:
		return s.Part(list, t.member, board.PartID(t.id))
	case words.Pins:
		one = s.Pin(t.member, board.PinID(t.id))
	case words.Pads:
		one = s.Pad(t.member, board.PadID(t.id))
	case words.Branches:
		return s.Branch(list, t.member, board.BranchID(t.id))
	}
	if one == trace.None {
		return list
	}
	return append(list, one)
}

// places are the places of a thing, until it is asked for those of another.
func (t *traced) places(x memberThing) []trace.Place {
	t.at = placesOf(t.at[:0], t.supply, x)
	return t.at
}

// tiedByTrace judges a thing by what was found.
func (ev *evaluator) tiedByTrace(n *plan.Node, id int32) finding {
	t := ev.traced(n)
	switch n.Related.Relation {
	case words.FedOnlyBy:
		return t.fedOnly(memberThing{ev.member, thing{n.Noun, id}})
	case words.LostWithout:
		f := no
		ev.carriers(id, func(x thing) { f = f.or(t.dead(memberThing{ev.member, x})) })
		return f
	}
	return t.reached(memberThing{ev.member, thing{n.Noun, id}})
}

// reached judges whether a thing is reached.
func (t *traced) reached(x memberThing) finding {
	f := no
	for _, p := range t.places(x) {
		switch {
		case t.sure.Has(p):
			return yes
		case t.all.Has(p):
			f = f.or(unknown(t.doubt(p)))
		}
	}
	return f
}

// doubt is why it is not sure that a place is reached.
func (t *traced) doubt(p trace.Place) string {
	if why := t.supply.Why(t.all.Doubt(p)); why != "" {
		return why
	}
	if why := t.begins.why[t.all.Begin(p)]; why != nil {
		return why()
	}
	return trace.BranchUnknown
}

// nearest is the place of a thing that is nearest, by what is sure or by all.
func (t *traced) nearest(r *trace.Reach, x memberThing) (trace.Place, int) {
	best, steps := trace.Place(trace.None), -1
	for _, p := range t.places(x) {
		if n := r.Steps(p); n >= 0 && (steps < 0 || n < steps) {
			best, steps = p, n
		}
	}
	return best, steps
}

// away is how many steps a thing is from the nearest of those that some ties
// are traced to. It is open if it may be nearer.
func (ev *evaluator) away(ties []*plan.Node, id int32) fact {
	sure, all, why := -1, -1, ""
	for _, n := range ties {
		t := ev.traced(n)
		x := memberThing{ev.member, thing{n.Noun, id}}
		if _, steps := t.nearest(t.sure, x); steps >= 0 && (sure < 0 || steps < sure) {
			sure = steps
		}
		if p, steps := t.nearest(t.all, x); steps >= 0 && (all < 0 || steps < all) {
			all, why = steps, t.doubt(p)
		}
	}
	switch {
	case all < 0:
		return fact{}
	case sure == all:
		return count(all)
	case sure < 0:
		return fact{gap: &gap{open: true, why: why, shown: value.OfCount(all)}}
	}
	return fact{gap: &gap{open: true, why: why, shown: value.Between(all, sure)}}
}

// last is the last part or pad that a trace passes on the way to a thing: what
// is sure before what is possible.
func (ev *evaluator) last(ties []*plan.Node, id int32) value.Value {
	best, got := -1, value.Nothing()
	for _, n := range ties {
		t := ev.traced(n)
		x := memberThing{ev.member, thing{n.Noun, id}}
		reach := t.sure
		p, steps := t.nearest(reach, x)
		if steps < 0 {
			reach = t.all
			p, steps = t.nearest(reach, x)
		}
		if steps < 0 || best >= 0 && steps >= best {
			continue
		}
		best, got = steps, value.Nothing()
		if tie, _ := reach.By(p); tie != trace.None {
			got = ev.assembly.crossingName(t.supply.Crossing(tie), ev.member)
		}
	}
	return got
}

// crossingName is the part that was passed, or the pad of a member at which a
// trace came to it.
func (w *assembly) crossingName(c trace.Crossing, member int) value.Value {
	switch {
	case !c.IsJoin():
		return w.site(c.Member).nameValue(words.Parts, int32(c.Part))
	case c.A.Member == member:
		return w.site(member).nameValue(words.Pads, int32(c.A.ID))
	}
	return w.site(c.B.Member).nameValue(words.Pads, int32(c.B.ID))
}
