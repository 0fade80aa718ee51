// Package readings judges measured values: against what is expected, and which
// of several readings is the newest. Numbers go in, numbers and reasons come
// out.
//
// Whatever is not known leaves several verdicts possible, never a wrong one.
package readings

import (
	"strings"

	"netlore/query/value"
	"netlore/store/board"
)

// Verdict says how a reading lies to what is expected.
type Verdict uint8

const (
	NoVerdict Verdict = iota
	Shorted           // next to nothing, where more is expected
	Low               // below what is expected, but no short
	Matching          // as expected
	High              // above what is expected
	Open              // over the meter's range, where a number is expected
)

var verdictWords = [...]string{"", "shorted", "low", "matching", "high", "open"}

// String is the word for the verdict: "shorted".
func (v Verdict) String() string { return verdictWords[v] }

// All are the verdicts from low to high.
func All() []Verdict { return []Verdict{Shorted, Low, Matching, High, Open} }

// Verdicts is a set of verdicts that are possible.
type Verdicts uint8

// AnyVerdict is all of them.
const AnyVerdict Verdicts = 1<<Shorted | 1<<Low | 1<<Matching | 1<<High | 1<<Open

func oneOf(list ...Verdict) Verdicts {
	var set Verdicts
	for _, v := range list {
		set |= 1 << v
	}
	return set
}

// String is the words of all of them: "shorted or low".
func (s Verdicts) String() string {
	var all []string
	for _, v := range All() {
		if s&oneOf(v) != 0 {
			all = append(all, v.String())
		}
	}
	return strings.Join(all, " or ")
}

// Is says whether the verdict is one of some: yes if nothing else is possible.
func (s Verdicts) Is(wanted Verdicts) board.Truth {
	switch {
	case s&wanted == 0:
		return board.False
	case s&^wanted == 0:
		return board.True
	}
	return board.Unknown
}

// Of is the set of one verdict.
func Of(v Verdict) Verdicts { return oneOf(v) }

// Sole is the verdict if only one is possible.
func (s Verdicts) Sole() (Verdict, bool) {
	for _, v := range All() {
		if s == oneOf(v) {
			return v, true
		}
	}
	return NoVerdict, false
}

// Judge says which verdicts are possible for a reading, given what is expected
// there in its mode: nothing, one value, or several that authors differ in; and
// what is stated of its meter. Why says what is missing if there is more than one.
func Judge(r *board.Reading, expected []board.Expected, meter *board.Meter) (set Verdicts, why string) {
	if Reversed(r.Mode, r.BlackGround) {
		return AnyVerdict, reversed
	}
	if len(expected) == 0 {
		return judgeAlone(r, meter), "no expected value"
	}
	for i := range expected {
		set |= judgeOne(r, &expected[i], meter)
	}
	_, sure := set.Sole()
	switch {
	case sure:
		return set, ""
	case len(expected) > 1:
		return set, "expected values differ"
	case r.Outcome != board.Measured:
		return set, "no number was read"
	}
	return set, "tolerance not known"
}

// Reversed reports whether a reading was taken the other way round than what is
// expected, which is for red on ground (common practice, no source): a junction
// reads something else then.
func Reversed(m board.Mode, blackGround bool) bool { return m == board.Diode && blackGround }

const reversed = "black was on ground"

// judgeAlone is what a reading can be whatever is expected.
func judgeAlone(r *board.Reading, meter *board.Meter) Verdicts {
	switch {
	case r.Outcome == board.Open:
		return oneOf(Open, Matching)
	case r.Outcome == board.NotClosed:
		return oneOf(Low, Matching, High, Open)
	case r.Outcome == board.Closed, isShort(r, meter):
		return oneOf(Shorted, Low, Matching, High)
	}
	return oneOf(Low, Matching, High)
}

