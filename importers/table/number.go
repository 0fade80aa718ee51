package table

import (
	"errors"
	"math"
	"strings"

	"netlore/store/board"
)

// errComma says that a comma may stand for thousands or for the decimal point.
var errComma = errors.New("has a comma that may be a decimal comma or a mark for thousands")

// point puts the decimal point in place of a comma and takes out marks for
// thousands: 51,8 and 1.051,8 and 1,051.8. A comma before just three digits
// could be either, so it is only read where the table has decimal commas, or
// after a 0.
func point(s string, decimalComma bool) (string, error) {
	comma := strings.IndexByte(s, ',')
	if comma < 0 {
		return s, nil
	}
	last := strings.LastIndexByte(s, ',')
	dot := strings.LastIndexByte(s, '.')
	switch {
	case dot > last && thousands(s[:dot], ','):
		return strings.ReplaceAll(s, ",", ""), nil
	case dot >= 0 && dot < comma && comma == last && thousands(s[:comma], '.'):
		return strings.ReplaceAll(s[:comma], ".", "") + "." + s[comma+1:], nil
	case dot >= 0 || comma != last:
		return s, errComma
	}
	before, after := strings.TrimLeft(s[:comma], "+-"), digitsOf(s[comma+1:])
	if after == 3 && !decimalComma && strings.Trim(before, "0") != "" {
		return s, errComma
	}
	return s[:comma] + "." + s[comma+1:], nil
}

// thousands reports whether s is digits in groups of three, like 12,345.
func thousands(s string, mark byte) bool {
	groups := strings.Split(strings.TrimLeft(s, "+-"), string(mark))
	for i, g := range groups {
		if digitsOf(g) != len(g) || i > 0 && len(g) != 3 || i == 0 && (len(g) == 0 || len(g) > 3) {
			return false
		}
	}
	return true
}

// digitsOf counts the digits that s begins with.
func digitsOf(s string) int {
	n := 0
	for n < len(s) && '0' <= s[n] && s[n] <= '9' {
		n++
	}
	return n
}

// plainNumber reads a number that may have a unit of length: in metres if it
// has, else with unit One.
func plainNumber(s string, decimalComma bool) (board.Quantity, error) {
	s, err := point(s, decimalComma)
	if err != nil {
		return board.Quantity{}, err
	}
	q, err := board.ParseQuantity(s, board.One)
	if err == nil {
		return q, nil
	}
	low := strings.ToLower(s)
	for _, text := range []string{s, low, strings.TrimSuffix(low, "s"), strings.TrimSuffix(s, `"`) + "in"} {
		if q, ok := board.ParseQuantity(text, board.Metre); ok == nil {
			return q, nil
		}
	}
	return q, err
}

// lengths are the units in which a table may give lengths.
var lengths = map[string]struct {
	coef int64
	exp  int
}{"mm": {1, -3}, "mil": {254, -7}, "in": {254, -4}, "um": {1, -6}} // the inch is 25.4 mm exactly

// inUnit gives a plain number the unit of length. What has one already is left
// alone, and so is everything if the unit is "".
func inUnit(q board.Quantity, unit string) (board.Quantity, bool) {
	u, ok := lengths[unit]
	if q.Unit != board.One || !ok {
		return q, true
	}
	coef, exp := q.Coef, int(q.Exp)
	for coef > maxDigits || coef < -maxDigits { // 67.400000000000006, as spreadsheets have it
		coef, exp = (coef+5*int64(sign(coef)))/10, exp+1
	}
	return board.NewQuantity(coef*u.coef, exp+u.exp, board.Metre)
}

// maxDigits is the most that a length counts before it gets its unit.
const maxDigits = 1e15

func sign(n int64) int {
	if n < 0 {
		return -1
	}
	return 1
}

// maxPlace is how far from the origin anything can lie, in micrometres.
const maxPlace = 2_000_000

// micrometres is a length of a board. It reports false if no board is that
// large.
func micrometres(q board.Quantity) (int32, bool) {
	um, ok := board.Micrometres(q)
	return um, ok && -maxPlace <= um && um <= maxPlace
}

// angle reads degrees and gives millidegrees from 0 to below 360 000.
func angle(s string, decimalComma bool) (int32, error) {
	s = strings.TrimRight(strings.TrimSuffix(strings.TrimSuffix(s, "°"), "deg"), " ")
	s, err := point(s, decimalComma)
	if err != nil {
		return 0, err
	}
	q, err := board.ParseQuantity(s, board.One)
	if err != nil {
		return 0, err
	}
	milli := math.Mod(math.Round(q.Float()*1000), 360_000)
	if milli < 0 {
		milli += 360_000
	}
	return int32(milli), nil
}
