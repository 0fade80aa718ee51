package run

import (
	"strconv"

	"netlore/query/plan"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// statement is the statement of a sheet that makes a thing.
func (s *site) statement(t thing) board.Statement {
	switch t.noun {
	case words.Pins:
		pin := &s.b.Pins[t.id]
		if pin.Net != board.None && s.rung(t) == nil {
			return s.onNet(pin.Net, pin.Part)
		}
		return s.statement(thing{words.Parts, int32(pin.Part)})
	case words.Parts, words.Nets, words.Pads, words.Covers, words.Branches, words.Jobs:
		return board.Statement{Head: t.noun.Singular() + " " + board.QuoteName(s.name(t.noun, t.id))}
	case words.Observations:
		o := s.observed(t.id)
		return stepOf(o.job.ID, o.Number)
	case words.Suspects:
		for _, p := range s.suspect(t.id).pieces {
			if p.member == s.member {
				return s.statement(p.thing)
			}
		}
	case words.Boards:
		return board.Statement{Head: "board " + board.QuoteName(s.b.Name)}
	}
	return board.Statement{}
}

// stepOf is the line of a step in its job.
func stepOf(job string, number int) board.Statement {
	return board.Statement{Head: "job " + board.QuoteName(job), Member: strconv.Itoa(number)}
}

// onNet is the line that puts the pins of a part on a net.
func (s *site) onNet(net board.NetID, part board.PartID) board.Statement {
	return board.Statement{Head: "net " + board.QuoteName(s.b.Nets[net].Name), Member: board.QuoteName(s.b.Parts[part].Name)}
}

// tie tells what a thing is related to, or that it is to none.
func (t *teller) tie(n *plan.Node, f finding, id int32, depth int) {
	if n.Related.Trace != nil {
		t.add(depth, n.Text(), f, t.ev.followedText(n, f, id), t.ev.statement(thing{n.Noun, id}))
		t.way(n, f.Truth, id, depth+1)
		return
	}
	on, part, to, found := t.ev.witness(n, id)
	if !found {
		t.add(depth, n.Text(), f, t.ev.lone(n, f, id), t.ev.statement(thing{n.Noun, id}))
		return
	}
	because, rests := on.evidence(n, thing{n.Noun, id}, thing{part.noun, to})
	if f.Truth == board.Unknown && part.noun == words.Branches {
		because = f.why
	}
	t.add(depth, n.Text(), f, because, rests...)
	for _, set := range n.Kids {
		if on == t.ev && set.Noun == part.noun && t.ev.truth(set, to) != board.False {
			t.set(set, to, depth+1)
			return
		}
	}
}

// followedText says how a trace comes to a thing, or that it does not.
func (ev *evaluator) followedText(n *plan.Node, f finding, id int32) string {
	switch r := n.Related.Relation; {
	case f.Truth == board.Unknown:
		return f.why
	case r == words.FedOnlyBy && f.Truth == board.True:
		return "nothing else feeds it"
	case r == words.LostWithout && f.Truth == board.True:
		return "dead without them: " + ev.deadFor([]*plan.Node{n}, id).String()
	case r == words.LostWithout:
		return "nothing that does it is dead without them"
	case r == words.FedOnlyBy && ev.traced(n).route(ev, n, f.Truth, id) == nil:
		return "no supply reaches it"
	case r == words.FedOnlyBy:
		return "it is fed another way too"
	case f.Truth == board.False:
		return "no trace reaches it"
	}
	steps := ev.away([]*plan.Node{n}, id).cell().String()
	if steps == "0" {
		return "it is on the same copper"
	}
	if steps += " steps"; steps == "1 steps" {
		steps = "1 step"
	}
	return "reached in " + steps + ", the last through " + ev.last([]*plan.Node{n}, id).String()
}

// witness is one of the operand that a thing is related to: the first that it is
// certainly related to, else the first that it may be.
func (ev *evaluator) witness(n *plan.Node, id int32) (on *evaluator, part *things, to int32, found bool) {
	members := []*evaluator{ev}
	if n.Noun.OfNoBoard() {
		members = ev.all()
	}
	best := board.False
	for _, m := range members {
		o := m.operand(n)
		for i := range o.parts {
			p := &o.parts[i]
			for x := range p.Possible.All() {
				if truth := m.related(n, id, p, x).Truth; truth > best {
					on, part, to, best = m, p, x, truth
				}
			}
		}
	}
	return on, part, to, best != board.False
}

// related judges a thing against one of the operand.
func (ev *evaluator) related(n *plan.Node, id int32, part *things, to int32) finding {
	if byPlace(n.Related.Relation) {
		h := ev.judge(&n.Related, thing{n.Noun, id}, thing{part.noun, to})
		return ev.weaken(part, to, finding{h.Truth, h.Why})
	}
	l, ok := linkOf(n.Noun, part.noun)
	if !ok {
		return no
	}
	got := no
	l.forward(ev.site, id, func(x int32, sure bool) {
		if x == to {
			f := yes
			if !sure {
				f = ev.doubtful(thing{n.Noun, id}, thing{part.noun, to})
			}
			got = got.or(ev.weaken(part, to, f))
		}
	})
	return got
}

// lone says what a thing is related to instead, where that is short.
func (ev *evaluator) lone(n *plan.Node, f finding, id int32) string {
	if f.Truth == board.Unknown {
		return f.why
	}
	have := words.NoField
	switch {
	case n.Related.Relation == words.Within:
		if near := ev.nearest([]*plan.Node{n}, id); near.um != farAway {
			return ev.nameValue(near.noun, near.id).String() + " is " + board.Millimetres(near.um).String() + " away"
		}
		return "nothing of it is on its side"
	case n.Related.Relation == words.CulpritIn:
		have = words.Culprit
	case f.Truth == board.True && n.Noun == words.Pads:
		have = words.Group
	case f.Truth == board.True:
		return ""
	case n.Related.Relation == words.On || n.Related.Relation == words.Of:
		have = words.NetOf
	case n.Related.Relation == words.Under:
		have = words.CoverOf
	case n.Related.Relation == words.In:
		have = words.Group
	}
	field := words.FieldByID(n.Noun, have)
	if field == nil {
		return ""
	}
	cell := ev.fact(field, id).cell()
	switch {
	case cell.Missing() && have == words.CoverOf:
		return "none of them hides it"
	case cell.Kind() == value.Unknown:
		return ""
	case cell.Kind() == value.None:
		return "it has no " + field.Word
	}
	return "its " + field.Word + " is " + cell.String()
}

// evidence says how a thing is related to another, and by which statements.
func (ev *evaluator) evidence(n *plan.Node, t, to thing) (string, []board.Statement) {
	name, other := ev.nameValue(t.noun, t.id).String(), ev.saidName(to)
	var rests []board.Statement
	if t.noun != words.Readings && t.noun != words.Expected && t.noun != words.Notes {
		rests = append(rests, ev.statement(t))
	}
	switch n.Related.Relation {
	case words.Under:
		return ev.hidingText(other, ev.judge(&n.Related, t, to)), append(rests, ev.statement(to))
	case words.Over:
		return ev.hidingText(name, ev.judge(&n.Related, t, to)) + " (" + other + ")", append(rests, ev.statement(to))
	case words.Behind:
		return "it lies behind " + other, append(rests, ev.statement(to))
	case words.Within:
		um, _ := ev.distance(t, to)
		return "it is " + board.Millimetres(um).String() + " from " + other, append(rests, ev.statement(to))
	case words.CulpritIn:
		return "culprit " + other, append(rests, ev.statement(to))
	}
	if r := ev.rungBetween(t, to); r != nil {
		return rungEvidence(r), append(rests, rungLines(r)...)
	}
	if pin, net, ok := ev.pinBetween(t, to); ok {
		return ev.b.PinName(pin) + " is on " + ev.b.Nets[net].Name, []board.Statement{ev.onNet(net, ev.b.Pins[pin].Part)}
	}
	if to.noun == words.Branches {
		if text := ev.pieceText(to.id); text != "" {
			other += " (" + text + ")"
		}
	}
	return "it is " + n.Related.Relation.String() + " " + other, rests
}

// hidingText says how much a cover hides.
func (ev *evaluator) hidingText(cover string, h board.Hiding) string {
	switch {
	case h.Truth == board.Unknown:
		return h.Why
	case h.Partly:
		return cover + " hides a part of it"
	}
	return cover + " hides it"
}

// saidName is the name of a thing, or what a statement is about.
func (s *site) saidName(t thing) string {
	if t.noun == words.Readings || t.noun == words.Expected || t.noun == words.Notes {
		return "a statement about " + bareTarget(s.targets(t.noun, int(t.id))[0])
	}
	return s.nameValue(t.noun, t.id).String()
}

// pinBetween is the pin that ties a part or pin to a net.
func (s *site) pinBetween(a, b thing) (pin board.PinID, net board.NetID, ok bool) {
	if a.noun == words.Nets {
		a, b = b, a
	}
	if b.noun != words.Nets {
		return 0, 0, false
	}
	net = board.NetID(b.id)
	switch a.noun {
	case words.Pins:
		return board.PinID(a.id), net, s.b.Pins[a.id].Net == net
	case words.Parts:
		first, last := s.b.PinsOf(board.PartID(a.id))
		for pin := first; pin < last; pin++ {
			if s.b.Pins[pin].Net == net {
				return pin, net, true
			}
		}
	}
	return 0, 0, false
}
