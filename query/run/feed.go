package run

import (
	"fmt"
	"strings"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/trace"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// from is where the supply comes from if a relation says it, else nil.
func (w *assembly) from(t *traced, r *check.Related) *trace.Bound[trace.Place] {
	if r.Trace.From == nil {
		return nil
	}
	at := w.ends(t.supply, r.Trace.From)
	return &at.Bound
}

// open finds what a supply reaches with and without what a trace begins at. Where
// it comes from is looked for unless it is said.
func (w *assembly) open(t *traced, from *trace.Bound[trace.Place]) {
	t.opened, t.unfed = t.begins, map[trace.Place]string{}
	var cut trace.Bound[trace.TieID]
	for x, truth := range t.opened.things {
		ties := t.ties(x)
		cut.All = append(cut.All, ties...)
		if truth == board.True {
			cut.Sure = append(cut.Sure, ties...)
		}
	}
	if from == nil {
		found := trace.Exactly(w.sources(t, cut))
		from = &found
	}
	t.feed = t.supply.Feed(*from, cut)
}

// ties are what is cut when a pad stays open or a part is lifted.
func (t *traced) ties(x memberThing) []trace.TieID {
	if x.noun == words.Pads {
		return t.supply.OpenPad(trace.Pad{Member: x.member, ID: board.PadID(x.id)})
	}
	if tie, ok := t.supply.OpenPart(x.member, board.PartID(x.id)); ok {
		return []trace.TieID{tie}
	}
	return nil
}

// sources finds what feeds the rails that are cut, rail by rail, and says so.
func (w *assembly) sources(t *traced, cut trace.Bound[trace.TieID]) []trace.Place {
	var places []trace.Place
	var seen []*trace.Reach
	parted := t.parted()
	for _, p := range t.begins.All {
		if !parted[p] || t.supply.Stop(p) == trace.Stops || isIn(seen, p) {
			continue
		}
		rail := []trace.Place{p}
		reach := t.supply.Reach(rail, trace.Ties{All: true})
		seen = append(seen, reach)
		src := t.supply.SourceOf(rail)
		if places = append(places, src.Places...); src.Places == nil {
			t.noSource(w, p, reach, cut)
			continue
		}
		w.remark("the supply is taken to come from " + w.sourceText(t.supply, src, p))
	}
	return places
}

// parted are the places of what takes a way with it: rails of other parts that are
// off stay whole.
func (t *traced) parted() map[trace.Place]bool {
	at := map[trace.Place]bool{}
	for x := range t.opened.things {
		if len(t.ties(x)) > 0 {
			for _, p := range t.places(x) {
				at[p] = true
			}
		}
	}
	return at
}

func isIn(seen []*trace.Reach, p trace.Place) bool {
	for _, r := range seen {
		if r.Has(p) {
			return true
		}
	}
	return false
}

// noSource deals with a rail of which it is not known what feeds it. If the cut
// parts it, each side of it may be the dead one.
func (t *traced) noSource(w *assembly, p trace.Place, rail *trace.Reach, cut trace.Bound[trace.TieID]) {
	many := map[trace.TieID]bool{}
	for _, tie := range cut.All {
		many[tie] = true
	}
	if t.powerOnly && !w.hasPower(t.supply, rail) {
		return
	}
	after := t.supply.Reach([]trace.Place{p}, trace.Ties{Cut: many})
	why := "what feeds " + w.copperName(t.supply, p) + " not known"
	var all []trace.Place
	parted := false
	for q := range trace.Place(t.supply.Places()) {
		if rail.Has(q) && t.supply.Stop(q) != trace.Stops {
			all = append(all, q)
			parted = parted || !after.Has(q)
		}
	}
	if !parted {
		return
	}
	for _, q := range all {
		t.unfed[q] = why
	}
	w.remark(why + "; it can be said: from, and a part or net")
}

// hasPower reports whether a power net is among what is reached.
func (w *assembly) hasPower(s *trace.Supply, r *trace.Reach) bool {
	for p := range trace.Place(s.Places()) {
		if c := s.Copper(p); r.Has(p) && c.Net != board.None && w.site(c.Member).b.Nets[c.Net].Kind == board.Power {
			return true
		}
	}
	return false
}

// sourceText names what feeds a rail.
func (w *assembly) sourceText(s *trace.Supply, src trace.Source, rail trace.Place) string {
	if src.Parts == nil {
		return "outside, by the frame pads on " + w.copperName(s, rail)
	}
	const most = 3
	var texts []string
	for _, p := range src.Parts {
		site := w.site(p.Member)
		part := &site.b.Parts[p.Part]
		texts = append(texts, fmt.Sprintf("%s (%s) on %s", site.nameValue(words.Parts, int32(p.Part)), part.Class, w.copperName(s, p.At)))
	}
	if more := len(texts) - most; more > 0 {
		texts = append(texts[:most], fmt.Sprintf("%d more", more))
	}
	return strings.Join(texts, ", ")
}

// copperName is the branch or net of a place.
func (w *assembly) copperName(s *trace.Supply, p trace.Place) string {
	c := s.Copper(p)
	if c.Branch != board.None {
		return w.site(c.Member).nameValue(words.Branches, int32(c.Branch)).String()
	}
	if c.Net == board.None {
		return "a net that is not sure"
	}
	return w.site(c.Member).nameValue(words.Nets, int32(c.Net)).String()
}

// dead judges whether a thing is missing: it is fed only by what is opened, or
// was lifted itself.
func (t *traced) dead(x memberThing) finding {
	if truth := t.opened.things[x]; truth == board.True {
		return yes
	}
	return t.fedOnly(x)
}

// fedOnly judges whether every way that the supply has to a thing is cut. What
// is not fed at all is not fed only by anything.
func (t *traced) fedOnly(x memberThing) finding {
	surely, possibly := false, false // one of its places is lost
	all, most := true, true          // and none of them stays fed
	for _, p := range t.places(x) {
		if t.supply.Stop(p) == trace.Stops {
			continue
		}
		fate := t.fate(p)
		surely, possibly = surely || fate.Lost, possibly || fate.MayBeLost
		all, most = all && !fate.MayStay, most && !fate.Stays
	}
	switch {
	case surely && all:
		return yes
	case possibly && most:
		return unknown(t.whyUnsure(x))
	}
	return no
}

// fate is what becomes of a place. What may be ground does not count as fed.
func (t *traced) fate(p trace.Place) trace.Fate {
	if t.unfed[p] != "" {
		return trace.Fate{MayBeLost: true, MayStay: true}
	}
	fate := t.feed.Fate(p)
	if t.supply.Stop(p) == trace.MayStop {
		fate.Lost, fate.Stays = false, false
	}
	return fate
}

// whyUnsure is the first reason why it is open what becomes of a thing.
func (t *traced) whyUnsure(x memberThing) string {
	for _, p := range t.places(x) {
		why := t.unfed[p]
		switch stop := t.supply.Stop(p); {
		case stop == trace.Stops || why != "":
		case stop == trace.MayStop:
			why = trace.GroundUnknown
		default:
			why = t.whyOpen(p)
		}
		if why != "" {
			return why
		}
	}
	return trace.BranchUnknown
}

// whyOpen is what leaves it open what becomes of a place: a tie on the way, or
// what is opened.
func (t *traced) whyOpen(p trace.Place) string {
	if why := t.supply.Why(t.feed.Doubt(p)); why != "" {
		return why
	}
	if t.opened.doubt != nil && !t.feed.Fate(p).Stays {
		return t.opened.doubt()
	}
	return ""
}

// carriers yields the parts, nets and branches that are for a function.
func (s *site) carriers(id int32, yield func(thing)) {
	for _, n := range []words.Noun{words.Branches, words.Nets, words.Parts} {
		for x := range int32(s.count(n)) {
			if isFor(s.functionsOf(n, x), s.functions()[id]) {
				yield(thing{n, x})
			}
		}
	}
}

// deadFor are the branches, nets and parts for a function that are dead when
// something is opened.
func (ev *evaluator) deadFor(ties []*plan.Node, id int32) value.Value {
	var list []value.Value
	for _, n := range ties {
		t := ev.traced(n)
		ev.carriers(id, func(x thing) {
			if t.dead(memberThing{ev.member, x}).Truth == board.True {
				list = append(list, ev.nameValue(x.noun, x.id))
			}
		})
	}
	return value.OfList(list)
}
