package value

import (
	"slices"
	"strings"

	"netlore/store/board"
)

// CommonUnit is the unit that the head of a column carries: the one in which all
// the numbers of the cells that were added print. It is "" if there are none or
// they print in several units.
//
// Most of a column are the same few numbers, so the last of those that fit are
// remembered.
type CommonUnit struct {
	first board.Quantity
	seen  [4]board.Quantity
	next  int
	text  string
	none  bool
}

// String is the unit.
func (u *CommonUnit) String() string { return u.text }

// Add takes one more cell into account.
func (u *CommonUnit) Add(v *Value) {
	if v.kind == Quantity || v.kind == List {
		u.addAll(v)
	}
}

func (u *CommonUnit) addAll(v *Value) {
	if v.kind == Quantity {
		u.add(v.quantity())
		return
	}
	for i := range v.more.list {
		u.Add(&v.more.list[i])
	}
}

func (u *CommonUnit) add(q board.Quantity) {
	if u.none || slices.Contains(u.seen[:], q) {
		return
	}
	u.seen[u.next] = q
	u.next = (u.next + 1) % len(u.seen)
	switch {
	case !u.first.Known(), q.SameUnit(u.first) && u.first.Coef == 0:
		u.first, u.text = q, columnUnit(q)
	case !q.SameUnit(u.first), q.Coef != 0 && columnUnit(q) != u.text:
		u.text, u.none = "", true
	}
}

// columnUnit is the unit in which a quantity is given in a column: lengths in
// millimetres and whole minutes in minutes, so that 60min and 0.05mm do not
// stand there as 1h and 50um; all else as it prints alone.
func columnUnit(q board.Quantity) string {
	if _, ok := minutes(q); ok {
		return "min"
	}
	if q.Unit == board.Metre {
		return "mm"
	}
	return suffix(q.String())
}

// suffix is the unit at the end of a printed quantity.
func suffix(text string) string {
	return text[strings.LastIndexAny(text, "0123456789")+1:]
}

// printIn prints a quantity without its unit if it can be given in unit, else
// as it is.
func printIn(q board.Quantity, unit string) string {
	text := q.String()
	switch n, whole := minutes(q); {
	case unit == "":
	case whole && unit == "min":
		return board.Quantity{Coef: n, Unit: board.One}.String()
	case q.Unit == board.Metre && unit == "mm":
		return board.Quantity{Coef: q.Coef, Exp: q.Exp + 3, Unit: board.One}.String()
	case q.Coef == 0:
		return "0"
	case suffix(text) == unit:
		return strings.TrimSuffix(text, unit)
	}
	return text
}

// minutes is the number of minutes of a time that has a whole one.
func minutes(q board.Quantity) (int64, bool) {
	const most = 1e15 // far above what a time at the bench takes
	if q.Unit != board.Second || q.Coef == 0 || q.Exp < 0 {
		return 0, false
	}
	seconds := q.Coef
	for range q.Exp {
		if seconds > most || seconds < -most {
			return 0, false
		}
		seconds *= 10
	}
	return seconds / 60, seconds%60 == 0
}
