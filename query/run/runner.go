package run

import (
	"context"
	"fmt"
	"time"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/words"
	"netlore/store/board"
)

// Options are limits and the clock.
type Options struct {
	Rows int           // most rows of an answer; 0 is DefaultRows
	Time time.Duration // longest time to work; 0 is DefaultTime
	Now  func() time.Time
	Plan plan.Options
}

// The limits unless told otherwise.
const (
	DefaultRows = 10_000
	DefaultTime = 30 * time.Second
)

// Runner answers one question that was checked for one scope after another: all
// boards at once, or board by board, so that not all need be in memory.
type Runner struct {
	opt    Options
	start  time.Time
	brake  *brake
	first  *check.Question // tells the form of the answer
	table  *table
	groups *groups // of an aggregate, else nil
	answer Answer
	why    map[string]int
	absent map[string]int
	out    map[string]int     // boards that were left out, by why
	jobs   map[[2]string]bool // that were seen
	unsaid int                // remarks beyond those that are shown
	whole  int                // branches that are computed
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
		brake: &brake{now: opt.Now, until: start.Add(opt.Time)},
		why:   map[string]int{}, absent: map[string]int{}, out: map[string]int{}, jobs: map[[2]string]bool{},
	}
}

// Run answers a question.
func Run(ctx context.Context, q *check.Question, opt Options) *Answer {
	r := New(opt)
	r.Add(ctx, q)
	return r.Finish()
}

// Add asks the question of the members of its scope. All questions that are
// added must be the same, checked for different scopes. When the context ends
// or a limit is hit, what was found up to there remains.
func (r *Runner) Add(ctx context.Context, q *check.Question) {
	if r.first == nil {
		r.begin(q)
	}
	if r.brake.ctx = ctx; r.brake.check() {
		return
	}
	w := newAssembly(q.Scope, r.opt.Plan, r.brake)
	defer r.remark(w)
	if q.Route != nil {
		r.route(q, w)
		return
	}
	if q.Why != nil {
		r.whyIn(q, w)
		return
	}
	for _, m := range q.Missing {
		r.absent[m.Name] += len(m.Members)
	}
	for i := range q.Scope.Members {
		if r.brake.check() {
			return
		}
		if i == 0 || !ofNoBoard(q.Set.Noun()) {
			r.member(q, w, i)
		}
		if !q.Scope.Members[i].Extra {
			r.answer.Boards++
		}
	}
}

// mostRemarks is how many remarks an answer has at most. On every board there
// could be as many as boards.
const mostRemarks = 8

// remark takes over what is to be said about the answer.
func (r *Runner) remark(w *assembly) {
	all := appendNew(r.answer.Remarks, w.remarks...)
	r.answer.Remarks = all[:min(len(all), mostRemarks)]
	r.unsaid += len(all) - len(r.answer.Remarks)
}

// AddNone counts a board that knows none of the names that the question asks
// for, so that nothing on it can be in the answer.
func (r *Runner) AddNone(ctx context.Context, q *check.Question, names []string) {
	r.brake.ctx = ctx
	if r.first == nil {
		r.begin(q)
		r.heads(newFields(q, newAssembly(q.Scope, r.opt.Plan, r.brake).evaluator(q.Set, 0)))
	}
	if r.brake.stopped() {
		return
	}
	for _, name := range names {
		r.absent[name]++
	}
	r.answer.Boards++
}

// LeaveOut counts a board that cannot be asked, and says why in the footer.
func (r *Runner) LeaveOut(why string) {
	r.out[why]++
	r.answer.Boards++
}

// Stopped reports whether asking more boards is of no use: the context ended or
// the time is up.
func (r *Runner) Stopped() bool { return r.brake.why != "" }

// begin settles the form of the answer.
func (r *Runner) begin(q *check.Question) {
	r.first = q
	if q.Set != nil {
		r.answer.Noun = q.Set.Noun()
	}
	if q.Echo {
		r.answer.Reading = q.Reading
	}
	switch {
	case q.PlanOf:
		r.answer.listing = stepRows
	case q.Why != nil:
		r.answer.listing = reasonRows
	case q.Route != nil:
		r.answer.listing = routeRows
	case q.Aggregate != nil:
		r.groups = newGroups(q)
		r.answer.listing = totalRow
		if q.By != nil {
			r.answer.listing = groupRows
		}
	case q.Possibly:
		r.answer.listing = possibleRows
	}
	r.table = newTable(q, r.opt.Rows)
}

