package run

import (
	"context"
	"time"

	"netlore/query/check"
	"netlore/query/plan"
)

// Evaluate finds both bounds of a question on the first member of its scope,
// without making rows.
func Evaluate(q *check.Question, opt plan.Options) Pair {
	p := plan.Of(q.Set, q.Scope, 0, opt)
	b := &brake{ctx: context.Background(), now: time.Now}
	ev := newEvaluator(newAssembly(q.Scope, opt, b).site(0), p, b)
	return ev.whole(p.Root)
}

// RunImpatiently is Run, and looks at the context for every thing that is tested.
func RunImpatiently(ctx context.Context, q *check.Question, opt Options) *Answer {
	r := New(opt)
	r.brake.pace = 1
	r.Add(ctx, q)
	return r.Finish()
}

// Foreseen is a way in which a proposed test may come out, and the bits that would
// be missing then by what the planner takes it to say.
type Foreseen struct {
	Test string
	Way  Way
	Bits float64
}

// ForeseenOf are the ways of all proposed tests of a job of which the planner knows
// what they say, and the bits that are missing now.
func ForeseenOf(ctx context.Context, scope *check.Scope, i Isolation) (all []Foreseen, now float64, err error) {
	x, err := isolating(ctx, scope, i, nil)
	if err != nil {
		return nil, 0, err
	}
	next, err := x.at.Next(ctx, x.state, x.tools)
	for k := range next.Proposals {
		p := &next.Proposals[k]
		for _, w := range x.ways(p) {
			for outcome, saw := range []bool{false, true} {
				if w.Leaves == left(p.Outcomes[outcome]).sure.String() && w.Steps[len(w.Steps)-1].Wants == "" {
					all = append(all, Foreseen{x.testName(p), w, x.at.With(p.Observation(saw)).In(p.State).Entropy()})
				}
			}
		}
	}
	return all, x.at.Entropy(), err
}

// MissingOf is how many bits of a job are still to find out.
func MissingOf(ctx context.Context, scope *check.Scope, i Isolation) (float64, error) {
	x, err := isolating(ctx, scope, i, nil)
	if err != nil {
		return 0, err
	}
	return x.at.Entropy(), nil
}
