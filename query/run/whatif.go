package run

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"netlore/query/check"
	"netlore/query/isolate"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// WhatIf tells how the last steps of a job, which are only supposed, would change what
// may be bad: the suspects that they move most, the likeliest then first.
func WhatIf(ctx context.Context, scope *check.Scope, i Isolation, supposed int) (*Answer, error) {
	then, err := isolating(ctx, scope, i, nil)
	if err != nil {
		return nil, err
	}
	real := *i.Job
	real.Steps = real.Steps[:len(real.Steps)-supposed]
	i.Job, i.Rail = &real, board.Target{Kind: board.OnNet, Role: scope.Members[then.net.member].Role, Name: then.rail}
	now, err := isolating(ctx, scope, i, nil)
	if err != nil {
		return nil, err
	}
	moves := now.movesTo(then)
	a := &Answer{listing: suspectRows, Things: len(moves), Columns: []Column{{Name: "suspect"}, {Name: "now"}, {Name: "then"}, {Name: "what"}, {Name: "side"}, {Name: "cover"}}}
	if !i.Every {
		moves = mostMoved(moves)
	}
	for _, m := range moves {
		a.Rows = append(a.Rows, then.moveRow(m))
	}
	a.Remarks = append(then.comparedTo(now), then.remarks()[1:]...)
	a.setUnits()
	return a, nil
}

// move is how likely a suspect is now and would be then.
type move struct {
	fault     int // of then
	now, then float64
}

// movesTo are all suspects there would be, the likeliest first. What is only there
// then, a second short or a new part that is bad, has no chance now.
func (x *isolation) movesTo(then *isolation) (moves []move) {
	was := make([]float64, x.simple)
	for _, s := range x.at.Suspects() {
		for _, f := range s.Faults {
			if f < x.simple {
				was[f] = s.P
			}
		}
	}
	for _, s := range then.at.Suspects() {
		m := move{fault: s.Faults[0], then: s.P}
		if f := slices.Min(s.Faults); f < x.simple {
			m.now = was[f]
		}
		moves = append(moves, m)
	}
	return moves
}

// mostMoved are the dozen of suspects that move most, in the order of all.
func mostMoved(all []move) (some []move) {
	const most = 12
	by := func(m move) float64 { return math.Abs(m.then - m.now) }
	order := slices.Clone(all)
	slices.SortStableFunc(order, func(a, b move) int { return cmp.Compare(by(b), by(a)) })
	order = order[:min(most, len(order))]
	for _, m := range all {
		if slices.Contains(order, m) && by(m) > 0 {
			some = append(some, m)
		}
	}
	return some
}

func (x *isolation) moveRow(m move) Row {
	s := x.suspected(isolate.Suspect{Faults: []int{m.fault}, P: m.then})
	now := value.Nothing()
	if m.now > 0 {
		now = percent(m.now)
	}
	return Row{ID: board.None, Of: s.member(), Cells: []value.Value{
		value.OfText(x.named(s.fault)), now, percent(m.then), value.OfText(x.what(s.fault)), s.sides().cell(), s.covered(words.Name).cell(),
	}}
}

// comparedTo says how much is left to find out before and after, and how likely what
// is supposed is.
func (x *isolation) comparedTo(now *isolation) []string {
	left := func(x *isolation) string {
		return fmt.Sprintf("%.1f bits to find out, %s share 95%%", x.at.Entropy(), plural(most(x.at.Suspects()), "suspect"))
	}
	all := []string{fmt.Sprintf("%s to ground · now %s; then %s", x.rail, left(now), left(x))}
	if n := len(x.seen) - len(now.seen); n > 0 {
		all = append(all, fmt.Sprintf("it comes out so with a chance of %s", percent(x.at.Foreseen(len(now.seen)))))
	} else {
		all = append(all, "what is supposed tells nothing new")
	}
	return all
}
