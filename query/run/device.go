package run

import (
	"context"

	"netlore/query/check"
	"netlore/query/isolate"
	"netlore/query/plan"
	"netlore/store/board"
)

// Device is the rail that a target is on as the isolation sees it in a job of which
// nothing is known yet. It is ErrNoRail if the target is on no net.
func Device(ctx context.Context, scope *check.Scope, rail board.Target) (*isolate.Device, error) {
	w := newAssembly(scope, plan.Options{}, &brake{ctx: ctx, pace: 256})
	net, ok := w.netAt(rail)
	if !ok {
		return nil, ErrNoRail
	}
	supply := w.usualSupply()
	return &newBench(w, w.copperOf(supply, net), supply).device, ctx.Err()
}
