package board

import (
	"strconv"
	"strings"
)

// String is the canonical text of a quantity, in ASCII, which ParseQuantity
// reads back to the same quantity: 10uF, 4.7kohm, 0.412V, 12min, 8%. A plain
// number has no unit and is read back as One.
//
// From 0.1 up to below 1000 the unit stands alone; otherwise it has the prefix
// that leaves one to three digits before the point; femto is read but not
// printed. Lengths are in mm, below
// 0.1 mm in um, from 1 m in m. Times of whole minutes and hours are in min and
// h. The quantity that is not known is "".
func (q Quantity) String() string {
	exp, symbol := q.scale()
	if q.Unit == NoUnit {
		return ""
	}
	return plainText(q.Coef, int(q.Exp)-exp) + symbol
}

// scale chooses the unit to print q in, and the power of ten it stands for.
// The quantity of hours or minutes is changed to be a number of them.
func (q *Quantity) scale() (exp int, symbol string) {
	switch q.Unit {
	case Ratio:
		return -2, "%"
	case Metre:
		return q.lengthScale()
	case Second:
		if symbol, ok := q.toClock(); ok {
			return 0, symbol
		}
	}
	letter, exp := q.bestPrefix()
	return exp, letter + q.Unit.String()
}

func (q *Quantity) lengthScale() (exp int, symbol string) {
	switch top := q.top(); {
	case q.Coef == 0 || -4 <= top && top < 0:
		return -3, "mm"
	case top < 0:
		return -6, "um"
	}
	return 0, "m"
}

// toClock turns whole hours or minutes of seconds into a number of them.
func (q *Quantity) toClock() (symbol string, ok bool) {
	if q.Coef == 0 || q.Exp < 0 || q.top() >= maxPower {
		return "", false
	}
	switch seconds := q.Coef * pow10(int(q.Exp)); {
	case seconds%3600 == 0:
		*q, symbol = Quantity{seconds / 3600, 0, Second}, "h"
	case seconds%60 == 0:
		*q, symbol = Quantity{seconds / 60, 0, Second}, "min"
	}
	return symbol, symbol != ""
}

// bestPrefix is the prefix to print q with, and its power of ten.
func (q *Quantity) bestPrefix() (letter string, exp int) {
	top := q.top()
	if q.Coef == 0 || -1 <= top && top <= 2 {
		return "", 0
	}
	for i, c := range []byte(strings.TrimPrefix(q.Unit.row().prefixes, "f")) {
		p, _, _ := cutPrefix(string(c))
		if sameSide := (p.exp < 0) == (top < 0); sameSide && (p.exp <= top || i == 0) {
			letter, exp = string(c), p.exp
		}
	}
	return letter, exp
}

// top is the power of ten of the first digit.
func (q *Quantity) top() int { return int(q.Exp) + digitCount(magnitude(q.Coef)) - 1 }

// plainText prints coef times ten to the exp without an exponent.
func plainText(coef int64, exp int) string {
	digits := strconv.FormatUint(magnitude(coef), 10)
	switch point := len(digits) + exp; {
	case coef == 0:
		return "0"
	case exp >= 0:
		digits += strings.Repeat("0", exp)
	case point > 0:
		digits = digits[:point] + "." + digits[point:]
	default:
		digits = "0." + strings.Repeat("0", -point) + digits
	}
	if coef < 0 {
		return "-" + digits
	}
	return digits
}
