package run

import (
	"netlore/query/isolate"
	"netlore/query/plan"
	"netlore/query/words"
	"netlore/store/board"
)

// tied judges whether a thing is related to one of the operand.
func (ev *evaluator) tied(n *plan.Node, id int32) finding {
	switch {
	case n.Noun == words.Suspects && ev.suspect(id).fault.Kind == isolate.Elsewhere:
		return unknown(nowhere.why)
	case n.Noun.OfNoBoard():
		return ev.tiedInAny(n, id)
	}
	return ev.tiedHere(n, id)
}

func (ev *evaluator) tiedHere(n *plan.Node, id int32) finding {
	if n.Related.Trace != nil {
		return ev.tiedByTrace(n, id)
	}
	o := ev.operand(n)
	got := finding{Truth: ev.byText(o, n.Noun, id)}
	for i := range o.parts {
		if got.Truth == board.True {
			break
		}
		part := &o.parts[i]
		if byPlace(n.Related.Relation) {
			got = got.or(ev.tiedByPlace(n, thing{n.Noun, id}, part))
		} else if l, ok := linkOf(n.Noun, part.noun); ok {
			got = got.or(ev.tiedByLink(l, thing{n.Noun, id}, part))
		}
	}
	return got
}

// tiedByPlace judges a thing against each of the operand.
func (ev *evaluator) tiedByPlace(n *plan.Node, t thing, part *things) finding {
	if n.Related.Relation == words.Under && t.noun == words.Parts && ev.handy() {
		return ev.tiedByHiders(t.id, part)
	}
	got := no
	for to := range part.Possible.All() {
		if got.Truth == board.True || ev.brake.stopped() {
			break
		}
		h := ev.judge(&n.Related, t, thing{part.noun, to})
		got = got.or(ev.weaken(part, to, finding{h.Truth, h.Why}))
	}
	return got
}

// tiedByHiders looks for those of the operand among the covers that hide a part.
func (ev *evaluator) tiedByHiders(part int32, covers *things) finding {
	got := no
	over := ev.b.Hiders(board.PartID(part))
	for i := range over {
		h := &over[i]
		if c := int32(h.Cover); got.Truth != board.True && covers.Possible.Has(c) {
			got = got.or(ev.weaken(covers, c, finding{h.Truth, h.Why}))
		}
	}
	return got
}

// tiedByLink follows the links of a thing to those of the operand.
func (ev *evaluator) tiedByLink(l link, t thing, part *things) finding {
	got := no
	l.forward(ev.site, t.id, func(to int32, sure bool) {
		if got.Truth == board.True || !part.Possible.Has(to) {
			return
		}
		f := yes
		if !sure {
			f = ev.doubtful(t, thing{part.noun, to})
		}
		got = got.or(ev.weaken(part, to, f))
	})
	return got
}

// doubtful is that a thing may be linked to another.
func (ev *evaluator) doubtful(t, to thing) finding {
	if ev.reasoning {
		return unknown(ev.linkDoubt(t, to))
	}
	return unknown("")
}

// weaken takes into account that a thing may be only possibly one of the
// operand.
func (ev *evaluator) weaken(part *things, id int32, f finding) finding {
	switch {
	case f.Truth != board.True || part.Certain.Has(id):
		return f
	case ev.reasoning:
		return unknown(part.why(id))
	}
	return unknown("")
}

// image is all things that are related to one of the operand, found from there.
func (ev *evaluator) image(n *plan.Node) Pair {
	if p, ok := ev.images[n]; ok {
		return p
	}
	p := newPair(ev.count(n.Noun))
	o := ev.operand(n)
	for i := range o.parts {
		part := &o.parts[i]
		if byPlace(n.Related.Relation) {
			ev.imageByPlace(n, part, p)
		} else if l, ok := linkOf(n.Noun, part.noun); ok {
			ev.imageByLink(n, l, part, p)
		}
	}
	ev.images[n] = p
	return p
}

func (ev *evaluator) imageByLink(n *plan.Node, l link, part *things, p Pair) {
	links := 0
	for to := range part.Possible.All() {
		if ev.brake.stopped() {
			return
		}
		certain := part.Certain.Has(to)
		l.back(ev.site, to, func(id int32, sure bool) {
			links++
			p.Possible.Set(id)
			if sure && certain {
				p.Certain.Set(id)
			}
		})
	}
	if ends := [2]words.Noun{n.Noun, part.noun}; ends == [2]words.Noun{words.Parts, words.Nets} || ends == [2]words.Noun{words.Nets, words.Parts} {
		ev.did(n, func(a *plan.Actual) { a.Pins += links })
	}
}

// imageByPlace judges, for each of the operand, only the things that are near.
// For covers over things it is the covers that look for what is near.
func (ev *evaluator) imageByPlace(n *plan.Node, part *things, p Pair) {
	if n.Related.Relation == words.Over {
		ev.coversOver(n, part, p)
		return
	}
	if n.Related.Relation == words.Under && n.Noun == words.Parts && ev.handy() {
		ev.imageByHiders(part, p)
		return
	}
	for to := range part.Possible.All() {
		list, some := ev.candidates(&n.Related, n.Noun, thing{part.noun, to})
		if !some {
			list = ev.everything(n.Noun)
		}
		for _, id := range list {
			if ev.brake.stopped() {
				return
			}
			if !p.Certain.Has(id) {
				h := ev.judge(&n.Related, thing{n.Noun, id}, thing{part.noun, to})
				p.put(id, ev.weaken(part, to, finding{Truth: h.Truth}).Truth)
			}
		}
	}
}

// imageByHiders is the parts that covers of the operand hide, where that is known.
func (ev *evaluator) imageByHiders(covers *things, p Pair) {
	for c := range covers.Possible.All() {
		for _, h := range ev.b.HiddenBy(board.CoverID(c)) {
			if ev.brake.stopped() {
				return
			}
			p.put(int32(h.Part), ev.weaken(covers, c, finding{Truth: h.Truth}).Truth)
		}
	}
}

func (ev *evaluator) coversOver(n *plan.Node, part *things, p Pair) {
	for c := range int32(ev.count(words.Covers)) {
		list, some := ev.underNear(part.noun, board.CoverID(c))
		if !some {
			list = ev.everything(part.noun)
		}
		for _, to := range list {
			if p.Certain.Has(c) || ev.brake.stopped() {
				break
			}
			if part.Possible.Has(to) {
				h := ev.judge(&n.Related, thing{n.Noun, c}, thing{part.noun, to})
				p.put(c, ev.weaken(part, to, finding{Truth: h.Truth}).Truth)
			}
		}
	}
}

// everything is all ids of a noun.
func (ev *evaluator) everything(n words.Noun) []int32 {
	all := make([]int32, ev.count(n))
	for i := range all {
		all[i] = int32(i)
	}
	return all
}
