package sheet

import (
	"math"
	"strconv"
	"strings"
)

// thousandths reads a decimal number and returns it in thousandths: a length
// in mm as micrometres, an angle as millidegrees. Further digits are rounded,
// halves away from zero. It reports false if s is no such number or beyond
// what an int32 of thousandths holds.
func thousandths(s string) (int32, bool) {
	i, negative := 0, false
	if s != "" && (s[0] == '-' || s[0] == '+') {
		i, negative = 1, s[0] == '-'
	}
	n, digits := int64(0), 0
	for ; i < len(s) && isDigit(s[i]); i++ {
		if n = n*10 + int64(s[i]-'0'); n > math.MaxInt32 {
			return 0, false
		}
		digits++
	}
	n *= 1000
	if i < len(s) && s[i] == '.' {
		var ok bool
		if i, n, ok = fraction(s, i+1, n); !ok {
			return 0, false
		}
		digits++
	}
	if digits == 0 || i < len(s) || n > math.MaxInt32 {
		return 0, false
	}
	if negative {
		n = -n
	}
	return int32(n), true
}

// fraction adds the digits from i on to n. There must be at least one.
func fraction(s string, i int, n int64) (end int, sum int64, ok bool) {
	from, place := i, int64(100)
	for ; i < len(s) && isDigit(s[i]); i++ {
		d := int64(s[i] - '0')
		if i == from+3 && d >= 5 {
			n++
		}
		n += d * place
		place /= 10
	}
	return i, n, i > from
}

// millimetres reads a length in mm, with or without the unit.
func millimetres(s string) (int32, bool) {
	return thousandths(strings.TrimSuffix(s, "mm"))
}

// appendThousandths prints n thousandths as a decimal number without needless
// digits: 12.3, -0.05, 4.
func appendThousandths(dst []byte, n int32) []byte {
	m := int64(n)
	if m < 0 {
		dst, m = append(dst, '-'), -m
	}
	dst = strconv.AppendInt(dst, m/1000, 10)
	rest := m % 1000
	if rest == 0 {
		return dst
	}
	dst = append(dst, '.', byte('0'+rest/100))
	if rest%100 != 0 {
		dst = append(dst, byte('0'+rest/10%10))
	}
	if rest%10 != 0 {
		dst = append(dst, byte('0'+rest%10))
	}
	return dst
}

// whole reads a number without sign or point, at most most.
func whole(s string, most int) (int, bool) {
	n := 0
	for i := range len(s) {
		if !isDigit(s[i]) {
			return 0, false
		}
		if n = n*10 + int(s[i]-'0'); n > most {
			return 0, false
		}
	}
	return n, s != ""
}

// splitSize cuts 5x3.5mm into its two numbers. Each may carry the unit.
func splitSize(s string) (w, h string, ok bool) {
	w, h, ok = strings.Cut(s, "x")
	return strings.TrimSuffix(w, "mm"), strings.TrimSuffix(h, "mm"), ok && strings.HasSuffix(s, "mm")
}

// plainSize reads one number of a size: no sign, and above zero.
func plainSize(s string) (int32, bool) {
	n, ok := thousandths(s)
	return n, ok && n > 0 && s[0] != '+'
}

// looksLikeTolerance reports whether s was meant as a tolerance: it starts with
// ±, has a second sign after the first (+20mV/-10mV, not 1e-3V), or ends in %.
func looksLikeTolerance(s string) bool {
	if strings.HasPrefix(s, "±") || s[len(s)-1] == '%' {
		return true
	}
	if s[0] != '+' && s[0] != '-' {
		return false
	}
	i := strings.IndexAny(s[1:], "+-") + 1
	return i > 0 && s[i-1] != 'e' && s[i-1] != 'E'
}

// looksLikeSize reports whether s was meant as a size: 5x3, 5mmX3mm, 5×3mm, 5*3mm.
func looksLikeSize(s string) bool {
	i := strings.IndexAny(s, "xX×*")
	if i < 0 || !strings.ContainsAny(s[i:], "0123456789") {
		return false
	}
	w := strings.TrimLeft(strings.TrimSuffix(s[:i], "mm"), "+-")
	return w != "" && isDigit(w[len(w)-1]) && (isDigit(w[0]) || w[0] == '.')
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

// isRange reports whether a bare word has two dots, as ranges have.
func isRange(s string) bool { return strings.Contains(s, "..") }

// cutRange cuts 1..2 into its ends.
func cutRange(s string) (from, to string, ok bool) { return strings.Cut(s, "..") }
