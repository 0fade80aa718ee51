package run

import (
	"context"
	"fmt"
	"math"
	"slices"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/readings"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// Meters lists how far each meter reads off the middle of all, in each mode, and
// where places were read more than once, how well it repeats itself. Where
// several boards tell of a meter, what they say together is a row of its own.
func Meters(ctx context.Context, scope *check.Scope) *Answer {
	w := newAssembly(scope, plan.Options{}, &brake{ctx: ctx, pace: 256})
	m := metering{found: map[metered][]readings.Shift{}}
	for i := range scope.Members {
		m.add(w.site(i))
	}
	m.repeats = m.repeatsOf(w)
	m.together()
	a := &Answer{listing: meterRows, Rows: m.rows, Things: m.count(), Remarks: m.remarks()}
	for _, name := range []string{"board", "meter", "mode", "reads high by", "give or take", "places", "repeats within", "remark"} {
		a.Columns = append(a.Columns, Column{Name: name})
	}
	if len(m.repeats) == 0 {
		a.drop(slices.IndexFunc(a.Columns, func(c Column) bool { return c.Name == "repeats within" }))
	}
	a.setUnits()
	return a
}

// metered is a meter in a mode.
type metered struct {
	mode board.Mode
	name string
}

// metering gathers what is known of meters.
type metering struct {
	rows    []Row
	found   map[metered][]readings.Shift // on several boards, where it is known
	order   []metered
	repeats map[board.Mode]readings.Repeats // of all boards
}

// add adds the meters that have read one board.
func (m *metering) add(s *site) {
	repeats := readings.RepeatsOf(s.readings(), s.placeOf)
	for mode := board.Diode; mode <= board.Continuity; mode++ {
		for _, name := range s.meterNames() {
			shift, ok := s.learned().Meter(mode, name)
			if !ok {
				continue
			}
			key := metered{mode, name}
			if m.found[key] == nil {
				m.order = append(m.order, key)
			}
			m.found[key] = append(m.found[key], shift)
			m.rows = append(m.rows, Row{Cells: meterCells(s.b.Ref.String(), key, shift, repeats[mode].Meters[name]), Of: s.self, ID: board.None})
		}
	}
}

// placeOf is where a reading was taken; it reports false if nothing here has the
// name.
func (s *site) placeOf(i int) (thing, bool) {
	st := s.statements(words.Readings)
	if len(st.about[i]) == 0 {
		return thing{}, false
	}
	return st.about[i][0], true
}

// meterNames are the meters that have read good boards, in natural order.
func (s *site) meterNames() (names []string) {
	for i := range s.readings() {
		if r := &s.readings()[i]; r.Good && r.Meter != "" && !slices.Contains(names, r.Meter) {
			names = append(names, r.Meter)
		}
	}
	slices.SortFunc(names, board.CompareNatural)
	return names
}

// repeatsOf is how well the meters repeat themselves and each other on all boards.
func (m *metering) repeatsOf(w *assembly) map[board.Mode]readings.Repeats {
	type place struct {
		member int
		thing  thing
	}
	var list []board.Reading
	var places []place
	for i := range w.sites {
		s := w.site(i)
		for k, r := range s.readings() {
			if t, ok := s.placeOf(k); ok {
				list, places = append(list, r), append(places, place{i, t})
			}
		}
	}
	return readings.RepeatsOf(list, func(i int) (place, bool) { return places[i], true })
}

// count is how many meters there are.
func (m *metering) count() int {
	names := map[string]bool{}
	for _, key := range m.order {
		names[key.name] = true
	}
	return len(names)
}

// together adds what several boards say of a meter, by Mandel and Paule: the more
// they differ, the more alike they count.
func (m *metering) together() {
	for _, key := range m.order {
		var values, variances []float64
		all := readings.Shift{Linked: true}
		for _, s := range m.found[key] {
			if s.Linked && s.Nets > 0 {
				sd := max(s.SD, leastDoubt)
				values, variances, all.Nets = append(values, s.By), append(variances, sd*sd), all.Nets+s.Nets
			}
		}
		if len(values) > 1 {
			c := readings.Agree(values, variances)
			all.By, all.SD = c.Value, c.Error
			m.rows = append(m.rows, Row{Cells: meterCells("all boards", key, all, m.repeats[key.mode].Meters[key.name]), ID: board.None})
		}
	}
}

// leastDoubt is how well a shift is known at best: a tenth of the last digit that
// most meters show, or one in ten thousand.
const leastDoubt = 1e-4

func meterCells(of string, key metered, m readings.Shift, repeats readings.MeterRepeats) []value.Value {
	cells := []value.Value{value.OfText(of), value.OfText(key.name), value.OfWord(key.mode.String(), int(key.mode)),
		value.Nothing(), value.Nothing(), value.OfCount(m.Nets), value.Nothing(), value.Nothing()}
	if repeats.Places > 0 {
		cells[6] = shiftValue(key.mode, readings.Limit(repeats.SD))
	}
	switch {
	case m.Nets == 0:
		cells[7] = value.OfText("no place was read by another meter, too")
	case !m.Linked:
		cells[7] = value.OfText("compared with few others only")
	default:
		cells[3], cells[4] = shiftValue(key.mode, m.By), shiftValue(key.mode, m.SD)
		if repeats.Strays > 0 {
			cells[7] = value.OfText(fmt.Sprintf("lies or spreads unlike the others at %d of %d places", repeats.Strays, repeats.Others))
		}
	}
	return cells
}

// remarks say how near two readings lie, in the modes in which that is known.
func (m *metering) remarks() (all []string) {
	for mode := board.Diode; mode <= board.Continuity; mode++ {
		if r := m.repeats[mode]; r.Places > 0 {
			all = append(all, fmt.Sprintf("in %s, 19 readings of 20 lie within %s of one that the same meter took there before, and within %s of one by another meter (%s)",
				mode, shiftValue(mode, readings.Limit(r.Repeat)), shiftValue(mode, readings.Limit(r.Reproduce)), countedPlaces(r.Places)))
		}
	}
	return all
}

func countedPlaces(n int) string {
	if n == 1 {
		return "1 place"
	}
	return fmt.Sprintf("%d places", n)
}

// shiftValue is a shift in millivolts, or a share where the mode compares
// shares.
func shiftValue(mode board.Mode, by float64) value.Value {
	unit, exp := board.Volt, -4
	if readings.ByShare(mode) {
		unit, exp, by = board.Ratio, -3, math.Expm1(by)
	}
	q, _ := board.NewQuantity(int64(math.Round(by/math.Pow10(exp))), exp, unit)
	return value.OfQuantity(q)
}
