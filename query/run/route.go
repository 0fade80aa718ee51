package run

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/trace"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// routeHeads are the columns of a route; the last is for one by resistance only.
func routeHeads(q *check.Question) []string {
	heads := []string{"step", "from", "through", "to", "net", "branch", "resistance"}
	if q.Route.ByResistance {
		return heads
	}
	return heads[:len(heads)-1]
}

// route finds the shortest way that is certain, and the shortest that is
// possible, and adds one of them to the answer.
func (p *Part) route() {
	q, w := p.q, p.assembly
	p.boards += len(q.Scope.Members)
	start := p.brake.now()
	s := w.supply(q.Route.Trace.Passes)
	from, to := w.ends(s, q.Route.From), w.ends(s, q.Route.To)
	find := s.Shortest
	if q.Route.ByResistance {
		find = s.Least
	}
	sure := find(from.Sure, to.Sure, trace.Ties{})
	all := find(from.All, to.All, trace.Ties{All: true})
	way := wayfarer{w, s, from, to, len(routeHeads(q))}
	doubt := ""
	if all != nil {
		doubt = way.doubt(all)
	}
	if p.brake.why != "" {
		return // the ends may not be whole
	}
	shown := sure
	switch {
	case all == nil:
		w.remark("a trace ends at ground and goes through " + strings.TrimPrefix(plan.TraceText(q.Route.Trace), " through ") + "; through any goes through every part")
	case sure == nil:
		p.why.add(doubt, 1)
	case len(all.Ties) < len(sure.Ties) && !q.Route.ByResistance:
		w.remark(fmt.Sprintf("a way of %s is possible: %s", plural(way.steps(all), "step"), doubt))
	}
	if q.Possibly && all != nil {
		shown, p.doubt = all, doubt
	}
	switch {
	case q.PlanOf:
		took, _ := board.NewQuantity(p.brake.now().Sub(start).Microseconds(), -6, board.Second)
		p.table.rows = append(p.table.rows, Row{Cells: []value.Value{
			value.OfText(fmt.Sprintf("%s along %s and %s", plan.RouteText(q.Route), plural(s.Places(), "place"), plural(s.Ties(), "tie"))),
			value.OfCount(1), value.OfCount(min(len(p.why)+1, 1)), value.OfQuantity(took)}, ID: board.None})
	case shown != nil:
		p.things += way.steps(shown)
		p.table.rows = append(p.table.rows, way.rows(shown)...)
		if q.Route.ByResistance {
			w.remark(way.resistance(shown))
		}
	}
}

// wayfarer tells what lies on a route.
type wayfarer struct {
	*assembly
	s        *trace.Supply
	from, to ends
	columns  int
}

// steps is how many parts and joins a route passes.
func (w wayfarer) steps(r *trace.Route) int {
	n := 0
	for _, t := range r.Ties {
		if !w.s.Tie(t).Free {
			n++
		}
	}
	return n
}

// doubt is the first thing on a route that is not sure.
func (w wayfarer) doubt(r *trace.Route) string {
	for i, t := range r.Ties {
		switch {
		case !w.s.Tie(t).Sure:
			return w.s.Why(t)
		case i > 0 && w.s.Stop(r.Places[i]) == trace.MayStop && !w.s.Tie(t).Free:
			return trace.GroundUnknown
		}
	}
	for _, e := range []struct {
		ends
		at trace.Place
	}{{w.from, r.Places[0]}, {w.to, r.Places[len(r.Places)-1]}} {
		if why := e.why[e.at]; why != nil && !slices.Contains(e.Sure, e.at) {
			return why()
		}
	}
	return ""
}

// rows are where a route begins, each part or join that it passes, and where it
// ends if that is a pin or pad.
func (w wayfarer) rows(r *trace.Route) []Row {
	last := r.Places[len(r.Places)-1]
	rows := []Row{w.row(value.OfCount(0), value.Nothing(), value.Nothing(), w.endAt(w.from, r.Places[0]), r.Places[0], value.Nothing())}
	step := 0
	for i, t := range r.Ties {
		if w.s.Tie(t).Free {
			continue
		}
		step++
		c := w.s.Crossing(t)
		from, through, to := w.crossing(c, r.Places[i], r.Places[i+1])
		rows = append(rows, w.row(value.OfCount(step), from, through, to, r.Places[i+1], ohmsOf(w.s.Tie(t).Ohms)))
	}
	if end := w.endAt(w.to, last); end.Kind() == value.Name {
		rows = append(rows, w.row(value.Nothing(), end, value.Nothing(), value.Nothing(), last, value.Nothing()))
	}
	for i := range rows {
		if why := w.rowWhy(r, rows[i].ID); why != "" {
			rows[i].Why = why
		}
		rows[i].ID = board.None
	}
	return rows
}

