package run

import (
	"slices"

	"netlore/query/check"
	"netlore/query/value"
	"netlore/query/words"
)

// table collects the rows of an answer, no more of them than will be shown.
type table struct {
	noun       words.Noun
	heads      []string
	by         int    // how many columns come from the groups
	byDown     []bool // of each of them
	result     int    // column of an aggregate that groups are sorted by first, or -1
	resultDown bool   // and that downwards
	down       []bool // of each sort key
	possibly   bool
	most       int // rows to show
	asked      int // rows asked for with `first`; 0 for all
	handed     int // rows that were handed over
	dropped    bool
	spots      int
	last       *Member // of the last row
	several    bool    // rows are of several boards
	stack      bool
	rows       []Row
	bound      *Row          // no row behind it will be shown; nil if there is none such
	made       []Row         // of the last thing
	slab       []value.Value // room for the cells of more rows
}

func newTable(q *check.Question, limit int) *table {
	t := &table{
		by: len(q.By), possibly: q.Possibly, most: limit, asked: q.First,
		stack: q.Scope.Stack != "", result: -1,
	}
	if t.asked > 0 {
		t.most = min(t.most, t.asked)
	}
	if q.Set != nil {
		t.noun = q.Set.Noun()
	}
	switch {
	case q.Why != nil:
		t.heads, t.by = append([]string{q.Set.Noun().Singular()}, reasonHeads...), 0
	case q.PlanOf:
		t.heads, t.by = planHeads, 0
	case q.Route != nil:
		t.heads = routeHeads(q)
	case q.Aggregate != nil:
		t.heads = aggregateHeads(q)
		t.groupOrder(q)
	default:
		t.groupOrder(q)
		for _, by := range q.By {
			t.heads = append(t.heads, by.Word)
		}
		for _, key := range q.Sort {
			t.down = append(t.down, key.Down)
		}
	}
	return t
}

// groupOrder is upwards unless a group is to be sorted down.
func (t *table) groupOrder(q *check.Question) {
	t.byDown = make([]bool, len(q.By))
	for i, by := range q.By {
		for _, key := range q.Sort {
			t.byDown[i] = t.byDown[i] || key.Down && !key.Aggregate && key.Field.ID == by.ID
		}
	}
	for _, key := range q.Sort {
		if key.Aggregate {
			t.result, t.resultDown = len(q.By), key.Down
		}
	}
}

// slack is how many rows are kept beyond twice those to be shown.
const slack = 1024

// ordered reports whether rows are in another order than they come in.
func (t *table) ordered() bool { return len(t.down) > 0 || t.by > 0 }

// full reports whether no row that is added will be shown.
func (t *table) full() bool { return !t.ordered() && t.handed+len(t.rows) >= t.most }

// add adds a thing, once for each group that it is in.
func (t *table) add(ev *evaluator, f *fields, id int32, places [][]value.Value, why string) {
	if t.full() {
		t.dropped = true
		return
	}
	spot := f.spot(id)
	t.made = t.made[:0]
	for i, place := range places {
		r := Row{Cells: place, Of: ev.rowOf(f.noun, id), ID: id, Why: why, keys: f.sortKeys(id), spot: spot && i == 0}
		if t.beyond(&r) {
			t.dropped = true
			continue
		}
		r.Cells = t.rowOf(f, id, place, why)
		t.made = append(t.made, r)
	}
	if ev.brake.why != "" {
		return // a cell may be wrong
	}
	t.note(ev.self)
	if spot {
		t.spots++
	}
	for i := range t.made {
		t.put(&t.made[i])
	}
}

// put adds a row that may be shown.
func (t *table) put(r *Row) {
	t.rows = append(t.rows, *r)
	if n := len(t.rows); n > 2*t.most+slack || n == t.most && t.ordered() {
		t.cut()
	}
}

// note takes note of the board of a row.
func (t *table) note(m *Member) {
	t.several = t.several || t.last != nil && t.last != m && t.last.Board != m.Board
	t.last = m
}

