package run

import (
	"maps"
	"slices"

	"netlore/query/plan"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// fieldOf is what is known of a field, as a node of a plan asks for it.
func (ev *evaluator) fieldOf(n *plan.Node, f *words.Field, id int32) fact {
	switch f.ID {
	case words.Distance:
		return distanceFact(ev.nearest([]*plan.Node{n.Near}, id))
	case words.Away:
		return ev.away([]*plan.Node{n.Followed}, id)
	}
	return ev.fact(f, id)
}

// distanceFact is how far a thing is from its nearest neighbour. It is open if
// another may be nearer.
func distanceFact(n neighbour) fact {
	switch shown := value.OfQuantity(board.Millimetres(n.um)); {
	case n.why == "" && n.um == farAway:
		return fact{}
	case n.why == "":
		return fact{sure: shown}
	case n.um == farAway:
		return fact{gap: &gap{open: true, why: n.why}}
	default:
		return fact{gap: &gap{open: true, why: n.why, shown: shown}}
	}
}

// neighbour is the nearest of some things: none if it is farAway. Why says what
// is missing if another may be nearer.
type neighbour struct {
	thing
	um  int32
	why string
}

// nearest is which of the things that ties are to is nearest to a thing.
func (ev *evaluator) nearest(ties []*plan.Node, id int32) neighbour {
	got := neighbour{um: farAway}
	var unsure map[string]int32 // by what is missing, the least distance
	for _, tie := range ties {
		parts := ev.operand(tie).parts
		for i := range parts {
			if one := ev.nearestOf(tie, &parts[i], &unsure, thing{tie.Noun, id}); one.um < got.um {
				got = one
			}
		}
	}
	if len(unsure) == 0 {
		return got // as a rule
	}
	for _, why := range slices.Sorted(maps.Keys(unsure)) {
		if unsure[why] < got.um {
			got.why = why
		}
	}
	return got
}

// nearestOf is the nearest of things of one noun. It is looked for as far as the
// relation goes, where it is as a rule; else everywhere.
func (ev *evaluator) nearestOf(tie *plan.Node, part *things, unsure *map[string]int32, t thing) neighbour {
	got := neighbour{um: farAway}
	look := func(o int32) { ev.approach(&got, unsure, t, part, o) }
	const few = 8 // are looked at in less time than it takes to look around
	count := part.Possible.Count()
	most, _ := board.Micrometres(tie.Related.Distance)
	if count > few {
		list, some := ev.around(t, part.noun, most)
		ev.brake.worked(len(list))
		for _, o := range list {
			if part.Possible.Has(o) {
				look(o)
			}
		}
		if some && got.um <= most {
			return got // what is further away cannot be nearer
		}
	}
	ev.brake.worked(count)
	for o := range part.Possible.All() {
		look(o)
	}
	return got
}

// around are the things of a noun that may be no further from a thing than that,
// in natural order; false if that is not told by their places.
func (s *site) around(t thing, n words.Noun, most int32) ([]int32, bool) {
	if n != words.Parts && n != words.Pins && n != words.Pads {
		return nil, false
	}
	o, _ := s.outline(t)
	list, some := s.near(n, o, most)
	slices.Sort(list)
	return list, some
}

// approach takes one more thing into account.
func (ev *evaluator) approach(got *neighbour, unsure *map[string]int32, t thing, part *things, id int32) {
	other := thing{part.noun, id}
	if ev.same(t, other) {
		return
	}
	um, why := ev.distance(t, other)
	if why == "" && !part.Certain.Has(id) {
		why = part.why(id)
	}
	if why == "" {
		if um < got.um {
			got.thing, got.um = other, um
		}
		return
	}
	if *unsure == nil {
		*unsure = map[string]int32{}
	}
	if least, ok := (*unsure)[why]; !ok || um < least {
		(*unsure)[why] = um
	}
}

// hides is how many of the things that ties are to lie under a cover.
func (ev *evaluator) hides(ties []*plan.Node, cover int32) value.Value {
	truths := map[thing]board.Truth{}
	for _, tie := range ties {
		for _, part := range ev.operand(tie).parts {
			for o := range part.Possible.All() {
				t := thing{part.noun, o}
				h := ev.covers(board.CoverID(cover), t)
				f := ev.weaken(&part, o, finding{Truth: h.Truth})
				truths[t] = max(truths[t], f.Truth)
			}
		}
	}
	counts := [board.True + 1]int{}
	for _, truth := range truths {
		counts[truth]++
	}
	return value.Between(counts[board.True], counts[board.True]+counts[board.Unknown])
}

// spot reports whether a thing was judged by its place alone.
func (ev *evaluator) spot(t thing) bool {
	o, _ := ev.outline(t)
	return !o.Zero() && isSpot(o)
}

// usesPlace reports whether a condition on the things themselves, or on those
// of a sub-question, is judged by place.
func usesPlace(n *plan.Node) bool {
	if n.Op == plan.Tie && byPlace(n.Related.Relation) {
		return true
	}
	for _, kid := range n.Kids {
		if n.Op != plan.Tie && usesPlace(kid) {
			return true
		}
	}
	return false
}
