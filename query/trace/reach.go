package trace

// Ties says which ties of a graph a search crosses.
type Ties struct {
	All   bool           // also those that are not sure
	Cut   map[TieID]bool // none of these
	Avoid *Reach         // and come to no place that this comes to
}

// crosses reports whether a tie is crossed.
func (t Ties) crosses(g *Graph, id TieID) bool { return (t.All || g.ties[id].Sure) && !t.Cut[id] }

// Reach is what a search from some places comes to.
type Reach struct {
	g     *Graph
	steps []int32 // fewest steps; -1 where nothing leads
	by    []TieID // by which tie the place was come to, None at the beginning
	from  []Place // and from where
	doubt []TieID // the first tie on the way that is not sure, or None
}

// Reach finds all that the places lead to, in the fewest steps. It looks at
// every place and tie once, so its time is that of the size of what it reaches.
// Of ways that are equally short it keeps the one that comes first in the order
// of places and ties.
func (g *Graph) Reach(from []Place, ties Ties) *Reach {
	n := len(g.stops)
	r := &Reach{g, filled[int32](n), filled[TieID](n), filled[Place](n), filled[TieID](n)}
	crossed := make([]bool, len(g.ties))
	begins := map[Place]bool{}
	var now []Place
	for _, p := range from {
		begins[p] = true
		if r.steps[p] < 0 {
			r.steps[p] = 0
			now = append(now, p)
		}
	}
	for steps := int32(0); len(now) > 0; steps++ {
		var next []Place
		for i := 0; i < len(now); i++ { // ties that are no step add to now
			p := now[i]
			if g.stops[p] && !begins[p] {
				continue
			}
			for _, id := range g.leaves.of(int32(p)) {
				t := TieID(id)
				if crossed[t] || !ties.crosses(g, t) {
					continue
				}
				crossed[t] = true
				if g.ties[t].Free {
					now = r.cross(p, t, steps, now, ties.Avoid)
				} else {
					next = r.cross(p, t, steps+1, next, ties.Avoid)
				}
			}
		}
		now = next
	}
	return r
}

// cross comes to the places of a tie that were not come to before.
func (r *Reach) cross(from Place, t TieID, steps int32, list []Place, avoid *Reach) []Place {
	for _, id := range r.g.enters.of(int32(t)) {
		p := Place(id)
		if r.steps[p] >= 0 && r.steps[p] <= steps || avoid != nil && avoid.Has(p) {
			continue
		}
		r.steps[p], r.by[p], r.from[p], r.doubt[p] = steps, t, from, r.doubt[from]
		if r.doubt[p] == None && !r.g.ties[t].Sure {
			r.doubt[p] = t
		}
		list = append(list, p)
	}
	return list
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

// Doubt is the first tie on the way to the place that is not sure, None if all
// are.
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

// Begin is where the way to the place begins; None if it is not reached.
func (r *Reach) Begin(p Place) Place {
	p = r.nearer(p)
	for p != None && r.by[p] != None {
		p = r.from[p]
	}
	return p
}
