package sequence

import (
	"cmp"
	"math"
	"slices"
)

// End is what it costs to mend a state when no more is asked. The likeliest is tried
// first. If it was sure and is not the true one, that comes to light, and the true
// one is taken to be tried next. Where nothing was sure, they are tried in the order
// of their weights: those before the true one in vain. Where a test mends a state,
// and was made, that costs nothing more.
type End struct {
	Mend float64 // where it is the true one
	Vain float64 // where it is not
	On   Mode    // set-ups that it needs made; they stay
	By   int     // the test that mends it, None if there is none
}

// end is what mending costs in the mean, where no more is asked.
func (s *search) end(b *Belief) float64 {
	if s.problem.Ends == nil {
		return 0
	}
	if !s.isSure(b) {
		return s.oneByOne(b)
	}
	cost, left := s.mends(b)
	top, p := b.Top()
	if e := &s.problem.Ends[top]; !b.isMended(e) {
		cost += (left - p) * (e.Vain + s.toMake(e.On&^b.mode))
	}
	return cost
}

// oneByOne is what it costs in the mean to mend one state after the other.
func (s *search) oneByOne(b *Belief) (cost float64) {
	mode, left := b.mode, 0.0
	for _, i := range s.inOrder(b) {
		left += b.w[i]
	}
	for _, i := range s.order {
		e := &s.problem.Ends[b.states[i]]
		cost += left*s.toMake(e.On&^mode) + b.w[i]*e.Mend
		mode |= e.On
		left = max(left-b.w[i], 0)
		cost += left * e.Vain
	}
	return cost
}

// inOrder are the states that were not mended, in the order of their weights.
func (s *search) inOrder(b *Belief) []int {
	s.order = s.order[:0]
	for i, state := range b.states {
		if !b.isMended(&s.problem.Ends[state]) {
			s.order = append(s.order, i)
		}
	}
	slices.SortStableFunc(s.order, func(i, j int) int { return cmp.Compare(b.w[j], b.w[i]) })
	return s.order
}

// isMended reports whether a test was made that mends a state.
func (b *Belief) isMended(e *End) bool { return e.By != None && b.isMade(e.By) }

// mends is what mending costs in the mean if the true state is tried first, and how
// much weight the states have that were not mended.
func (s *search) mends(b *Belief) (cost, left float64) {
	if s.problem.Ends == nil {
		return 0, 0
	}
	for i, state := range b.states {
		if e := &s.problem.Ends[state]; !b.isMended(e) {
			cost += b.w[i] * (e.Mend + s.toMake(e.On&^b.mode))
			left += b.w[i]
		}
	}
	return cost, left
}

// spares is what mending costs in the mean that a test does.
func (s *scratch) spares(b *Belief, test int) (cost float64) {
	for _, state := range s.facts[test].mends {
		if i, ok := slices.BinarySearch(b.states, state); ok {
			cost += b.w[i] * s.problem.Ends[state].Mend
		}
	}
	return cost
}

// toMake is what it costs to make set-ups, of those that can be made.
func (pl *Planner) toMake(missing Mode) (cost float64) {
	for i := 0; missing != 0; i, missing = i+1, missing>>1 {
		if u := pl.problem.Setups[i].Make; missing&1 == 1 && !math.IsInf(u, 1) {
			cost += u
		}
	}
	return cost
}

// wrongEnd says what is wrong with an end, "" for nothing.
func (p *Problem) wrongEnd(e *End) string {
	switch {
	case !(e.Mend >= 0 && e.Vain >= 0) || math.IsInf(e.Mend+e.Vain, 1):
		return "to mend it must cost a number from 0 on"
	case e.On>>len(p.Setups) != 0:
		return "it needs a set-up that there is not"
	case e.By < None || e.By >= len(p.Tests):
		return "it is mended by a test that there is not"
	}
	return ""
}
