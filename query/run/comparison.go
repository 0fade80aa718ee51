package run

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/readings"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// Compared are readings to compare: those of a job, or of one specimen of a
// known-good board, or at a place and whatever belongs to it. The zero value,
// to compare with, is what is expected.
type Compared struct {
	Job, Specimen string
	Place         board.Target
}

// String is how a column is called that shows them beside others.
func (c Compared) String() string {
	if c.Job != "" {
		return "job " + c.Job
	}
	return c.Specimen
}

// fits reports whether a reading is one of them.
func (c Compared) fits(s *site, id int32) bool {
	r := &s.readings()[id]
	switch {
	case r.Mode == board.HotSpot || r.To != (board.Target{}):
		return false
	case c.Job != "":
		return r.Job == c.Job
	case c.Specimen != "":
		return r.Specimen == c.Specimen
	case !s.isHere(c.Place):
		return false
	}
	place, ok := s.find(c.Place)
	return ok && slices.Contains(s.statements(words.Readings).about[id], place)
}

// Compare puts readings beside others, or beside what is expected, the most
// surprising first. The points are the rows for a chart.
func Compare(ctx context.Context, scope *check.Scope, of, with Compared) (*Answer, []Point) {
	w := newAssembly(scope, plan.Options{}, &brake{ctx: ctx, pace: 256})
	c := comparison{of: of, with: with}
	for i := range scope.Members {
		c.member(w.site(i))
	}
	slices.SortStableFunc(c.rows, func(a, b compared) int {
		return cmp.Or(cmp.Compare(b.surprise, a.surprise), board.CompareNatural(a.cells[0].String(), b.cells[0].String()))
	})
	return c.answer(), c.points()
}

// Point is a row of a comparison as numbers in the unit of its mode; NaN is what
// is not known, +Inf is open.
type Point struct {
	Name      string
	Mode      board.Mode
	Read      float64
	Value     float64 // expected
	Low, High float64 // the tolerance
}

func (c *comparison) points() []Point {
	var all []Point
	for _, r := range c.rows {
		all = append(all, r.point)
	}
	return all
}

func pointOf(name string, r *board.Reading, expected []board.Expected) Point {
	p := Point{Name: name, Mode: r.Mode, Read: math.NaN(), Value: math.NaN(), Low: math.NaN(), High: math.NaN()}
	switch {
	case r.Outcome == board.Open:
		p.Read = math.Inf(1)
	case r.Outcome == board.Measured:
		p.Read = r.Value.Float()
	}
	if len(expected) != 1 {
		return p
	}
	e := expected[0]
	if e.Open {
		p.Value = math.Inf(1)
		return p
	}
	p.Value = e.Value.Float()
	if low, high, ok := e.Within.Bounds(e.Value); ok {
		p.Low, p.High = low.Float(), high.Float()
	}
	return p
}

// Names reports whether a target names something on a board.
func Names(b *board.Board, t board.Target) bool {
	_, ok := (&site{b: b}).find(t)
	return ok
}

// comparison gathers the rows.
type comparison struct {
	of, with Compared
	rows     []compared
	off      int  // verdicts other than matching
	states   bool // some row has a state
}

// compared is one row: a place, a mode, and what was read.
type compared struct {
	cells    []value.Value
	surprise float64
	board    board.Ref
	role     string
	point    Point
}

// spot is what is compared as one: readings of a mode at a place in one state of
// the device; of a place that was asked for, each job and specimen by itself.
type spot struct {
	thing
	mode   board.Mode
	state  string
	source string
}

// electrical is a state without the lids that are off, which change no reading.
func electrical(state []string) string {
	off := func(s string) bool { return strings.HasSuffix(s, "-off") }
	return strings.Join(slices.DeleteFunc(slices.Clone(state), off), ", ")
}

func (c *comparison) member(s *site) {
	spots, lists := c.gather(s, c.of)
	theirs, others := c.gather(s, c.with)
	for _, at := range spots {
		beside := others[at]
		for _, other := range theirs {
			if beside == nil && other.thing == at.thing && other.mode == at.mode {
				beside = others[other] // in another state, which is better than nothing
			}
		}
		for _, r := range readings.Newest(lists[at]) {
			c.add(s, at, r, readings.Newest(beside))
		}
	}
}