// member asks one member, in pieces, so that what is found before a limit is
// hit can be kept.
func (r *Runner) member(q *check.Question, w *assembly, i int) {
	const piece = 4096
	ev := w.evaluator(q.Set, i)
	if ev.plan.Root.Empty {
		return
	}
	noun := q.Set.Noun()
	fields := newFields(q, ev)
	r.heads(fields)
	all, n := ev.universe(noun), ev.count(noun)
	for first := 0; first < n; first += piece {
		found := ev.set(ev.plan.Root, all.And(rangeBits(n, first, min(first+piece, n))))
		if r.Stopped() || !r.keep(ev, fields, found) {
			break
		}
	}
	if q.PlanOf {
		r.table.addPlan(ev)
	}
}

// heads adds the heads of columns, if there is a row for each thing.
func (r *Runner) heads(f *fields) {
	if r.groups == nil && !r.first.PlanOf {
		r.table.addHeads(f)
	}
}

// keep takes over what was found. It reports false if it was stopped.
func (r *Runner) keep(ev *evaluator, f *fields, found Pair) bool {
	switch {
	case r.groups != nil || r.first.PlanOf:
	case r.first.Possibly:
		r.table.expect(f, found.Maybe().Count())
	default:
		r.table.expect(f, found.Certain.Count())
	}
	for id := range found.Possible.All() {
		if r.brake.stopped() {
			return false
		}
		if f.noun == words.Jobs && r.seenJob(&ev.jobs()[id]) {
			continue
		}
		certain := found.Certain.Has(id)
		why := ""
		if certain && f.noun == words.Branches && int(id) >= len(ev.b.Branches) {
			r.whole++
		}
		if certain {
			r.answer.Things++
		} else {
			why = ev.why(ev.plan.Root, id)
			r.why[why]++
		}
		if !r.first.PlanOf {
			r.row(ev, f, id, certain, why)
		}
	}
	return true
}

// seenJob reports whether a job came with another board already.
func (r *Runner) seenJob(j *board.Job) bool {
	seen := r.jobs[jobKey(j)]
	r.jobs[jobKey(j)] = true
	return seen
}

// row adds a thing to the rows or groups of the answer.
func (r *Runner) row(ev *evaluator, f *fields, id int32, certain bool, why string) {
	places := f.groups(id)
	if len(places) > 1 && certain {
		r.answer.Repeated++
	}
	switch {
	case r.groups != nil:
		r.groups.add(places, f.aggregated(id), certain)
	case certain != r.first.Possibly:
		r.table.add(ev, f, id, places, why)
	}
}

// Finish puts the answer together. The runner is not to be used afterwards.
func (r *Runner) Finish() *Answer {
	a := &r.answer
	if r.first == nil {
		a.Took = r.opt.Now().Sub(r.start)
		a.Partial = r.brake.why
		return a
	}
	if r.groups != nil {
		r.table.rows = r.groups.rows()
		a.Groups = len(r.table.rows)
	}
	a.Columns, a.Rows = r.table.finish()
	a.Limit = r.table.limitHit()
	a.Spots = r.table.spots
	a.Possible = sortReasons(r.why)
	for _, m := range sortReasons(r.absent) {
		a.Missing = append(a.Missing, Absent{m.Why, m.Count})
	}
	a.LeftOut = sortReasons(r.out)
	if r.whole > 0 {
		a.Remarks = append(a.Remarks, fmt.Sprintf("%d computed: whole nets, of which no branch is declared; show basis tells which", r.whole))
	}
	if r.unsaid > 0 {
		a.Remarks = append(a.Remarks, fmt.Sprintf("and %d more remarks of that sort", r.unsaid))
	}
	a.Partial = r.brake.why
	a.setUnits()
	a.Took = r.opt.Now().Sub(r.start)
	return a
}
