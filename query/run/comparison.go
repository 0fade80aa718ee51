package run

import (
	"cmp"
	"context"
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
	row.cells = append(row.cells, expectedTexts(expected), difference(r, base), verdict, remarkOn(r, expected, why, s.meter(r)))
	row.surprise = surprise(r, expected, base, set)
	row.point = pointOf(strings.TrimSuffix(s.nameValue(at.noun, at.id).String()+", "+at.state, ", "), r, expected)
	if c.with == (Compared{}) {
		others = s.goodBeside(at.thing, at.mode, c.of.Specimen)
	}
	row.point.Beside = numbersRead(others)
	c.rows = append(c.rows, row)
}

// goodBeside are the readings of good boards at a place in a mode, the newest of each
// board but one.
func (s *site) goodBeside(at thing, mode board.Mode, but string) (all []*board.Reading) {
	lists, order := map[string][]*board.Reading{}, []string(nil)
	for _, id := range s.learned().From(at, mode) {
		r := &s.readings()[id]
		if but != "" && r.Specimen == but {
			continue
		}
		if lists[r.Specimen] == nil {
			order = append(order, r.Specimen)
		}
		lists[r.Specimen] = append(lists[r.Specimen], r)
	}
	for _, specimen := range order {
		all = append(all, readings.Newest(lists[specimen])...)
	}
	return all
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
