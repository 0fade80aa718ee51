package run

import (
	"fmt"

	"netlore/query/check"
	"netlore/query/words"
	"netlore/store/board"
)

// Part is what the members of one scope have to say to a question, or those of
// all scopes up to one.
type Part struct {
	q        *check.Question
	assembly *assembly
	brake    *brake
	table    *table
	groups   *groups // of an aggregate, else nil

	things   int // that are certain
	repeated int // that stand in more than one group
	boards   int
	whole    int // branches that are whole nets
	apart    int // branches that tracks leave, and that may be one
	why      tally
	absent   tally
	remarks  []string
	judged   []judged    // see Answer
	texts    board.Texts // in the rows and groups of several boards
	doubt    string

	err   error              // a JobError; there is no answer then
	waits bool               // it is worked out when it is taken
	seen  map[[2]string]bool // the jobs that were seen
}

func newPart(q *check.Question, opt Options, b *brake) *Part {
	p := &Part{
		q: q, brake: b, assembly: newAsked(q, opt.Plan, b), table: newTable(q, opt.Rows),
	}
	if q.Aggregate != nil {
		p.groups = newGroups(q)
	}
	if q.Set != nil && q.Set.Noun() == words.Jobs {
		p.seen = map[[2]string]bool{}
	}
	return p
}

// work asks the members.
func (p *Part) work() {
	if p.brake.check() {
		return
	}
	if p.err = p.assembly.inquire(p.q.Inquiry()); p.err == nil && p.brake.why == "" {
		p.ask()
	}
	p.remarks = p.assembly.remarks
	if p.q.Scope.Lenient {
		p.forget()
	}
}

// forget lets go of all that is known of the boards: the parts of many of them wait
// for their turn.
func (p *Part) forget() {
	q := *p.q
	q.Scope = &check.Scope{Stack: q.Scope.Stack, Lenient: q.Scope.Lenient}
	p.q, p.assembly = &q, nil
}

func (p *Part) ask() {
	switch q := p.q; {
	case q.Route != nil:
		p.route()
	case q.Why != nil:
		p.whyIn()
	default:
		for _, m := range q.Missing {
			p.absent.add(m.Name, len(m.Members))
		}
		p.members()
	}
}

func (p *Part) members() {
	for i := range p.q.Scope.Members {
		if p.brake.check() {
			return
		}
		if i == 0 || !p.q.Set.Noun().OfNoBoard() {
			p.member(i)
		}
		if !p.q.Scope.Members[i].Extra {
			p.boards++
		}
	}
}

// member asks one member, in pieces, so that what is found before a limit is
// hit can be kept.
func (p *Part) member(i int) {
	const piece = 4096
	ev := p.assembly.evaluator(i)
	if ev.plan.Root.Empty {
		return
	}
	noun := p.q.Set.Noun()
	fields := newFields(ev)
	p.heads(fields)
	all, n := ev.mayBeIn(ev.plan.Root), ev.count(noun)
	for first := 0; first < n; first += piece {
		of := all.window(first/64, (first+piece)/64).trimmed()
		if of.Empty() {
			continue
		}
		found := ev.set(ev.plan.Root, of)
		if p.brake.why != "" || !p.keep(ev, fields, found) {
			break
		}
	}
	if p.q.PlanOf {
		p.table.addPlan(ev)
	}
}

// heads adds the heads of columns, if there is a row for each thing.
func (p *Part) heads(f *fields) {
	if p.groups == nil && !p.q.PlanOf {
		p.table.addHeads(f)
	}
}

// keep takes over what was found. It reports false if it was stopped.
func (p *Part) keep(ev *evaluator, f *fields, found Pair) bool {
	p.expect(f, found)
	for id := range found.Possible.All() {
		if p.brake.stopped() {
			return false
		}
		if f.noun == words.Jobs && p.seenJob(&ev.jobs()[id]) {
			continue
		}
		if !p.thing(ev, f, id, found.Certain.Has(id)) {
			return false
		}
	}
	return true
}

// expect makes room for the rows of what was found.
func (p *Part) expect(f *fields, found Pair) {
	switch {
	case p.groups != nil || p.q.PlanOf:
	case p.q.Possibly:
		p.table.expect(f, found.Maybe().Count())
	default:
		p.table.expect(f, found.Certain.Count())
	}
}