// gather are the readings that fit, by where they were taken, in the order of
// the statements.
func (c *comparison) gather(s *site, what Compared) (order []spot, lists map[spot][]*board.Reading) {
	lists = map[spot][]*board.Reading{}
	if what == (Compared{}) {
		return nil, lists
	}
	st := s.statements(words.Readings)
	for id := range st.about {
		if len(st.about[id]) == 0 || !what.fits(s, int32(id)) {
			continue
		}
		r := &s.readings()[id]
		at := spot{thing: st.about[id][0], mode: r.Mode, state: electrical(r.State)}
		if what.Place != (board.Target{}) {
			at.source = sourceOf(r)
		}
		if lists[at] == nil {
			order = append(order, at)
		}
		lists[at] = append(lists[at], r)
	}
	return order, lists
}

// sourceOf says on which device a reading was taken.
func sourceOf(r *board.Reading) string {
	switch {
	case r.Job != "":
		return "job " + r.Job
	case r.Specimen != "":
		return r.Specimen
	}
	return "-"
}

func (c *comparison) add(s *site, at spot, r *board.Reading, others []*board.Reading) {
	x := read{site: s, place: at.thing, mode: at.mode, newest: []*board.Reading{r}, expected: s.expectedAt(at.thing, at.mode)}
	expected := x.expects(r)
	set, why := x.verdicts()
	verdict := value.OfText(set.String())
	switch v, sure := set.Sole(); {
	case len(expected) == 0:
		verdict = value.Value{}
	case sure:
		verdict = value.OfWord(v.String(), int(v))
	}
	if v, sure := set.Sole(); sure && v != readings.Matching {
		c.off++
	}
	row := compared{board: s.b.Ref, role: s.role}
	row.cells = append(row.cells, s.nameValue(at.noun, at.id), s.netCell(at.thing), value.OfWord(at.mode.String(), int(at.mode)))
	if c.of.Place != (board.Target{}) {
		row.cells = append(row.cells, value.OfText(at.source))
	}
	state := value.Nothing()
	if at.state != "" {
		c.states, state = true, value.OfText(at.state)
	}
	row.cells = append(row.cells, state, shownOf(r))
	base := expected
	if c.with != (Compared{}) {
		base = asExpected(others)
		row.cells = append(row.cells, value.OfList(expectedShown(base)))
	}
	row.cells = append(row.cells, expectedTexts(expected), difference(r, base), verdict, remarkOn(r, expected, why))
	row.surprise = surprise(r, expected, base)
	row.point = pointOf(strings.TrimSuffix(s.nameValue(at.noun, at.id).String()+", "+at.state, ", "), r, expected)
	c.rows = append(c.rows, row)
}

// netCell is the net of a place.
func (s *site) netCell(t thing) value.Value {
	if net := s.netOf(t); net != board.None {
		return s.nameValue(words.Nets, int32(net))
	}
	return value.Nothing()
}

// asExpected takes readings for what is expected.
func asExpected(list []*board.Reading) []board.Expected {
	var all []board.Expected
	for _, r := range list {
		if r.Outcome == board.Measured || r.Outcome == board.Open {
			all = append(all, board.Expected{Mode: r.Mode, Value: r.Value, Open: r.Outcome == board.Open})
		}
	}
	return all
}

func expectedTexts(list []board.Expected) value.Value {
	if len(list) == 0 {
		return value.Nothing()
	}
	var all []string
	for i := range list {
		e := &list[i]
		text := "open"
		if !e.Open {
			text = strings.TrimSpace(e.Value.String() + " " + e.Within.String())
		}
		all = append(all, text)
	}
	return value.OfText(strings.Join(all, ", "))
}

// difference is the reading less what it is compared with, if there is one
// number of each.
func difference(r *board.Reading, base []board.Expected) value.Value {
	if len(base) != 1 || base[0].Open || r.Outcome != board.Measured || !r.Value.SameUnit(base[0].Value) {
		return value.Nothing()
	}
	less := base[0].Value
	less.Coef = -less.Coef
	sum, ok := r.Value.Add(less)
	if !ok {
		return value.Nothing()
	}
	return value.OfQuantity(sum)
}

