package play

import (
	"context"
	"sync"
	"time"

	"netlore/query/isolate"
)

// Chooser says which test comes next on a device. It keeps what it has chosen: the
// same device with the same answers is planned once. Any number of goroutines may
// use it.
type Chooser struct {
	Bench isolate.Bench
	// Plans says that tests are planned. Else the test is made that tells most,
	// whatever it costs.
	Plans bool

	mu     sync.Mutex
	chosen map[string]*isolate.Test
	took   []time.Duration
}

// Took is how long each plan took.
func (c *Chooser) Took() []time.Duration { return c.took }

// choose is the test after the answers of a path, nil for none.
func (c *Chooser) choose(ctx context.Context, at *isolate.Case, s isolate.State, path string) (*isolate.Test, error) {
	c.mu.Lock()
	test, ok := c.chosen[path]
	c.mu.Unlock()
	if ok {
		return test, nil
	}
	start := time.Now()
	plan, err := c.next(ctx, at, s)
	if err != nil || ctx.Err() != nil {
		return nil, err
	}
	if x := c.best(plan.Proposals); x != nil {
		test = &x.Test
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.chosen == nil {
		c.chosen = map[string]*isolate.Test{}
	}
	c.chosen[path] = test
	c.took = append(c.took, time.Since(start))
	return test, nil
}

// best is the proposal that is taken, nil if there is none.
func (c *Chooser) best(all []isolate.Proposal) (best *isolate.Proposal) {
	for i := range all {
		if best == nil || !c.Plans && all[i].Bits > best.Bits {
			best = &all[i]
		}
	}
	return best
}

func (c *Chooser) next(ctx context.Context, at *isolate.Case, s isolate.State) (isolate.Plan, error) {
	if c.Plans {
		return at.Next(ctx, s, c.Bench)
	}
	// Where all costs the same and nothing is looked ahead, most per cost is most.
	stopped, stop := context.WithCancel(ctx)
	stop()
	b := c.Bench
	one := isolate.Cost{Minutes: 1}
	b.Costs = isolate.Costs{Feed: one, Tape: one, Read: one, Inject: one, Look: one, Lift: one}
	return at.Next(stopped, s, b)
}
