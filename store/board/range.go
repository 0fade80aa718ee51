package board

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// MaxRange is the most names that one range may stand for.
const MaxRange = 4096

// ExpandRange returns the names that s stands for: P11..P14 is four names and
// a range; anything without ".." is itself and no range. The two ends differ
// in their last number only. With leading zeros, both have the same digits:
// P08..P11.
func ExpandRange(s string) (names []string, isRange bool, err error) {
	from, to, found := strings.Cut(s, "..")
	if !found {
		return []string{s}, false, nil
	}
	lo, ok1 := cutNumber(from)
	hi, ok2 := cutNumber(to)
	if err := rangeFault(lo, hi, ok1 && ok2); err != nil {
		return nil, true, fmt.Errorf("%q %w", s, err)
	}
	names = make([]string, 0, hi.value-lo.value+1)
	for k := range hi.value - lo.value + 1 {
		names = append(names, lo.plus(k))
	}
	return names, true, nil
}

// rangeFault says why two ends make no range.
func rangeFault(lo, hi numbered, whole bool) error {
	switch {
	case !whole:
		return errors.New("is no range of names; expected a number at both ends, as in P11..P14")
	case lo.head != hi.head || lo.tail != hi.tail:
		return errors.New("is no range of names; expected ends that differ in their number only, as in P11..P14")
	case (lo.padded() || hi.padded()) && len(lo.digits) != len(hi.digits):
		return errors.New("has ends with different leading zeros; expected the same number of digits, as in P08..P11")
	case hi.value < lo.value:
		return errors.New("runs backwards; expected the lower end first")
	case hi.value-lo.value >= MaxRange:
		return fmt.Errorf("is more than %d names", MaxRange)
	}
	return nil
}

// CompressRange writes three or more successive names that a range can stand
// for as that range: P11 P12 P13 P14 is P11..P14. The order of the names stays
// and ExpandRange gives them all back.
func CompressRange(names []string) []string {
	var short []string
	for i := 0; i < len(names); {
		n := runLength(names[i:])
		if n < 3 {
			n = 1
			short = append(short, names[i])
		} else {
			short = append(short, names[i]+".."+names[i+n-1])
		}
		i += n
	}
	return short
}

// runLength is how many names from the first on make a range.
func runLength(names []string) int {
	first, ok := cutNumber(names[0])
	if !ok || !BareName(names[0]) {
		return 1
	}
	n := 1
	for n < min(len(names), MaxRange) && first.isPlus(n, names[n]) {
		if first.padded() && len(names[n]) != len(names[0]) {
			break
		}
		n++
	}
	return n
}

// numbered is a name taken apart at its last number.
type numbered struct {
	head, digits, tail string
	value              int
}

// cutNumber takes a name apart. It reports false if there is no number, or one
// of more than nine digits.
func cutNumber(s string) (numbered, bool) {
	end := len(s)
	for end > 0 && !digit(s[end-1]) {
		end--
	}
	start := end
	for start > 0 && digit(s[start-1]) {
		start--
	}
	if start == end || end-start > 9 {
		return numbered{}, false
	}
	value, err := strconv.Atoi(s[start:end])
	return numbered{s[:start], s[start:end], s[end:], value}, err == nil
}

// padded reports whether the number has leading zeros.
func (n numbered) padded() bool { return len(n.digits) > 1 && n.digits[0] == '0' }

// plus is the name k numbers on.
func (n numbered) plus(k int) string {
	return fmt.Sprintf("%s%0*d%s", n.head, len(n.digits), n.value+k, n.tail)
}

// isPlus reports whether a name is the one k numbers on.
func (n numbered) isPlus(k int, name string) bool {
	o, ok := cutNumber(name)
	long := len(o.digits) > len(n.digits) && !o.padded()
	return ok && o.value == n.value+k && o.head == n.head && o.tail == n.tail && (long || len(o.digits) == len(n.digits))
}
