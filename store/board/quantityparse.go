package board

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// QuantityError says why a text is no quantity or no tolerance.
type QuantityError struct {
	Text   string // what was read
	Offset int    // the byte of Text where it goes wrong; len(Text) at its end
	Reason string // goes on after the text: "has no unit"
	Likely string // what was probably meant: "0.412V"; "" when that is open
}

// Error gives the text, cut if it is long, the reason, and what was probably
// meant.
func (e *QuantityError) Error() string {
	const most = 40
	text := e.Text
	if utf8.RuneCountInString(text) > most {
		text = string([]rune(text)[:most]) + "…"
	}
	if e.Likely == "" {
		return fmt.Sprintf("%q %s", text, e.Reason)
	}
	return fmt.Sprintf("%q %s; perhaps %s", text, e.Reason, e.Likely)
}

// ParseQuantity reads a number with its unit: 10uF, 4.7kohm, -40degC, 1e-6F.
// The decimal mark is the point. SI prefixes f p n u m k M G T count by case,
// but K is k; the micro sign, the Greek mu, both omegas and R for ohm are read
// too. Lengths may be in mm, um, m, mil and in, times in s, min and h. In RKM
// code (IEC 60062) a prefix or unit stands for the decimal point: 4k7ohm, 4R7,
// 3V3.
//
// If want is NoUnit, any unit will do but it must be written. Otherwise the
// quantity must be of that unit, and where want is Ohm, Farad or Henry a
// prefix may stand without it: 4k7, 10p, 0.1u, 2L2 (L is milli for ohms); a
// bare number is ohms, or One if that is wanted, and an error else.
//
// The error is a *QuantityError.
func ParseQuantity(s string, want Unit) (Quantity, error) {
	q, err := parseQuantity(s, want)
	if err != nil {
		err.Text = s
		return Quantity{}, err
	}
	return q, nil
}

// MustQuantity is ParseQuantity with the unit written, for tests and tables.
// It panics on an error.
func MustQuantity(s string) Quantity {
	q, err := ParseQuantity(s, NoUnit)
	if err != nil {
		panic(err)
	}
	return q
}

// QuantityOf is ParseQuantity for those who try what a text may be, and ask
// for no reason when it is no quantity: finding that costs ten times as much.
func QuantityOf(s string, want Unit) (Quantity, bool) {
	n := scanNumber(s)
	n.quiet = true
	q, err := n.parse(s, want)
	return q, err == nil
}

// errQuiet says that a text is no quantity, and not why.
var errQuiet = &QuantityError{Reason: "is no quantity"}

// parseQuantity leaves the Text of its errors to the caller.
func parseQuantity(s string, want Unit) (Quantity, *QuantityError) {
	n := scanNumber(s)
	return n.parse(s, want)
}

func (n *number) parse(s string, want Unit) (Quantity, *QuantityError) {
	if err := n.decimalComma(s, want); err != nil {
		return Quantity{}, err
	}
	suffix := strings.TrimLeft(s[n.end:], " \u00a0")
	at := len(s) - len(suffix)
	sp, err := n.readSuffix(suffix, want)
	if err == nil && want != NoUnit && sp.unit != want {
		err = n.wrongUnit(suffix, sp.unit, want)
	}
	if err == errQuiet {
		return Quantity{}, err
	}
	if err != nil {
		err.Offset += at
		return Quantity{}, err
	}
	if n.digits > maxDigits {
		return Quantity{}, &QuantityError{Offset: n.start, Reason: "has more than 18 digits that count"}
	}
	q, ok := n.quantity(sp)
	if !ok {
		return Quantity{}, &QuantityError{Offset: n.start, Reason: "is no size that is met in practice"}
	}
	return q, nil
}

// number is the digits at the front of a text: coef times ten to the exp.
type number struct {
	start, end int // bytes, start after the sign
	negative   bool
	coef       int64
	exp        int
	digits     int  // that count: between the first and last that is not 0
	any        bool // there is a digit
	whole      bool // neither point nor exponent
	zeros      int  // read, but not yet in coef
	quiet      bool // nobody asks why it is no quantity
}

func scanNumber(s string) number {
	n := number{whole: true}
	for _, mark := range []string{"+", "-", "\u2212"} {
		if rest, ok := strings.CutPrefix(s, mark); ok {
			n.start, n.negative = len(s)-len(rest), mark != "+"
			break
		}
	}
	n.end = n.start
	n.scanDigits(s, 0)
	if n.end < len(s) && s[n.end] == '.' {
		n.end, n.whole = n.end+1, false
		n.scanDigits(s, 1)
	}
	n.scanExponent(s)
	return n
}

// scanDigits reads on while there are digits. Each takes the power of ten of
// the number down by shift: 0 before the decimal point, 1 after it.
func (n *number) scanDigits(s string, shift int) {
	for ; n.end < len(s) && digit(s[n.end]); n.end++ {
		n.any = true
		n.exp -= shift
		n.add(s[n.end] - '0')
	}
}

// add takes one more digit. Zeros are held back: they count only if another
// digit follows.
func (n *number) add(d byte) {
	if d == 0 {
		n.zeros++
		return
	}
	if n.digits == 0 {
		n.zeros = 0
	}
	n.digits += n.zeros + 1
	if n.digits <= maxDigits {
		n.coef = n.coef*pow10(n.zeros+1) + int64(d)
	}
	n.zeros = 0
}

// scanExponent reads e-6; an e without digits is left for the unit.
func (n *number) scanExponent(s string) {
	i := n.end
	if !n.any || i == len(s) || s[i] != 'e' && s[i] != 'E' {
		return
	}
	i++
	minus := i < len(s) && s[i] == '-'
	if i < len(s) && (s[i] == '-' || s[i] == '+') {
		i++
	}
	from, exp := i, 0
	for ; i < len(s) && digit(s[i]); i++ {
		exp = min(exp*10+int(s[i]-'0'), 1e6)
	}
	if i == from {
		return
	}
	if minus {
		exp = -exp
	}
	n.end, n.exp, n.whole = i, n.exp+exp, false
}

// quantity applies a unit to the number.
func (n *number) quantity(sp spelling) (Quantity, bool) {
	coef := n.coef
	if n.negative {
		coef = -coef
	}
	exp := n.exp + n.zeros
	if exp > 1000 || exp < -1000 {
		return Quantity{Unit: sp.unit}, coef == 0
	}
	q, ok := NewQuantity(coef, exp+sp.exp, sp.unit)
	if !ok || sp.coef == 1 {
		return q, ok
	}
	return q.scaled(Quantity{Coef: sp.coef})
}
