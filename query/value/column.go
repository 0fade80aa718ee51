package value

import (
	"strings"

	"netlore/store/board"
)

// ColumnUnit is the unit that the head of a column of these cells carries: the
// one in which all its numbers print. It is "" if the column has no numbers or
// they print in several units.
func ColumnUnit(cells []Value) string {
	var u commonUnit
	for i := range cells {
		if cells[i].kind == Quantity {
			u.add(cells[i].quantity())
		}
		if cells[i].kind == List {
			for _, item := range cells[i].more.list {
				if item.kind == Quantity {
					u.add(item.quantity())
				}
			}
		}
	}
	return u.text
}

// commonUnit is the unit of all quantities that were added: "" once they have
// none in common. Of a column most are the same few, so the last is remembered.
type commonUnit struct {
	first, last board.Quantity
	text        string
	none        bool
}

func (u *commonUnit) add(q board.Quantity) {
	if q == u.last || u.none {
		return
	}
	u.last = q
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
