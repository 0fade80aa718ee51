package run

import (
	"slices"
	"strings"

	"netlore/query/check"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
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
	dropped    bool
	spots      int
	last       *Member // of the last row
	several    bool    // rows are of several boards
	stack      bool
	rows       []Row
	keys       []value.Value // what rows are sorted by, as many for each as there are in down
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

// expect makes room for so many more things, as far as they will be kept.
func (t *table) expect(f *fields, things int) {
	if !t.ordered() {
		things = min(things, t.most-len(t.rows))
	}
	if things <= 0 {
		return
	}
	f.expect(things)
	t.rows = slices.Grow(t.rows, things)
	if n := things * len(t.heads); !t.shares(f) && cap(t.slab)-len(t.slab) < n {
		t.slab = make([]value.Value, 0, n)
	}
}

// shares reports whether ready cells are the rows as they are.
func (t *table) shares(f *fields) bool {
	return f.ready != nil && len(f.columns) == f.own && t.by == 0 && !t.possibly
}

// cells is room for the cells of one row, so that rows that are made together
// lie together and cost one allocation.
func (t *table) cells(width int) []value.Value {
	const rows = 16
	if cap(t.slab)-len(t.slab) < width {
		t.slab = make([]value.Value, 0, rows*width)
	}
	n := len(t.slab)
	t.slab = t.slab[:n+width]
	return t.slab[n : n+width : n+width]
}

// ordered reports whether the rows are in another order than that in which they
// come.
func (t *table) ordered() bool { return len(t.down) > 0 || t.by > 0 || t.result >= 0 }

// add adds a thing, once for each group that it is in.
func (t *table) add(ev *evaluator, f *fields, id int32, places [][]value.Value, why string) {
	if !t.ordered() && len(t.rows) >= t.most {
		t.dropped = true
		return
	}
	if f.spots && ev.spot(thing{f.noun, id}) {
		t.spots++
	}
	t.several = t.several || t.last != nil && t.last != ev.self && t.last.Board != ev.b.Ref
	t.last = ev.self
	for _, place := range places {
		t.rows = append(t.rows, Row{Cells: t.rowOf(f, id, place, why), Of: ev.self, ID: id, Why: why})
		t.keys = f.sortKeys(t.keys, id)
	}
	if len(t.rows) > 2*t.most+slack {
		t.cut()
	}
}

// rowOf are the cells of a thing in one of its groups.
func (t *table) rowOf(f *fields, id int32, place []value.Value, why string) []value.Value {
	if t.shares(f) {
		return f.rowOf(id)
	}
	cells := t.cells(len(t.heads))
	rest, made := cells[copy(cells, place):], 0
	if f.ready != nil {
		made = copy(rest, f.rowOf(id))
	}
	f.fill(rest, id, made, len(f.columns))
	if t.possibly {
		cells[len(cells)-1] = value.OfText(why)
	}
	return cells
}

// addHeads adds the heads of the columns that come from things.
func (t *table) addHeads(f *fields) {
	if len(t.heads) > t.by {
		return
	}
	for _, c := range f.columns {
		t.heads = append(t.heads, c.name)
	}
	if t.possibly {
		t.heads = append(t.heads, "why only possible")
	}
}

// cut sorts the rows and drops those that will not be shown.
func (t *table) cut() {
	if t.ordered() {
		t.sort()
	}
	if len(t.rows) <= t.most {
		return
	}
	t.dropped = true
	t.rows = slices.Clone(t.rows[:t.most])
	t.keys = slices.Clone(t.keys[:t.most*len(t.down)])
	t.pack()
}

// sort puts the rows in order.
func (t *table) sort() {
	order := make([]int, len(t.rows))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, t.compare)
	rows, keys := make([]Row, len(order)), make([]value.Value, 0, len(t.keys))
	for i, from := range order {
		rows[i] = t.rows[from]
		keys = append(keys, t.keysOf(from)...)
	}
	t.rows, t.keys = rows, keys
}

// pack copies the cells of all rows, so that those of rows that were dropped are
// not held with them.
func (t *table) pack() {
	n := 0
	for i := range t.rows {
		n += len(t.rows[i].Cells)
	}
	t.slab = make([]value.Value, 0, n)
	for i := range t.rows {
		cells := t.rows[i].Cells
		t.rows[i].Cells = t.cells(len(cells))
		copy(t.rows[i].Cells, cells)
	}
}

// keysOf are what a row is sorted by.
func (t *table) keysOf(row int) []value.Value {
	return t.keys[row*len(t.down) : (row+1)*len(t.down)]
}

// compare orders rows by group, then by what they are to be sorted by. Those
// that are equal stay in natural order.
func (t *table) compare(i, k int) int {
	a, b := t.rows[i].Cells, t.rows[k].Cells
	if t.result >= 0 {
		if c := directed(t.resultDown)(a[t.result], b[t.result]); c != 0 {
			return c
		}
	}
	for i := range t.by {
		if c := directed(t.byDown[i])(a[i], b[i]); c != 0 {
			return c
		}
	}
	keys, others := t.keysOf(i), t.keysOf(k)
	for i, down := range t.down {
		if c := directed(down)(keys[i], others[i]); c != 0 {
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

// addBoards puts the board of each row into its cells.
func (t *table) addBoards() {
	for i := range t.rows {
		r := &t.rows[i]
		cells := t.cells(len(r.Cells) + 1)
		copy(cells, r.Cells[:t.by+1])
		cells[t.by+1] = value.OfName("", r.Of.Board.String(), boardText(r.Of.Board))
		copy(cells[t.by+2:], r.Cells[t.by+1:])
		r.Cells = cells
	}
}

var planHeads = []string{"step", "expected", "found", "time"}

// indented is a text under what it is a part of.
func indented(depth int, text string) string { return strings.Repeat("  ", depth) + text }

// addPlan adds the steps of a plan that was run.
func (t *table) addPlan(ev *evaluator) {
	for _, line := range ev.plan.Lines(ev.actual) {
		text := indented(line.Depth, line.Text)
		if ev.role != "" {
			text = ev.role + ": " + text
		}
		took, _ := board.NewQuantity(line.Took.Microseconds(), -6, board.Second)
		t.rows = append(t.rows, Row{
			Cells: []value.Value{value.OfText(text), value.OfCount(line.Expected), value.OfCount(line.Out), value.OfQuantity(took)},
			Of:    ev.self, ID: board.None,
		})
	}
}