// beyond reports whether there are enough rows that come before one.
func (t *table) beyond(r *Row) bool { return t.bound != nil && t.compare(*r, *t.bound) >= 0 }

// take adds the rows of a table of what follows in order. The texts of those
// that may be shown are replaced by what keep makes of them; if that is nil, they
// stay.
func (t *table) take(next *table, keep func(string) string) {
	t.dropped = t.dropped || next.dropped
	t.spots += next.spots
	if len(t.heads) <= t.by {
		t.heads = next.heads
	}
	if next.last != nil && (t.ordered() || t.rows == nil) {
		t.several = t.several || next.several
		t.note(next.last)
	}
	if t.rows == nil && keep == nil && len(next.rows) <= t.most {
		t.rows, t.bound = next.rows, next.bound
		return
	}
	for i := range next.rows {
		r := &next.rows[i]
		if t.full() {
			t.drop(next.rows[i:])
			return
		}
		if next.last != nil {
			t.note(r.Of)
		}
		if t.beyond(r) {
			t.dropped = true
			continue
		}
		r.Cells, r.keys = value.Kept(r.Cells, keep), value.Kept(r.keys, keep)
		t.put(r)
	}
}

// drop counts rows that are not put in.
func (t *table) drop(rows []Row) {
	t.dropped = true
	for i := range rows {
		if rows[i].spot {
			t.spots--
		}
	}
}

// cut sorts the rows and drops those that will not be shown.
func (t *table) cut() {
	if t.ordered() && !slices.IsSortedFunc(t.rows, t.compare) { // boards that follow each other mostly are
		slices.SortStableFunc(t.rows, t.compare)
	}
	if len(t.rows) > t.most {
		t.rows = slices.Clone(t.rows[:t.most])
		t.dropped = true
		t.pack()
	}
	if t.ordered() && len(t.rows) == t.most {
		last := t.rows[t.most-1]
		t.bound = &last
	}
}

// addHeads adds the heads of the columns that come from things.
func (t *table) addHeads(f *fields) {
	if len(t.heads) > t.by {
		return
	}
	t.heads = slices.Grow(t.heads, len(f.columns)+1)
	for _, c := range f.columns {
		t.heads = append(t.heads, c.name)
	}
	if t.possibly {
		t.heads = append(t.heads, "why only possible")
	}
}

// compare orders rows by group, then by what they are to be sorted by. Those
// that are equal stay in natural order.
func (t *table) compare(a, b Row) int {
	if t.result >= 0 {
		if c := directed(t.resultDown)(a.Cells[t.result], b.Cells[t.result]); c != 0 {
			return c
		}
	}
	for i := range t.by {
		if c := directed(t.byDown[i])(a.Cells[i], b.Cells[i]); c != 0 {
			return c
		}
	}
	for i, down := range t.down {
		if c := directed(down)(a.keys[i], b.keys[i]); c != 0 {
			return c
		}
	}
	return 0
}

func directed(down bool) func(a, b value.Value) int {
	if down {
		return value.CompareDown
	}
	return value.Compare
}

// limitHit is the limit if it dropped rows that were asked for.
func (t *table) limitHit() int {
	if t.dropped && (t.asked == 0 || t.asked > t.most) {
		return t.most
	}
	return 0
}

// finish gives the columns and rows. Rows of several boards, which have no
// roles to tell them apart, say which board they are of.
func (t *table) finish() ([]Column, []Row) {
	t.cut()
	heads := t.heads
	several := t.several && !t.stack && !slices.Contains(heads, "board")
	if several {
		heads = slices.Insert(slices.Clone(heads), t.by+1, "board")
	}
	if several {
		t.addBoards()
	}
	columns := make([]Column, len(heads))
	for i, head := range heads {
		columns[i] = Column{Name: head}
	}
	return columns, t.rows
}

// handOver gives what finish would give up to here, and lets go of it. The rows
// say which board they are of, as more boards may follow.
func (t *table) handOver() ([]Column, []Row) {
	t.several = true
	columns, rows := t.finish()
	t.handed += len(rows)
	t.rows, t.slab = nil, nil
	return columns, rows
}
