package trace

// Bound is what is certainly and what is possibly meant: Sure is in All.
type Bound[T comparable] struct{ Sure, All []T }

// Exactly is a bound of which nothing is open.
func Exactly[T comparable](list []T) Bound[T] { return Bound[T]{list, list} }

// Feed is what a supply reaches before and after ties are cut. Cutting a set of
// ties is not the same as cutting each: four pads side by side feed a piece of
// copper, and no single one alone does. So the set is cut as a whole, and what
// it alone feeds is what was reached before and is not afterwards: the set
// dominates it. That takes two searches for each bound, in the time of the size
// of the graph.
type Feed struct {
	sureBefore          *Reach
	allBefore           *Reach
	sureAfter, allAfter *Reach
	dead                *Reach // what hangs on a cut tie and is not surely fed from elsewhere
}

// Feed finds what the sources reach before and after a cut. With what is sure
// as few ties as can be are crossed, and as many cut; with all it is the other
// way round.
func (g *Graph) Feed(sources Bound[Place], cut Bound[TieID]) *Feed {
	few, many := set(cut.Sure), set(cut.All)
	f := &Feed{
		sureBefore: g.Reach(sources.Sure, Ties{}),
		allBefore:  g.Reach(sources.All, Ties{All: true}),
		sureAfter:  g.Reach(sources.Sure, Ties{Cut: many}),
		allAfter:   g.Reach(sources.All, Ties{All: true, Cut: few}),
	}
	var ends []Place
	for _, t := range cut.All {
		for _, id := range g.enters.of(int32(t)) {
			if p := Place(id); g.stops[p] != Stops && !f.sureAfter.Has(p) {
				ends = append(ends, p)
			}
		}
	}
	f.dead = g.Reach(ends, Ties{All: true, Cut: few, Avoid: f.sureAfter})
	return f
}

func set(list []TieID) map[TieID]bool {
	s := map[TieID]bool{}
	for _, t := range list {
		s[t] = true
	}
	return s
}

// Fate is what becomes of a place when ties are cut: it is lost if it was fed
// before and is not any more, and it stays if it is fed all the same.
type Fate struct {
	Lost, MayBeLost bool
	Stays, MayStay  bool
}

// Fate is what becomes of a place. A place may be lost only if it hangs on a cut
// tie by a way all of which may be dead: from a place on the way that is surely
// fed it would be fed, too.
func (f *Feed) Fate(p Place) Fate {
	lost := f.sureBefore.Has(p) && !f.allAfter.Has(p)
	return Fate{
		Lost:      lost,
		MayBeLost: lost || f.allBefore.Has(p) && f.dead.Has(p) && !f.sureAfter.Has(p),
		Stays:     f.sureAfter.Has(p),
		MayStay:   f.allAfter.Has(p),
	}
}

// Before is the way by which a place is surely fed before the cut; nil if there
// is none.
func (f *Feed) Before(p Place) *Route { return f.sureBefore.Way(p) }

// After is a way by which a place is fed after the cut: a sure one if there is
// one, else one that is possible; nil if there is none.
func (f *Feed) After(p Place) *Route {
	if way := f.sureAfter.Way(p); way != nil {
		return way
	}
	return f.allAfter.Way(p)
}

// Doubt is the first tie on a way to the place that is not sure and leaves it
// open what becomes of it, or GroundDoubt; None if that is not what is missing.
func (f *Feed) Doubt(p Place) TieID {
	for _, r := range []*Reach{f.allAfter, f.dead, f.allBefore} {
		if t := r.Doubt(p); t != None {
			return t
		}
	}
	return None
}
