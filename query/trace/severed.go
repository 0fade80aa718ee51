package trace

import (
	"math"
	"slices"
)

// Never is that a place is reached whatever is cut.
const Never = math.MaxInt32

// Severed tells of each place how many of some cuts, made one after the other, it
// takes until nothing reaches it: 0 if nothing reaches it anyway, and Never if it
// is reached after all of them. Each cut is of some ties more, which are parts and
// joins: not Free.
//
// It goes backwards: with everything cut it finds what is reached, then puts back
// the ties of one cut after the other and goes on from there. So all cuts
// together take about as long as one Reach.
func (g *Graph) Severed(from []Place, ties Ties, cuts [][]TieID) []int32 {
	w, now := g.begin(from, ties)
	back := make([][]TieID, len(cuts))
	for i, cut := range cuts {
		for _, t := range cut {
			if !w.cut[t] {
				w.cut[t] = true
				back[i] = append(back[i], t)
			}
		}
	}
	at := w.spread(nil, now, Never)
	for i, ties := range slices.Backward(back) {
		at = w.spread(at, w.restore(ties, int32(len(at)-1)), int32(i+1))
	}
	severed := make([]int32, len(g.stops))
	for p, step := range w.steps {
		if step >= 0 {
			severed[p] = at[step]
		}
	}
	for p, twin := range g.twins {
		if twin != None {
			severed[p] = max(severed[p], severed[twin])
		}
	}
	return severed
}

// spread goes as far as it can. To what is known of each step it adds those that
// it takes.
func (w *walk) spread(at []int32, now []Place, what int32) []int32 {
	for len(now) > 0 {
		now = w.step(int32(len(at)), now)
		at = append(at, what)
	}
	return at
}

// restore puts ties back, and gives the places that are come to by them, one step
// further than some steps.
func (w *walk) restore(ties []TieID, steps int32) (next []Place) {
	for _, t := range ties {
		if w.cut[t] = false; !w.crosses(t) {
			continue
		}
		for _, id := range w.g.enters.of(int32(t)) {
			for _, p := range [2]Place{Place(id), w.g.twins[id]} {
				if p != None && w.steps[p] >= 0 && w.steps[p] <= steps && (w.begun[p] || !w.ties.ends(w.g, p)) {
					_, next = w.over(t, p, steps, nil, next)
				}
			}
		}
	}
	return next
}