// rowWhy is the reason why a step is only possible. The row of a step has the
// number of the step for its id until now.
func (w wayfarer) rowWhy(r *trace.Route, step int32) string {
	n := int32(0)
	for _, t := range r.Ties {
		if !w.s.Tie(t).Free {
			n++
		}
		if n == step && !w.s.Tie(t).Sure {
			return w.s.Crossing(t).Why
		}
	}
	return ""
}

func (w wayfarer) row(step, from, through, to value.Value, at trace.Place, ohms value.Value) Row {
	c := w.s.Copper(at)
	site := w.site(c.Member)
	branch := value.Nothing()
	if c.Branch != board.None {
		branch = site.nameValue(words.Branches, int32(c.Branch))
	}
	net := value.Value{}
	if c.Net != board.None {
		net = site.nameValue(words.Nets, int32(c.Net))
	}
	id, _ := step.Bounds()
	cells := []value.Value{step, from, through, to, net, branch, ohms}
	return Row{Cells: cells[:w.columns], Of: site.self, ID: int32(id)}
}

// crossing is where a part or join is entered, what it is, and where it is
// left.
func (w wayfarer) crossing(c trace.Crossing, in, out trace.Place) (from, through, to value.Value) {
	if c.IsJoin() {
		a, b := c.A, c.B
		if !w.s.Same(w.s.Pad(a.Member, a.ID), in) {
			a, b = b, a
		}
		via := value.OfText("join")
		if c.Via != "" {
			via = value.OfName("", c.Via, words.QuoteName(c.Via))
		}
		return w.pad(a), via, w.pad(b)
	}
	site := w.site(c.Member)
	pin := func(at trace.Place) value.Value {
		return site.nameValue(words.Pins, int32(w.s.PinAt(c.Member, c.Part, at)))
	}
	return pin(in), site.nameValue(words.Parts, int32(c.Part)), pin(out)
}

func (w wayfarer) pad(p trace.Pad) value.Value {
	return w.site(p.Member).nameValue(words.Pads, int32(p.ID))
}

// endAt is the pin or pad of an end that is at a place; of a part it is its
// first pin there. Nets and branches are told by the place itself.
func (w wayfarer) endAt(e ends, at trace.Place) value.Value {
	var here []memberThing
	for x := range e.things {
		if x.noun != words.Nets && x.noun != words.Branches && slices.ContainsFunc(placesOf(nil, w.s, x), func(p trace.Place) bool { return w.s.Same(p, at) }) {
			here = append(here, x)
		}
	}
	if here == nil {
		return value.Nothing()
	}
	first := slices.MinFunc(here, func(a, b memberThing) int {
		return cmp.Or(cmp.Compare(a.member, b.member), cmp.Compare(a.noun, b.noun), cmp.Compare(a.id, b.id))
	})
	if first.noun == words.Parts {
		first.thing = thing{words.Pins, int32(w.s.PinAt(first.member, board.PartID(first.id), at))}
	}
	return w.site(first.member).nameValue(first.noun, first.id)
}

func ohmsOf(o trace.Ohms) value.Value {
	if !o.Exact {
		return value.Value{}
	}
	q, _ := board.NewQuantity(o.MicroOhm, -6, board.Ohm)
	return value.OfQuantity(q)
}

// resistance is the sum of what is known along a route.
func (w wayfarer) resistance(r *trace.Route) string {
	sum, open := int64(0), 0
	for _, t := range r.Ties {
		o := w.s.Tie(t).Ohms
		if sum += o.MicroOhm; !o.Exact {
			open++
		}
	}
	q, _ := board.NewQuantity(sum, -6, board.Ohm)
	if open == 0 {
		return "the way has " + q.String()
	}
	return fmt.Sprintf("the way has at least %s: the resistance of %s on it not known", q, plural(open, "part"))
}
