package trace

import "iter"

// crossings is which ties a search has crossed. A tie is crossed once, from the
// place that is nearest: from any other it leads to nothing that is new. The one
// exception is a loose place that was come to by copper. To go into a part there
// and come out at the same pin would be a way from one piece of copper to
// another; so the place is left out until the tie is left from elsewhere.
type crossings struct {
	g     *Graph
	state []Place // by tie: fresh, done, or the place that was left out
}

const (
	fresh Place = -1
	done  Place = -2
)

func newCrossings(g *Graph) crossings { return crossings{g, filled[Place](len(g.ties))} }

// cross yields the places that a tie leads to and has not led to before.
func (c crossings) cross(t TieID, from Place) iter.Seq[Place] {
	before, self := c.state[t], c.g.itself(from)
	switch {
	case before >= 0 && before != self:
		c.state[t] = done
		return func(yield func(Place) bool) { yield(before) }
	case before != fresh:
		return func(func(Place) bool) {}
	}
	if c.state[t] = done; self != from {
		c.state[t] = self
	}
	return func(yield func(Place) bool) {
		for _, id := range c.g.enters.of(int32(t)) {
			if p := Place(id); p != c.state[t] && !yield(p) {
				return
			}
		}
	}
}

// itself is the loose place of which a place is the other, or the place.
func (g *Graph) itself(p Place) Place {
	if p > 0 && g.twins[p-1] == p {
		return p - 1
	}
	return p
}
