package trace

import (
	"cmp"
	"container/heap"
	"slices"
)

// Route is a way from place to place: Ties[i] leads from Places[i] to
// Places[i+1]. There is always one place more than there are ties.
type Route struct {
	Places []Place
	Ties   []TieID
}

// Shortest is the route of the fewest steps from one of some places to one of
// others; nil if there is none. Of routes that are equally short it is the one
// that Reach keeps.
func (g *Graph) Shortest(from, to []Place, ties Ties) *Route {
	r := g.Reach(from, ties)
	best := Place(None)
	for _, p := range to {
		p = r.nearer(p)
		if p != None && (best == None || cmp.Or(cmp.Compare(r.steps[p], r.steps[best]), cmp.Compare(p, best)) < 0) {
			best = p
		}
	}
	return g.back(best, r.by, r.from)
}

// back follows the ties by which a place was come to.
func (g *Graph) back(p Place, by []TieID, from []Place) *Route {
	if p == None {
		return nil
	}
	r := &Route{Places: []Place{p}}
	for ; by[p] != None; p = from[p] {
		r.Ties = append(r.Ties, by[p])
		r.Places = append(r.Places, from[p])
	}
	slices.Reverse(r.Places)
	slices.Reverse(r.Ties)
	return r
}

// cost is what a route costs by resistance: first how many parts are passed of
// whose resistance nothing is known, then the resistance that is known, then
// how long the route is.
type cost struct {
	opaque int32
	ohms   int64
	ties   int32
}

func (c cost) compare(d cost) int {
	return cmp.Or(cmp.Compare(c.opaque, d.opaque), cmp.Compare(c.ohms, d.ohms), cmp.Compare(c.ties, d.ties))
}

func (c cost) plus(t Tie) cost {
	if t.Ohms.Opaque {
		c.opaque++
	}
	c.ohms += t.Ohms.MicroOhm
	c.ties++
	return c
}

// reached is a place in the queue of a search by resistance.
type reached struct {
	cost
	place Place
}

type queue []reached

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	return cmp.Or(q[i].compare(q[j].cost), cmp.Compare(q[i].place, q[j].place)) < 0
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)   { *q = append(*q, x.(reached)) }
func (q *queue) Pop() any {
	last := (*q)[len(*q)-1]
	*q = (*q)[:len(*q)-1]
	return last
}

// Least is the route of the least resistance that is known; nil if there is no
// route. A part of whose resistance nothing is known is passed only where there
// is no other way, and one of which only a bound is known counts as its bound.
// The method is Dijkstra's (Numerische Mathematik 1, 1959), in which a tie is
// crossed once, from the place that is settled first.
func (g *Graph) Least(from, to []Place, ties Ties) *Route {
	s := &settling{g: g, ties: ties, from: filled[Place](len(g.stops)), by: filled[TieID](len(g.stops)),
		best: make([]*cost, len(g.stops)), crossed: newCrossings(g), begun: map[Place]bool{}}
	ends := map[Place]bool{}
	for _, p := range to {
		ends[p] = true
		if twin := g.twins[p]; twin != None {
			ends[twin] = true
		}
	}
	for _, p := range from {
		s.begun[p] = true
		s.reach(p, cost{}, None, None)
	}
	for len(s.queue) > 0 {
		next := heap.Pop(&s.queue).(reached)
		switch {
		case s.best[next.place].compare(next.cost) < 0:
		case ends[next.place]:
			return g.back(next.place, s.by, s.from)
		default:
			s.leave(next)
		}
	}
	return nil
}

// settling is a search by resistance that is under way.
type settling struct {
	g       *Graph
	ties    Ties
	queue   queue
	best    []*cost
	by      []TieID
	from    []Place
	crossed crossings
	begun   map[Place]bool // as in walk
}

// reach takes note of a way to a place, if it is the best so far.
func (s *settling) reach(p Place, c cost, by TieID, from Place) {
	if s.best[p] != nil && s.best[p].compare(c) <= 0 {
		return
	}
	s.best[p], s.by[p], s.from[p] = &c, by, from
	heap.Push(&s.queue, reached{c, p})
}

// leave crosses the ties of a place that was settled; only those of copper if
// the trace ends there.
func (s *settling) leave(at reached) {
	ends := !s.begun[at.place] && s.ties.ends(s.g, at.place)
	for _, id := range s.g.leaves.of(int32(at.place)) {
		t := TieID(id)
		if ends && !s.g.ties[t].Free || !s.ties.crosses(s.g, t) {
			continue
		}
		c := at.plus(s.g.ties[t])
		list, but := s.crossed.cross(t, at.place)
		for _, id := range list {
			to := Place(id)
			if to == but {
				continue
			}
			s.begun[to] = s.begun[to] || s.g.ties[t].Free && s.begun[at.place]
			s.reach(to, c, t, at.place)
		}
	}
}
