package trace

// Ties says which ties of a graph a search crosses.
type Ties struct {
	All   bool           // also those that are not sure
	Cut   map[TieID]bool // none of these
	Avoid *Reach         // and come to no place that this comes to
}

// crosses reports whether a tie is crossed.
func (t Ties) crosses(g *Graph, id TieID) bool { return (t.All || g.ties[id].Sure) && !t.Cut[id] }

// ends reports whether a trace that did not begin at a place ends there. Then it
// goes no further than the copper of which the place may be a piece.
func (t Ties) ends(g *Graph, p Place) bool {
	return g.stops[p] == Stops || g.stops[p] == MayStop && !t.All
}

// Reach is what a search from some places comes to.
type Reach struct {
	g     *Graph
	steps []int32 // fewest steps; -1 where nothing leads
	by    []TieID // by which tie the place was come to, None at the beginning
	from  []Place // and from where
	doubt []TieID // the first tie on the way that is not sure, or None; or GroundDoubt
}

// GroundDoubt stands in place of a tie where a way passes what may be ground.
const GroundDoubt TieID = -2

// Reach finds all that the places lead to, in the fewest steps. It looks at
// every place and tie once, so its time is that of the size of what it reaches.
// Of ways that are equally short it keeps the one that comes first in the order
// of places and ties.
func (g *Graph) Reach(from []Place, ties Ties) *Reach {
	w, now := g.begin(from, ties)
	for steps := int32(0); len(now) > 0; steps++ {
		now = w.step(steps, now)
	}
	return w.Reach
}

// begin is a search that has come no further than where it begins.
func (g *Graph) begin(from []Place, ties Ties) (w *walk, now []Place) {
	n := len(g.stops)
	w = &walk{
		Reach: &Reach{g, filled[int32](n), filled[TieID](n), filled[Place](n), filled[TieID](n)},
		ties:  ties, crossed: newCrossings(g), begun: make([]bool, n), cut: make([]bool, len(g.ties)),
	}
	for t, is := range ties.Cut {
		if is && t != None {
			w.cut[t] = true
		}
	}
	for _, p := range from {
		w.begun[p] = true
		if w.steps[p] < 0 {
			w.steps[p] = 0
			now = append(now, p)
		}
	}
	return w, now
}

// walk is a search that is under way.
type walk struct {
	*Reach
	ties    Ties
	crossed crossings
	begun   []bool // of each place: the trace begins there, or at what may be one piece with it
	cut     []bool // of each tie
}

// crosses reports whether a tie is crossed.
func (w *walk) crosses(t TieID) bool { return !w.cut[t] && (w.ties.All || w.g.ties[t].Sure) }

// step leaves all places that are so many steps away, and gives those that are
// one step further. Copper that may be one piece is no step.
func (w *walk) step(steps int32, now []Place) (next []Place) {
	for i := 0; i < len(now); i++ {
		p := now[i]
		ends := !w.begun[p] && w.ties.ends(w.g, p)
		for _, id := range w.g.leaves.of(int32(p)) {
			t := TieID(id)
			if w.crossed.isDone(t) || ends && !w.g.ties[t].Free || !w.crosses(t) {
				continue
			}
			now, next = w.over(t, p, steps, now, next)
		}
	}
	return next
}

// over crosses a tie. What may be one piece with the place it leaves is added to
// now, all else to next.
func (w *walk) over(t TieID, p Place, steps int32, now, next []Place) (_, _ []Place) {
	free := w.g.ties[t].Free
	list, but := w.crossed.cross(t, p)
	for _, id := range list {
		switch to := Place(id); {
		case to == but:
		case free && w.come(to, p, t, steps):
			now = append(now, to)
		case !free && w.come(to, p, t, steps+1):
			next = append(next, to)
		}
	}
	return now, next
}

// come comes to a place by a tie, and reports whether that is news.
func (w *walk) come(p, from Place, t TieID, steps int32) bool {
	if w.steps[p] >= 0 && w.steps[p] <= steps || w.ties.Avoid != nil && w.ties.Avoid.Has(p) {
		return false
	}
	tie := w.g.ties[t]
	w.steps[p], w.by[p], w.from[p], w.doubt[p] = steps, t, from, w.doubt[from]
	if tie.Free && w.begun[from] {
		w.begun[p] = true
	}
	switch {
	case w.doubt[p] != None:
	case w.g.stops[from] == MayStop && !w.begun[from] && !tie.Free:
		w.doubt[p] = GroundDoubt
	case !tie.Sure:
		w.doubt[p] = t
	}
	return true
}

// Has reports whether the place is reached.
func (r *Reach) Has(p Place) bool { return r.nearer(p) != None }

// Steps is how many steps away the place is, -1 if it is not reached.
func (r *Reach) Steps(p Place) int {
	if p = r.nearer(p); p == None {
		return -1
	}
	return int(r.steps[p])
}

// By is the last tie on the way to the place, and the place before it: None if
// the trace begins there or does not reach it. Copper that may be one piece is
// no tie that is told here.
func (r *Reach) By(p Place) (TieID, Place) {
	for p = r.nearer(p); p != None && r.by[p] != None; p = r.from[p] {
		if !r.g.ties[r.by[p]].Free {
			return r.by[p], r.from[p]
		}
	}
	return None, None
}

// Doubt is the first tie on the way to the place that is not sure, or
// GroundDoubt; None if all is sure.
func (r *Reach) Doubt(p Place) TieID {
	if p = r.nearer(p); p == None {
		return None
	}
	return r.doubt[p]
}

// nearer is the place, or the other of a loose one if that is nearer; None if
// neither is reached.
func (r *Reach) nearer(p Place) Place {
	twin := r.g.twins[p]
	switch {
	case twin != None && r.steps[twin] >= 0 && (r.steps[p] < 0 || r.steps[twin] < r.steps[p]):
		return twin
	case r.steps[p] < 0:
		return None
	}
	return p
}

// filled is n times None.
func filled[T ~int32](n int) []T {
	list := make([]T, n)
	for i := range list {
		list[i] = None
	}
	return list
}

// Way is the way to the place; nil if it is not reached.
func (r *Reach) Way(p Place) *Route { return r.g.back(r.nearer(p), r.by, r.from) }

// Begin is where the way to the place begins; None if it is not reached.
func (r *Reach) Begin(p Place) Place {
	p = r.nearer(p)
	for p != None && r.by[p] != None {
		p = r.from[p]
	}
	return p
}
