package scpi

import (
	"math"
	"strconv"
	"strings"

	"netlore/query/diag"
)

// Kind says what a number that was read stands for.
type Kind uint8

const (
	Finite     Kind = iota // a number
	Over                   // above what can be measured: the meter shows OL
	Under                  // below it: the meter shows -OL
	NotANumber             // nothing could be measured
)

// Number is what an instrument reads. A finite one is exact: Coef times ten to
// the Exp, in volts, ohms or amperes; Coef has no factor of ten unless it is 0.
type Number struct {
	Kind Kind
	Coef int64
	Exp  int
}

// Float is the float64 nearest to the number; infinite for an overload.
func (n Number) Float() float64 {
	switch n.Kind {
	case Over:
		return math.Inf(1)
	case Under:
		return math.Inf(-1)
	case NotANumber:
		return math.NaN()
	}
	f, _ := strconv.ParseFloat(strconv.FormatInt(n.Coef, 10)+"e"+strconv.Itoa(n.Exp), 64)
	return f
}

// SCPI-1999 has 9.9E37 for infinity and 9.91E37 for not a number (volume 1,
// 7.2.1.4 and 7.2.1.5; value from memory). Some instruments round in their last
// digit, so the bounds lie about the two.
const (
	leastInfinity = 9.89e37
	leastNaN      = 9.905e37
)

// Bounds of a finite number: all that a meter can mean lies within.
const (
	maxDigits = 18
	maxPower  = 60 // of ten, in the text
)

// ParseNumber reads an answer that is one number: NR1, NR2 or NR3 of IEEE 488.2
// (8.7.2 to 8.7.4), read leniently, or INF, NINF or NAN (SCPI-1999, volume 1,
// 7.2.1.4). It refuses lists, units and all else with M202, M205 or M206.
func ParseNumber(a Answer) (Number, error) {
	text := strings.Trim(a.Text, " \t")
	at := strings.Index(a.Text, text)
	switch strings.ToUpper(text) {
	case "INF", "INFINITY", "+INF", "OL": // OL: common practice, no source
		return Number{Kind: Over}, nil
	case "NINF", "NINFINITY", "-INF", "-OL":
		return Number{Kind: Under}, nil
	case "NAN":
		return Number{Kind: NotANumber}, nil
	}
	n, length := scanNumber(text)
	if length == len(text) && length > 0 {
		if !n.fits {
			return Number{}, a.fault("M202", at, at+length, nil, "answered a number that is too long or too large: %s", diag.Quote(text))
		}
		return n.number(), nil
	}
	return Number{}, a.notOneNumber(at+length, length > 0)
}

// notOneNumber complains about what stands at byte at, where nothing or, after
// a number, the end should be.
func (a Answer) notOneNumber(at int, after bool) error {
	rest := a.Text[at:]
	switch {
	case strings.TrimSpace(a.Text) == "":
		return a.fault("M202", at, at, nil, "answered an empty line where a number should be")
	case after && rest[0] == ',':
		return a.fault("M205", at, at+1, []string{"numbers have a decimal point on the wire; a comma stands between two answers",
			"if the meter adds times or units to its readings, set it to send the reading only"}, "answered more than one number: %s", diag.Quote(a.Text))
	case rest[0] == '#':
		return a.fault("M206", at, len(a.Text), []string{"set its data format to ASCII, or switch it off and on"}, "answers in binary, not with a number in text")
	}
	return a.fault("M202", at, len(a.Text), []string{"a reading is a number such as +4.12000000E-01"}, "did not answer with a number: %s", diag.Quote(a.Text))
}

// scanned is a number while it is read.
type scanned struct {
	negative bool
	coef     int64
	exp      int
	digits   int // of coef, without leading zeros
	fits     bool
}

// scanNumber reads the number at the start of a text. Length is how many bytes
// it takes, 0 if there is none.
func scanNumber(text string) (n scanned, length int) {
	i := 0
	n.fits = true
	if i < len(text) && (text[i] == '+' || text[i] == '-') {
		n.negative = text[i] == '-'
		i++
	}
	whole, fraction := digitsAt(text, i), 0
	n.take(text[i : i+whole])
	i += whole
	if i < len(text) && text[i] == '.' {
		fraction = digitsAt(text, i+1)
		n.take(text[i+1 : i+1+fraction])
		n.exp -= fraction
		i += 1 + fraction
	}
	if whole+fraction == 0 {
		return n, 0
	}
	return n, i + n.exponent(text[i:])
}

// exponent reads an exponent, if the text begins with one, and returns its
// length.
func (n *scanned) exponent(text string) int {
	if len(text) < 2 || text[0] != 'E' && text[0] != 'e' {
		return 0
	}
	sign := 0
	if text[1] == '+' || text[1] == '-' {
		sign = 1
	}
	count := digitsAt(text, 1+sign)
	if count == 0 {
		return 0
	}
	power, err := strconv.Atoi(text[1 : 1+sign+count])
	if err != nil || power > maxPower || power < -maxPower {
		n.fits = n.fits && n.coef == 0 // 0E99999 is zero
		power = 0
	}
	n.exp += power
	return 1 + sign + count
}

// take appends digits, and drops zeros that add nothing.
func (n *scanned) take(digits string) {
	for _, d := range []byte(digits) {
		if n.coef == 0 && d == '0' {
			continue
		}
		if n.digits++; n.digits > maxDigits {
			n.fits = n.fits && d == '0'
			n.exp++
			continue
		}
		n.coef = n.coef*10 + int64(d-'0')
	}
}

// number is what was read, in normal form.
func (n scanned) number() Number {
	if n.coef == 0 {
		return Number{}
	}
	for n.coef%10 == 0 {
		n.coef, n.exp = n.coef/10, n.exp+1
	}
	if n.negative {
		n.coef = -n.coef
	}
	plain := Number{Coef: n.coef, Exp: n.exp}
	switch size := math.Abs(plain.Float()); {
	case size >= leastNaN:
		return Number{Kind: NotANumber}
	case size >= leastInfinity && n.negative:
		return Number{Kind: Under}
	case size >= leastInfinity:
		return Number{Kind: Over}
	}
	return plain
}

func digitsAt(text string, at int) int {
	n := 0
	for at+n < len(text) && '0' <= text[at+n] && text[at+n] <= '9' {
		n++
	}
	return n
}

// ParseTruth reads 1, 0, ON or OFF.
func ParseTruth(a Answer) (bool, error) {
	switch strings.ToUpper(strings.TrimSpace(a.Text)) {
	case "1", "+1", "ON":
		return true, nil
	case "0", "+0", "OFF":
		return false, nil
	}
	return false, a.Fault("M207", nil, "answered neither on nor off: %s", diag.Quote(a.Text))
}
