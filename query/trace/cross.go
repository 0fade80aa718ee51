package trace

// crossings is which ties a search has crossed. A tie is crossed once, from the
// place that is nearest: from any other it leads to nothing that is new. The one
// exception is a loose place that was come to by copper. To go into a part there
// and come out at the same pin would be a way from one piece of copper to
// another; so the place is left out until the tie is left from elsewhere.
type crossings struct {
	g     *Graph
	state []Place // by tie: fresh, done, or the place that was left out
	one   []int32 // room for a list of one
}

const (
	fresh Place = -1
	done  Place = -2
)

func newCrossings(g *Graph) crossings {
	return crossings{g, filled[Place](len(g.ties)), make([]int32, 1)}
}

// isDone reports whether nothing is left to cross.
func (c crossings) isDone(t TieID) bool { return c.state[t] == done }

// cross tells the places that a tie leads to and has not led to before: all of the
// list but one. The list holds until the next call.
func (c crossings) cross(t TieID, from Place) (to []int32, but Place) {
	before, self := c.state[t], c.g.itself(from)
	switch {
	case before >= 0 && before != self:
		c.state[t] = done
		c.one[0] = int32(before)
		return c.one, None
	case before != fresh:
		return nil, None
	}
	if c.state[t] = done; self != from {
		c.state[t] = self
	}
	return c.g.enters.of(int32(t)), c.state[t]
}

// itself is the loose place of which a place is the other, or the place.
func (g *Graph) itself(p Place) Place {
	if p > 0 && g.twins[p-1] == p {
		return p - 1
	}
	return p
}
