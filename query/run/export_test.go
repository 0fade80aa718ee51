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
