package board

import "strings"

// CompareNatural orders names as people do: runs of digits compare as numbers,
// so C2 comes before C10, and everything else as bytes. It is a total order: two names compare equal only if
// they are the same bytes. It returns -1, 0 or +1.
func CompareNatural(a, b string) int {
	i, j := 0, 0
	for i < len(a) && j < len(b) {
		if !digit(a[i]) || !digit(b[j]) {
			if a[i] != b[j] {
				return order(a[i] < b[j])
			}
			i, j = i+1, j+1
			continue
		}
		da, db := digits(a[i:]), digits(b[j:])
		if c := compareNumbers(a[i:i+da], b[j:j+db]); c != 0 {
			return c
		}
		i, j = i+da, j+db
	}
	if (i < len(a)) != (j < len(b)) {
		return order(i >= len(a))
	}
	// Equal but for leading zeros: bytes decide, so that the order is total.
	return strings.Compare(a, b)
}

// compareNumbers compares two runs of digits of any length by value.
func compareNumbers(a, b string) int {
	a, b = strings.TrimLeft(a, "0"), strings.TrimLeft(b, "0")
	if len(a) != len(b) {
		return order(len(a) < len(b))
	}
	return strings.Compare(a, b)
}

func digits(s string) int {
	n := 0
	for n < len(s) && digit(s[n]) {
		n++
	}
	return n
}

func digit(c byte) bool { return '0' <= c && c <= '9' }

func order(less bool) int {
	if less {
		return -1
	}
	return 1
}