// surprise is how many times the tolerance a reading is off; what is open or
// shorted and should not be is beyond all numbers, and what cannot be told comes
// last.
func surprise(r *board.Reading, expected, base []board.Expected) float64 {
	set, _ := readings.Judge(r, expected)
	v, sure := set.Sole()
	switch {
	case len(expected) > 0 && sure && (v == readings.Shorted || v == readings.Open):
		return math.Inf(1)
	case len(base) != 1 || base[0].Open || r.Outcome != board.Measured || !r.Value.SameUnit(base[0].Value):
		return -1
	}
	off := r.Value.Float() - base[0].Value.Float()
	width := math.Abs(base[0].Value.Float()) * usualShare
	if len(expected) == 1 && !expected[0].Open {
		if low, high, ok := expected[0].Within.Bounds(expected[0].Value); ok {
			width = max(high.Float()-expected[0].Value.Float(), expected[0].Value.Float()-low.Float())
		}
	}
	return math.Abs(off) / max(width, math.SmallestNonzeroFloat64)
}

// usualShare is how far off counts as much where no tolerance is known (common
// practice, no source).
const usualShare = 0.1

// remarkOn says what a low reading in diode mode may come from, or why there is
// no one verdict.
func remarkOn(r *board.Reading, expected []board.Expected, why string) value.Value {
	if len(expected) == 1 && !expected[0].Open && r.Mode == board.Diode && r.Outcome == board.Measured {
		if text := leakText(r.Value, expected[0]); text != "" {
			return value.OfText(text)
		}
	}
	if why != "" {
		return value.OfText(why)
	}
	return value.Nothing()
}

// leakText is the leak that would explain a reading below the tolerance, at the
// test currents that meters have.
func leakText(read board.Quantity, e board.Expected) string {
	low, _, ok := e.Within.Bounds(e.Value)
	if !ok || read.Compare(low) >= 0 {
		return ""
	}
	slack := e.Value.Float() - low.Float()
	least, most := math.Inf(1), 0.0
	for _, amps := range []float64{leastAmps, mostAmps} {
		if leak, ok := readings.Leak(read.Float(), e.Value.Float(), slack, readings.Source{Amps: amps}, roomCelsius); ok {
			least, most = min(least, leak.Low), max(most, leak.High)
		}
	}
	switch {
	case math.IsInf(least, 1):
		return ""
	case math.IsInf(most, 1) || most > 1e6:
		return fmt.Sprintf("reads like %s to ground, or more", ohms(least))
	}
	return fmt.Sprintf("reads like %s to %s to ground", ohms(least), ohms(most))
}

// The test currents of diode mode that makers of meters state lie between these;
// what a meter's is, is not stated in a sheet.
const (
	leastAmps   = 0.5e-3
	mostAmps    = 1.5e-3
	roomCelsius = 25
)

// ohms gives a resistance to two digits.
func ohms(r float64) string {
	exp := int(math.Floor(math.Log10(max(r, 1e-3)))) - 1
	q, _ := board.NewQuantity(int64(math.Round(r/math.Pow10(exp))), exp, board.Ohm)
	return q.String()
}

func (c *comparison) answer() *Answer {
	a := &Answer{listing: comparedRows, Things: c.off, compared: len(c.rows)}
	heads := []string{"place", "net", "mode"}
	if c.of.Place != (board.Target{}) {
		heads = append(heads, "from")
	}
	heads = append(heads, "state", "reading")
	if c.with != (Compared{}) {
		heads = append(heads, c.with.String())
	}
	for _, h := range append(heads, "expected", "off", "verdict", "remark") {
		a.Columns = append(a.Columns, Column{Name: h})
	}
	for _, r := range c.rows {
		a.Rows = append(a.Rows, Row{Cells: r.cells, Of: &Member{r.board, r.role}, ID: board.None})
	}
	if !c.states {
		a.drop(slices.Index(heads, "state"))
	}
	a.setUnits()
	return a
}
