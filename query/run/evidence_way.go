package run

import (
	"fmt"
	"slices"

	"netlore/query/plan"
	"netlore/query/trace"
	"netlore/query/words"
	"netlore/store/board"
)

// mostSteps is how many steps of a way are told; of a longer one the first and
// the last.
const mostSteps = 10

// step is a part that is passed, or a pad at one side of a join.
type step struct {
	finding
	at    *site
	text  string
	rests []board.Statement
	more  []step // the other side of a join
}

// way tells the way by which a trace comes to a thing, or by which the thing is
// still fed.
func (t *teller) way(n *plan.Node, truth board.Truth, id int32, depth int) {
	tr := t.ev.traced(n)
	route := tr.route(t.ev, n, truth, id)
	if route == nil {
		return
	}
	w := wayfarer{assembly: t.ev.assembly, s: tr.supply}
	var steps []step
	for i, tie := range route.Ties {
		if !w.s.Tie(tie).Free {
			steps = append(steps, w.step(tie, route.Places[i], route.Places[i+1]))
		}
	}
	last := len(steps)
	if last > mostSteps {
		last -= mostSteps / 2
	}
	for i := 0; i < len(steps); i++ {
		if left := last - i; last < len(steps) && i == mostSteps/2 {
			t.add(depth, "…", leastSure(steps[i:last]), plural(left, "more step"))
			i = last
		}
		t.step(fmt.Sprintf("step %d of %d", i+1, len(steps)), steps[i], depth)
	}
}

// leastSure is the finding of the least sure of some steps.
func leastSure(steps []step) finding {
	return slices.MinFunc(steps, func(a, b step) int { return int(a.Truth) - int(b.Truth) }).finding
}

func (t *teller) step(condition string, s step, depth int) {
	t.add(depth, condition, s.finding, s.text, s.rests...)
	t.list[len(t.list)-1].at = s.at
	for _, x := range s.more {
		t.step("and", x, depth)
	}
}

// route is the way to a thing that shows why a relation holds, or why it does
// not; nil if there is none.
func (t *traced) route(ev *evaluator, n *plan.Node, truth board.Truth, id int32) *trace.Route {
	x := memberThing{ev.member, thing{n.Noun, id}}
	switch n.Related.Relation {
	case words.LostWithout:
		var route *trace.Route
		ev.carriers(id, func(c thing) {
			if m := (memberThing{ev.member, c}); route == nil && truth != board.False && t.dead(m).Truth == truth {
				route = t.supplied(m, truth)
			}
		})
		return route
	case words.FedOnlyBy:
		return t.supplied(x, truth)
	}
	if p, steps := t.nearest(t.sure, x); steps >= 0 {
		return t.sure.Way(p)
	}
	if p, steps := t.nearest(t.all, x); steps >= 0 {
		return t.all.Way(p)
	}
	return nil
}

// supplied is the way by which a thing is fed: if it is fed by what is opened
// alone, through that, and else past it.
func (t *traced) supplied(x memberThing, only board.Truth) *trace.Route {
	for _, p := range t.places(x) {
		fate := t.fate(p)
		switch {
		case t.supply.Stop(p) == trace.Stops:
		case only == board.True && fate.Lost:
			return t.feed.Before(p)
		case only != board.True && fate.MayStay:
			if way := t.feed.After(p); way != nil {
				return way
			}
		}
	}
	return nil
}

// step is what is passed from one place to the next, and the statements that
// say so.
func (w wayfarer) step(tie trace.TieID, in, out trace.Place) step {
	c := w.s.Crossing(tie)
	f := yes
	if !w.s.Tie(tie).Sure {
		f = unknown(c.Why)
	}
	switch {
	case !c.IsJoin():
		return w.passed(c, f, in, out)
	case c.B.Member == trace.None:
		return w.touch(c.A, "in from outside at ", f)
	}
	a, b := c.A, c.B
	if !w.s.Same(w.s.Pad(a.Member, a.ID), in) {
		a, b = b, a
	}
	over := "joined to "
	if c.Via != "" {
		over = "joined in " + words.QuoteName(c.Via) + " to "
	}
	from, to := w.touch(a, "from ", f), w.touch(b, over, f)
	to.rests = append(to.rests, board.Statement{Head: w.joinHead(a, b)})
	from.more = []step{to}
	return from
}

// passed is a part between two pieces of copper.
func (w wayfarer) passed(c trace.Crossing, f finding, in, out trace.Place) step {
	from, through, to := w.crossing(c, in, out)
	s := step{finding: f, at: w.site(c.Member), text: fmt.Sprintf("from %s on %s through %s to %s on %s", from, w.copperText(in), through, to, w.copperText(out))}
	if f.why != "" {
		s.text += ": " + f.why
	}
	s.rests = []board.Statement{s.at.statement(thing{words.Parts, int32(c.Part)})}
	for _, p := range []trace.Place{in, out} {
		s.rests = append(s.rests, rungLines(s.at.b.RungPin(w.s.PinAt(c.Member, c.Part, p)))...)
		if net := w.s.Copper(p).Net; net != board.None {
			s.rests = append(s.rests, s.at.onNet(net, c.Part))
		}
		s.rests = append(s.rests, w.branchAt(p)...)
	}
	return s
}

// touch is one side of a join.
func (w wayfarer) touch(p trace.Pad, text string, f finding) step {
	at, s := w.s.Pad(p.Member, p.ID), w.site(p.Member)
	rests := append([]board.Statement{s.statement(thing{words.Pads, int32(p.ID)})}, w.branchAt(at)...)
	rests = append(rests, rungLines(s.b.RungPad(p.ID))...)
	return step{finding: f, at: s, text: fmt.Sprintf("%s%s on %s", text, w.pad(p), w.copperText(at)), rests: rests}
}

// copperText is the branch or net of a place, and what it rests on that it is
// a piece.
func (w wayfarer) copperText(p trace.Place) string {
	c, name := w.s.Copper(p), w.copperName(w.s, p)
	if c.Branch == board.None {
		return name
	}
	if text := w.site(c.Member).pieceText(int32(c.Branch)); text != "" {
		return name + " (" + text + ")"
	}
	return name
}

// branchAt is the statement of the branch at a place, if one is declared.
func (w wayfarer) branchAt(p trace.Place) []board.Statement {
	c := w.s.Copper(p)
	if c.Branch == board.None || w.site(c.Member).pieces()[c.Branch].Basis != board.Declared {
		return nil
	}
	return []board.Statement{w.site(c.Member).statement(thing{words.Branches, int32(c.Branch)})}
}

// joinHead is the line of a join as the canonical sheet has it.
func (w wayfarer) joinHead(a, b trace.Pad) string {
	var ends []string
	for _, p := range []trace.Pad{a, b} {
		s := w.site(p.Member)
		ends = append(ends, board.QuoteName(s.role)+":"+board.QuoteName(s.b.Pads[p.ID].Name))
	}
	slices.SortFunc(ends, board.CompareNatural)
	return "join " + ends[0] + " " + ends[1]
}
