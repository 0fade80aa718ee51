package sheet

import (
	"strings"
	"time"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"netlore/store/board"
)

// value holds what one attribute says. Each shape fills the fields it needs.
type value struct {
	word    int    // index into the attribute's words, plus 1; 0 for none of them
	text    string // a name, or free text
	names   []string
	number  int32 // micrometres, millidegrees or a plain whole number
	second  int32 // the second number: of a size, of a range of layers
	q       board.Quantity
	within  board.Tolerance
	points  []board.Point
	when    time.Time
	targets []board.Target
}

// appendName prints a name, quoted if it must be.
func appendName(dst []byte, name string) []byte {
	if bare(name) {
		return append(dst, name...)
	}
	if name = norm.NFC.String(strings.ToValidUTF8(name, "\ufffd")); board.BareName(name) {
		return append(dst, name...)
	}
	return appendQuoted(dst, name)
}

// bare reports whether a name is certainly bare: plain ASCII throughout. It is
// the quick half of board.BareName.
func bare(name string) bool {
	for i := range len(name) {
		if c := classes[name[i]]; c != plainByte && (c != dotByte || i+1 < len(name) && name[i+1] == '.') {
			return false
		}
	}
	return name != "" && name[0] != '#'
}

// appendQuoted prints text between quotation marks. What a line cannot hold
// becomes a blank.
func appendQuoted(dst []byte, s string) []byte {
	if !utf8.ValidString(s) {
		s = strings.ToValidUTF8(s, "\ufffd")
	}
	dst = append(dst, '"')
	for i := range len(s) {
		switch c := s[i]; {
		case c == '"' || c == '\\':
			dst = append(dst, '\\', c)
		case classes[c] == controlByte:
			dst = append(dst, ' ')
		default:
			dst = append(dst, c)
		}
	}
	return append(dst, '"')
}

// appendTime prints a date, or a date and time in UTC where it is not
// midnight.
func appendTime(dst []byte, t time.Time) []byte {
	t = t.UTC()
	switch {
	case t.Hour() == 0 && t.Minute() == 0 && t.Second() == 0 && t.Nanosecond() == 0:
		return t.AppendFormat(dst, time.DateOnly)
	case t.Second() == 0 && t.Nanosecond() == 0:
		return t.AppendFormat(dst, "2006-01-02T15:04Z")
	}
	return t.AppendFormat(dst, "2006-01-02T15:04:05.999999999Z")
}

// parseTime reads an RFC 3339 date, or date and time; seconds may be left out.
func parseTime(s string) (time.Time, bool) {
	if t, ok := parseDate(s); ok {
		return t, true
	}
	if len(s) < len("2006-01-02T15:04Z") || s[10] != 'T' || s[13] != ':' {
		return time.Time{}, false // package time takes 9:11 for 09:11
	}
	for _, layout := range []string{time.RFC3339, "2006-01-02T15:04Z07:00"} {
		if t, err := time.Parse(layout, s); err == nil && t.UTC().Year() > 0 && t.UTC().Year() < 10000 {
			return t.UTC(), true
		}
	}
	return time.Time{}, false
}

// parseDate reads 2026-03-02.
func parseDate(s string) (time.Time, bool) {
	if len(s) != len(time.DateOnly) || s[4] != '-' || s[7] != '-' {
		return time.Time{}, false
	}
	y, ok1 := whole(s[:4], 9999)
	m, ok2 := whole(s[5:7], 12)
	d, ok3 := whole(s[8:], 31)
	t := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC)
	return t, ok1 && ok2 && ok3 && y > 0 && m > 0 && t.Day() == d
}

// reset makes v ready for the next attribute. It keeps the room of its slices,
// and touches no more than it must: it is called for every word of a file.
func (v *value) reset() {
	v.word, v.number, v.second, v.q = 0, 0, 0, board.Quantity{}
	if v.text != "" {
		v.text = ""
	}
	if len(v.names)+len(v.points)+len(v.targets) > 0 {
		v.names, v.points, v.targets = v.names[:0], v.points[:0], v.targets[:0]
	}
	if v.within.Above.Known() || !v.when.IsZero() {
		v.within, v.when = board.Tolerance{}, time.Time{}
	}
}