// thing takes over one thing. If it is stopped on the way, what it would say of
// the thing may be wrong: then nothing is taken and it reports false.
func (p *Part) thing(ev *evaluator, f *fields, id int32, certain bool) bool {
	why := ""
	if !certain {
		why = ev.why(ev.plan.Root, id)
	}
	if !p.q.PlanOf {
		p.row(ev, f, id, certain, why)
	}
	switch {
	case p.brake.why != "":
		return false
	case !certain:
		p.why.add(why, 1)
		return true
	case f.noun == words.Branches && ev.pieces()[id].Whole():
		p.whole++
	case f.noun == words.Branches && ev.pieces()[id].Basis == board.Apart:
		p.apart++
	}
	p.things++
	return true
}

// seenJob reports whether a job came with another board already.
func (p *Part) seenJob(j *board.Job) bool {
	seen := p.seen[jobKey(j)]
	p.seen[jobKey(j)] = true
	return seen
}

// mostGroups is how many groups an aggregate has at most, unless more rows are
// asked for, so that one by the names of all pins of all boards fits into memory.
const mostGroups = 100_000

// tooMany is why to stop if there are too many groups, or "".
func (p *Part) tooMany() string {
	if p.groups == nil || len(p.groups.list) <= max(mostGroups, p.table.most) {
		return ""
	}
	return fmt.Sprintf("stopped at %d groups", len(p.groups.list))
}

// row adds a thing to the rows or groups, unless it is stopped.
func (p *Part) row(ev *evaluator, f *fields, id int32, certain bool, why string) {
	if p.brake.why == "" {
		p.brake.why = p.tooMany()
	}
	places, whole := f.groups(id), f.aggregated(id)
	switch {
	case p.brake.why != "":
		return
	case p.groups != nil:
		p.groups.add(places, whole, certain)
	case certain != p.q.Possibly:
		p.table.add(ev, f, id, places, why)
	}
	if len(places) > 1 && certain && p.brake.why == "" {
		p.repeated++
	}
}

// take adds what follows in order.
func (p *Part) take(next *Part) {
	p.things += next.things
	p.repeated += next.repeated
	p.boards += next.boards
	p.whole += next.whole
	p.why.addAll(next.why)
	p.absent.addAll(next.absent)
	p.judged = append(p.judged, next.judged...)
	if next.doubt != "" {
		p.doubt = next.doubt
	}
	var keep func(string) string
	if next.q.Scope.Lenient {
		keep = p.texts.Keep // else the answer would hold every board that was asked
	}
	if p.table.take(next.table, keep); p.groups != nil {
		p.groups.take(next.groups, keep)
	}
}

// tally is how often there is what; nil if there is nothing.
type tally map[string]int

func (c *tally) add(what string, n int) {
	if *c == nil {
		*c = tally{}
	}
	(*c)[what] += n
}

func (c *tally) addAll(more tally) {
	for what, n := range more {
		c.add(what, n)
	}
}

// listing is what the rows are.
func (p *Part) listing() listing {
	switch q := p.q; {
	case q.PlanOf:
		return stepRows
	case q.Why != nil:
		return reasonRows
	case q.Route != nil:
		return routeRows
	case q.By != nil && q.Aggregate != nil:
		return groupRows
	case q.Aggregate != nil:
		return totalRow
	case q.Possibly:
		return possibleRows
	}
	return certainRows
}

// finish puts it all into an answer.
func (p *Part) finish(a *Answer) {
	if p.q.Set != nil {
		a.Noun = p.q.Set.Noun()
	}
	if p.q.Echo {
		a.Reading = p.q.Reading
	}
	if p.groups != nil {
		if p.table.rows = p.groups.rows(); a.Partial != "" {
			p.table.rows = p.groups.soFar()
		}
		a.Groups = len(p.table.rows)
	}
	a.listing, a.judged, a.doubt, a.Remarks = p.listing(), p.judged, p.doubt, p.remarks
	a.Things, a.Repeated, a.Spots = p.things, p.repeated, p.table.spots
	a.Boards += p.boards
	a.Columns, a.Rows = p.table.finish()
	a.Handed = p.table.handed
	a.Limit = p.table.limitHit()
	a.Possible = sortReasons(p.why)
	for _, m := range sortReasons(p.absent) {
		a.Missing = append(a.Missing, Absent{m.Why, m.Count})
	}
	if p.whole > 0 {
		a.Remarks = append(a.Remarks, fmt.Sprintf("%d computed: whole nets, of which no branch is declared; show basis tells which", p.whole))
	}
	if p.apart > 0 {
		a.Remarks = append(a.Remarks, fmt.Sprintf("%d computed from tracks, which do not join them; whether a plane does is not known; show basis tells more", p.apart))
	}
}
