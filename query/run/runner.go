package run

import (
	"context"
	"fmt"
	"sync/atomic"
	"time"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/words"
)

// Options are limits and the clock.
type Options struct {
	Rows int              // most rows of an answer; 0 is DefaultRows
	Time time.Duration    // longest time to work; 0 is DefaultTime
	Now  func() time.Time // may be called by many goroutines at a time
	Plan plan.Options
}

// The limits unless told otherwise.
const (
	DefaultRows = 10_000
	DefaultTime = 30 * time.Second
)

// Runner answers one question that was checked for one scope after another: all
// boards at once, or board by board, so that not all need be in memory. All
// questions must be the same one.
type Runner struct {
	opt   Options
	start time.Time
	brake *brake
	sum   *Part               // of what was taken
	out   tally               // boards that were left out, by why
	said  int                 // remarks beyond those that are shown
	err   error               // see Err
	full  atomic.Bool         // no more rows are wanted
	bound atomic.Pointer[Row] // none behind this one are
}

// New starts an answer. The time limit counts from now.
func New(opt Options) *Runner {
	if opt.Now == nil {
		opt.Now = time.Now
	}
	if opt.Rows == 0 {
		opt.Rows = DefaultRows
	}
	if opt.Time == 0 {
		opt.Time = DefaultTime
	}
	start := opt.Now()
	return &Runner{
		opt: opt, start: start,
		brake: &brake{ctx: context.Background(), now: opt.Now, until: start.Add(opt.Time), pace: 256},
	}
}

// Run answers a question.
func Run(ctx context.Context, q *check.Question, opt Options) *Answer {
	r := New(opt)
	r.Add(ctx, q)
	return r.Finish()
}

// Add asks the question of the members of its scope. When the context ends or a
// limit is hit, what was found up to there remains.
func (r *Runner) Add(ctx context.Context, q *check.Question) {
	r.Take(r.Ask(ctx, q))
}

// Ask works out what the members of the scope of a question have to say, but for
// jobs, which must wait for their turn: one of them may come with several boards.
// It may be called by many goroutines at a time.
func (r *Runner) Ask(ctx context.Context, q *check.Question) *Part {
	p := newPart(q, r.opt, &brake{ctx: ctx, now: r.opt.Now, until: r.brake.until, pace: r.brake.pace})
	if p.table.bound = r.bound.Load(); r.full.Load() {
		p.table.most = 0
	}
	if p.waits = q.Set != nil && q.Set.Noun() == words.Jobs; !p.waits {
		p.work()
	}
	return p
}

// Take adds a part to the answer. Parts are taken by one goroutine, in order.
func (r *Runner) Take(p *Part) {
	if r.sum == nil && !r.Stopped() && !p.waits && !p.q.Scope.Lenient {
		r.sum = p // mostly it is the only one
	} else if !r.take(p) {
		return
	}
	all := appendNew(r.sum.remarks, p.remarks...)
	r.sum.remarks = all
	if p.q.Scope.Lenient {
		r.sum.remarks = all[:min(len(all), mostRemarks)]
	}
	r.said += len(all) - len(r.sum.remarks)
	r.brake.why, r.err = p.brake.why, p.err
	r.full.Store(r.sum.table.full())
	r.bound.Store(r.sum.table.bound)
}

// take adds a part to those before it. It reports false if no more are wanted.
func (r *Runner) take(p *Part) bool {
	if r.begin(p.q); r.brake.why == "" {
		r.brake.why = r.sum.tooMany()
	}
	if r.Stopped() {
		return false
	}
	if p.waits {
		p.seen = r.sum.seen
		p.work()
	}
	r.sum.take(p)
	return true
}

// HandOver hands the rows that were taken so far to each, if those of the boards
// that follow come after them. The answer will not have them, but counts them.
// They are valid during the call only.
func (r *Runner) HandOver(each func([]Column, []Row) error) error {
	if r.sum == nil || len(r.sum.table.rows) == 0 || !r.sum.q.InOrder() {
		return nil
	}
	return each(r.sum.table.handOver())
}

// mostRemarks is how many remarks an answer of every board has at most: there could be
// as many as boards.
const mostRemarks = 8

// AddNone counts boards that know none of the names that the question asks for,
// so that nothing on them can be in the answer.
func (r *Runner) AddNone(ctx context.Context, q *check.Question, names []string, boards int) {
	if r.brake.ctx = ctx; r.sum == nil {
		r.begin(q)
		r.sum.heads(newFields(r.sum.assembly.evaluator(0)))
	}
	if r.brake.check() {
		return
	}
	for _, name := range names {
		r.sum.absent.add(name, boards)
	}
	r.sum.boards += boards
}

// begin settles the form of the answer.
func (r *Runner) begin(q *check.Question) {
	if r.sum == nil {
		r.sum = newPart(q, r.opt, r.brake)
	}
}

// LeaveOut counts a board that cannot be asked, and says why in the footer.
func (r *Runner) LeaveOut(why string) { r.out.add(why, 1) }

// Stop says that the context has ended before all boards were asked.
func (r *Runner) Stop(ctx context.Context) {
	r.brake.ctx = ctx
	r.brake.check()
}

// Stopped reports whether asking more boards is of no use: the context ended or
// the time is up.
func (r *Runner) Stopped() bool { return r.brake.why != "" }

// Err is a JobError if suspects or tests are asked of a job that cannot be worked out,
// so that there is no answer.
func (r *Runner) Err() error { return r.err }

// Finish puts the answer together. The runner is not to be used afterwards.
func (r *Runner) Finish() *Answer {
	a := &Answer{LeftOut: sortReasons(r.out), Partial: r.brake.why}
	for _, out := range a.LeftOut {
		a.Boards += out.Count
	}
	if r.sum != nil {
		r.sum.finish(a)
		a.inquiry = r.sum.assembly.inquiry
	}
	if r.said > 0 {
		a.Remarks = append(a.Remarks, fmt.Sprintf("and %d more remarks of that sort", r.said))
	}
	a.setUnits()
	a.Took = r.opt.Now().Sub(r.start)
	return a
}
