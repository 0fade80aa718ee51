package run

import (
	"slices"

	"netlore/query/check"
	"netlore/query/trace"
	"netlore/query/words"
	"netlore/store/board"
)

// loss is what a device does without while some pads are open and parts are off.
//
// What is fed only by them is without supply. If that takes all the parts that
// may make another rail, that rail may be without supply, too, and so may what is
// on it: only possibly, for which of the parts on a rail makes it is not known.
type loss struct {
	*assembly
	*traced
	fates []map[thing]finding // by member: what is lost, or may be
	rails *rails
}

// lossOf is what is lost without some things.
func (w *assembly) lossOf(supply *trace.Supply, things []memberThing) *loss {
	t := &traced{supply: supply, powerOnly: true, begins: ends{why: map[trace.Place]func() string{}, things: map[memberThing]board.Truth{}}}
	for _, x := range things {
		t.begins.addSure(supply, x)
	}
	w.open(t, nil)
	return w.losing(t)
}

// lossIn is what is lost without what a relation names.
func (w *assembly) lossIn(r *check.Related) *loss {
	t := &traced{supply: w.supply(r.Trace.Passes), powerOnly: true}
	t.begins = w.ends(t.supply, r.Operand)
	w.open(t, w.from(t, r))
	return w.losing(t)
}

// losing is what is lost without what was opened.
func (w *assembly) losing(t *traced) *loss {
	l := &loss{assembly: w, traced: t, rails: w.railsOf(t.supply)}
	for member := range w.scope.Members {
		l.fates = append(l.fates, map[thing]finding{})
		for _, noun := range []words.Noun{words.Nets, words.Branches, words.Parts} {
			for id := range int32(w.site(member).count(noun)) {
				if w.brake.stopped() {
					return l
				}
				l.judge(memberThing{member, thing{noun, id}})
			}
		}
	}
	l.coils()
	for l.cascade() {
	}
	return l
}

// judge finds out whether a thing is off or without supply.
func (l *loss) judge(x memberThing) {
	s := l.site(x.member)
	if x.noun == words.Parts && s.b.Parts[x.id].Unfitted {
		return
	}
	f := l.dead(x)
	switch {
	case f.Truth == board.False:
		return
	case f.Truth == board.Unknown:
	case l.opened.things[x] == board.True:
		f.why = "it is off"
	default:
		f.why = "no other way feeds it"
	}
	l.fates[x.member][x.thing] = f
}

// coils finds the parts that may not do their work because a coil of theirs is off.
// (That a converter has its coil between its pins, or between one of them and what
// it makes, is common practice, no source.)
func (l *loss) coils() {
	for _, x := range l.off() {
		if !l.site(x.member).b.Parts[x.id].Class.Is(board.Inductor) {
			continue
		}
		s := l.site(x.member)
		for first, last := s.b.PinsOf(board.PartID(x.id)); first < last; first++ {
			if net := s.b.Pins[first].Net; net != board.None && s.b.Nets[net].Kind != board.Power && s.b.Nets[net].Kind != board.Ground {
				l.starve(x.member, net, s.nameValue(words.Parts, x.id).String()+" may be its coil")
			}
		}
	}
}

// off are the parts that are surely off, in order.
func (l *loss) off() (all []memberThing) {
	for member := range l.scope.Members {
		for id := range int32(l.site(member).count(words.Parts)) {
			if x := (memberThing{member, thing{words.Parts, id}}); l.opened.things[x] == board.True {
				all = append(all, x)
			}
		}
	}
	return all
}

// cascade finds nets that no part is left to make, and what is on them; what nets of
// power explain they do. It reports whether there are more than before.
func (l *loss) cascade() bool {
	var found [2][]memberThing
	for member := range l.scope.Members {
		b := l.site(member).b
		for id := range b.Nets {
			net := thing{words.Nets, int32(id)}
			if l.fates[member][net].Truth != board.False || l.brake.stopped() {
				continue
			}
			if why, ok := l.unmade(l.traced.supply.Net(nil, member, board.NetID(id))); ok {
				rank := 0
				if b.Nets[id].Kind != board.Power {
					rank = 1
				}
				found[rank] = append(found[rank], memberThing{member, net})
				l.fates[member][net] = unknown(why)
			}
		}
	}
	for _, x := range slices.Concat(found[0], found[1]) {
		l.starve(x.member, board.NetID(x.id), l.site(x.member).nameValue(words.Nets, x.id).String()+" may be without supply")
	}
	return len(found[0])+len(found[1]) > 0
}

// unmade reports whether all that may make a rail is, or may be, off or without
// supply, and why.
func (l *loss) unmade(rail []trace.Place) (why string, ok bool) {
	makers := l.rails.makersOf(rail)
	for _, m := range makers {
		if l.fates[m.member][m.thing].Truth == board.False {
			return "", false
		}
		if why != "" {
			why += ", "
		}
		why += l.site(m.member).nameValue(words.Parts, m.id).String()
	}
	return "nothing else may make it: " + why, len(makers) > 0
}

// starve marks what has a pin on a net as perhaps lost.
func (l *loss) starve(member int, net board.NetID, why string) {
	b := l.site(member).b
	for _, pin := range b.PinsOn(net) {
		part := thing{words.Parts, int32(b.Pins[pin].Part)}
		if at := &b.Parts[part.id]; !at.Unfitted && l.fates[member][part].Truth == board.False {
			l.fates[member][part] = unknown(why)
		}
	}
}

// function judges whether a function of a member is lost: if something that is for
// it is.
func (l *loss) function(member int, id int32) finding {
	f := no
	s := l.site(member)
	s.carriers(id, func(x thing) {
		if of := l.fates[member][x]; of.Truth > f.Truth {
			f = finding{of.Truth, s.nameValue(x.noun, x.id).String() + ": " + of.why}
		}
	})
	return f
}

// addSure adds a thing that is surely meant.
func (e *ends) addSure(supply *trace.Supply, x memberThing) {
	one := bitsFor(int(x.id), int(x.id)+1)
	one.Set(x.id)
	e.add(supply, x, things{noun: x.noun, Pair: Pair{one, one}})
}

// lostWithout is the relation of a question that asks what is lost without
// something.
func lostWithout(q *check.Question) (*check.Related, bool) {
	all, ok := q.Set.(*check.Select)
	if !ok {
		return nil, false
	}
	r, ok := all.Where.(check.Related)
	return &r, ok && r.Relation == words.LostWithout
}