func judgeOne(r *board.Reading, e *board.Expected, meter *board.Meter) Verdicts {
	switch {
	case r.Outcome == board.Closed || r.Outcome == board.NotClosed:
		return judgeRing(r, e)
	case r.Outcome == board.Open && e.Open:
		return oneOf(Matching)
	case r.Outcome == board.Open:
		return oneOf(Open)
	case e.Open && isShort(r, meter):
		return oneOf(Shorted)
	case e.Open:
		return oneOf(Low)
	case !r.Value.Known() || !r.Value.SameUnit(e.Value):
		return AnyVerdict
	}
	return judgeNumbers(r, e, meter)
}

// judgeRing is for a meter that rings or stays silent: it tells little of how
// many ohms there are.
func judgeRing(r *board.Reading, e *board.Expected) Verdicts {
	switch {
	case r.Outcome == board.Closed && e.Open:
		return oneOf(Shorted, Low)
	case r.Outcome == board.Closed:
		return oneOf(Shorted, Low, Matching, High)
	case e.Open:
		return oneOf(Low, Matching)
	}
	return oneOf(Low, Matching, High, Open)
}

// judgeNumbers compares two numbers of one unit. Without a tolerance, all but
// the very value may be near enough to match or not.
func judgeNumbers(r *board.Reading, e *board.Expected, meter *board.Meter) Verdicts {
	low, high, stated := e.Within.Bounds(e.Value)
	if !stated {
		low, high = e.Value, e.Value
	}
	off := Low
	switch value.Judge(r.Value, low, high) {
	case value.Matching:
		return oneOf(Matching)
	case value.High:
		off = High
	case value.Low:
		if isShort(r, meter) {
			off = Shorted
		}
	}
	if !stated {
		return oneOf(off, Matching)
	}
	return oneOf(off)
}

// Beyond says whether a reading is further off what is expected than by some
// width: a share of the expected value, or an amount in its unit. Side is Low
// for below, High for above, Matching for no further off than that. What is
// open is above every number.
//
// An amount is asked of readings in its unit only.
func Beyond(r *board.Reading, expected []board.Expected, side Verdict, width board.Quantity) (t board.Truth, why string) {
	switch {
	case width.Unit != board.Ratio && width.Unit != units[r.Mode]:
		return board.False, ""
	case Reversed(r.Mode, r.BlackGround):
		return board.Unknown, reversed
	case len(expected) == 0:
		return beyondAlone(r, side), "no expected value"
	}
	first := beyondOne(r, &expected[0], side, width)
	for i := range expected {
		if beyondOne(r, &expected[i], side, width) != first {
			return board.Unknown, "expected values differ"
		}
	}
	return first, "no number was read"
}

// units are what the modes measure in.
var units = map[board.Mode]board.Unit{
	board.Diode: board.Volt, board.Voltage: board.Volt, board.Resistance: board.Ohm, board.Continuity: board.Ohm, board.Current: board.Ampere,
}

// UnitOf is what a mode measures in; board.NoUnit of what no meter shows.
func UnitOf(m board.Mode) board.Unit { return units[m] }

func beyondAlone(r *board.Reading, side Verdict) board.Truth {
	if r.Outcome == board.Open && side == Low {
		return board.False // whatever is expected
	}
	return board.Unknown
}

func beyondOne(r *board.Reading, e *board.Expected, side Verdict, width board.Quantity) board.Truth {
	off := Matching
	switch low, high, ok := (board.Tolerance{Below: width, Above: width}).Bounds(e.Value); {
	case r.Outcome == board.Closed || r.Outcome == board.NotClosed:
		return board.Unknown
	case r.Outcome == board.Open && !e.Open:
		off = High
	case r.Outcome == board.Open:
	case e.Open:
		off = Low
	case !ok || !r.Value.Known() || !r.Value.SameUnit(e.Value):
		return board.Unknown
	case value.Judge(r.Value, low, high) == value.Low:
		off = Low
	case value.Judge(r.Value, low, high) == value.High:
		off = High
	}
	if off == side {
		return board.True
	}
	return board.False
}
