package board

import (
	"cmp"
	"math"
	"math/bits"
	"strconv"
)

// Unit is what a quantity measures.
type Unit uint8

const (
	NoUnit Unit = iota // no quantity at all
	One                // a plain number
	Ratio              // per cent, kept as a fraction: 8 % is 0.08
	Metre
	Second
	Volt
	Ampere
	Ohm
	Farad
	Henry
	Hertz
	Watt
	Celsius
)

// Quantity is an exact decimal with a unit: Coef times ten to the Exp. It is
// kept normal: Coef has no factor of ten unless it is 0, so == compares value
// and unit. The zero Quantity means "not known".
type Quantity struct {
	Coef int64
	Exp  int8
	Unit Unit
}

// What a quantity can hold: 18 digits that count, and a size, in the basic
// unit, from 1e-18 to below 1e18.
const (
	maxDigits = 18
	maxPower  = 18
	maxCoef   = 1e18 - 1
)

// NewQuantity returns coef times ten to the exp in normal form. It reports
// false if that has more than 18 digits that count, is not 0 but nearer to it
// than 1e-18, or is 1e18 or more.
func NewQuantity(coef int64, exp int, unit Unit) (Quantity, bool) {
	if coef == 0 {
		return Quantity{Unit: unit}, true
	}
	for coef%10 == 0 {
		coef, exp = coef/10, exp+1
	}
	top := exp + digitCount(magnitude(coef)) - 1
	if magnitude(coef) > maxCoef || top < -maxPower || top >= maxPower {
		return Quantity{}, false
	}
	return Quantity{coef, int8(exp), unit}, true
}

// Known reports whether there is a quantity.
func (q Quantity) Known() bool { return q.Unit != NoUnit }

// SameUnit reports whether q and r can be compared.
func (q Quantity) SameUnit(r Quantity) bool { return q.Unit == r.Unit }

// Compare compares exactly: it returns -1, 0 or +1. It panics if the units
// differ, which callers must have checked.
func (q Quantity) Compare(r Quantity) int {
	if q.Unit != r.Unit {
		panic("board: comparing a quantity in " + q.Unit.Name() + " with one in " + r.Unit.Name())
	}
	if c := cmp.Compare(sign(q.Coef), sign(r.Coef)); c != 0 || q.Coef == 0 {
		return c
	}
	c := q.compareSize(r)
	if q.Coef < 0 {
		return -c
	}
	return c
}

// compareSize compares without regard to sign; neither is zero.
func (q Quantity) compareSize(r Quantity) int {
	a, b := magnitude(q.Coef), magnitude(r.Coef)
	if c := cmp.Compare(digitCount(a)+int(q.Exp), digitCount(b)+int(r.Exp)); c != 0 {
		return c
	}
	// Both have their first digit at the same place, so the one with fewer
	// digits can be filled up with zeros and still has no more than 19.
	for e := q.Exp; e > r.Exp; e-- {
		a *= 10
	}
	for e := r.Exp; e > q.Exp; e-- {
		b *= 10
	}
	return cmp.Compare(a, b)
}

// Add returns the exact sum of two quantities of one unit. It reports false if
// the units differ or the sum has more digits than a quantity holds.
func (q Quantity) Add(r Quantity) (Quantity, bool) {
	if q.Unit != r.Unit {
		return Quantity{}, false
	}
	if q.Coef == 0 || r.Coef == 0 {
		q.Coef, q.Exp = q.Coef+r.Coef, q.Exp+r.Exp
		return q, true
	}
	if q.Exp < r.Exp {
		q, r = r, q
	}
	// Above twice what a quantity holds, adding r cannot bring the sum back.
	shift := int(q.Exp) - int(r.Exp)
	if digitCount(magnitude(q.Coef))+shift > maxDigits+1 || magnitude(q.Coef)*uint64(pow10(shift)) > 2*maxCoef {
		return Quantity{}, false
	}
	return NewQuantity(q.Coef*pow10(shift)+r.Coef, int(r.Exp), q.Unit)
}

// negated is -q.
func (q Quantity) negated() Quantity { q.Coef = -q.Coef; return q }

// scaled returns q times the plain number or ratio r, exactly, if it fits.
func (q Quantity) scaled(r Quantity) (Quantity, bool) {
	exp := int(q.Exp) + int(r.Exp)
	hi, lo := bits.Mul64(magnitude(q.Coef), magnitude(r.Coef))
	for hi != 0 || lo > maxCoef {
		var rest uint64
		hi, rest = hi/10, hi%10
		if lo, rest = bits.Div64(rest, lo, 10); rest != 0 {
			return Quantity{}, false
		}
		exp++
	}
	return NewQuantity(int64(lo)*int64(sign(q.Coef)*sign(r.Coef)), exp, q.Unit)
}

// Float returns the float64 nearest to the quantity in its basic unit: volts,
// ohms, metres, seconds; a ratio of 8 % is 0.08.
func (q Quantity) Float() float64 {
	const exact = 1 << 53 // integers up to here, and powers of ten up to 22, are exact
	if magnitude(q.Coef) <= exact && -22 <= q.Exp && q.Exp <= 22 {
		if q.Exp < 0 {
			return float64(q.Coef) / math.Pow10(-int(q.Exp))
		}
		return float64(q.Coef) * math.Pow10(int(q.Exp))
	}
	f, _ := strconv.ParseFloat(strconv.FormatInt(q.Coef, 10)+"e"+strconv.Itoa(int(q.Exp)), 64)
	return f
}

// Micrometres returns a length in micrometres, rounded to the nearest whole
// one, halves away from zero. It reports false if q is no length, or is beyond
// what an int32 holds (2.1 km).
func Micrometres(q Quantity) (int32, bool) {
	um := math.Round(Quantity{q.Coef, q.Exp + 6, Metre}.Float())
	if q.Unit != Metre || math.Abs(um) > math.MaxInt32 {
		return 0, false
	}
	return int32(um), true
}

// Millimetres returns the length of um micrometres as a quantity, which prints
// in millimetres.
func Millimetres(um int32) Quantity {
	q, _ := NewQuantity(int64(um), -6, Metre) // always fits
	return q
}

func sign(n int64) int { return cmp.Compare(n, 0) }

// magnitude is the absolute value; it is right for the least int64, too.
func magnitude(n int64) uint64 {
	if n < 0 {
		return -uint64(n)
	}
	return uint64(n)
}

// digitCount is the number of decimal digits; 0 has one.
func digitCount(n uint64) int {
	count := 1
	for n >= 10 {
		n, count = n/10, count+1
	}
	return count
}

func pow10(n int) int64 {
	p := int64(1)
	for range n {
		p *= 10
	}
	return p
}
