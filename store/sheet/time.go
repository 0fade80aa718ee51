package sheet

import (
	"strconv"
	"strings"
	"time"

	"netlore/query/diag"
)

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

// noTime complains of what is no date or time.
func (c *cursor) noTime(t token, s string, a *attribute) *problem {
	p := c.fault(t, "S211", diag.Unexpected(s, "", a.expects()), "year first, by RFC 3339")
	switch likely := likelyDate(s); {
	case likely != "":
		p.Help = []string{"did you mean " + likely + "?"}
		p.Edits = editOf(*p)
	case looksLike(s, "0000-00-00"):
		p.Message, p.Help = "there is no such day as "+s, nil
	case len(s) > 16 && looksLike(s[:16], "0000-00-00T00:00"):
		if _, ok := parseDate(s[:10]); !ok {
			p.Message, p.Help = "there is no such day as "+s[:10], nil
		} else {
			p.Message, p.Help = "there is no such time as "+s[11:], []string{"expected hours and minutes and the zone, as in 10:11Z or 11:11+01:00"}
		}
	case looksLike(s, "0000-00-00T00:00"):
		p.Message, p.Help = diag.Quote(s)+" has no zone", []string{"write " + s + "Z if it is in UTC, or the offset, as in " + s + "+01:00"}
	}
	return p
}

// looksLike reports whether s has a digit wherever the pattern has a 0, and is
// the same otherwise.
func looksLike(s, pattern string) bool {
	if len(s) != len(pattern) {
		return false
	}
	for i := range len(s) {
		if isDigit(pattern[i]) != isDigit(s[i]) || !isDigit(s[i]) && s[i] != pattern[i] {
			return false
		}
	}
	return true
}

// likelyDate is the date that was meant by 2026-3-2, 2026/03/02 or 2.3.2026, or
// "". Of 2/3/2026 it cannot be told.
func likelyDate(s string) string {
	parts := strings.FieldsFunc(s, func(r rune) bool { return r == '-' || r == '/' || r == '.' })
	if len(parts) == 3 && len(parts[2]) == 4 && strings.Count(s, ".") == 2 {
		parts[0], parts[2] = parts[2], parts[0]
	}
	if len(parts) != 3 || len(parts[0]) != 4 {
		return ""
	}
	var n [3]int
	for i, part := range parts {
		var err error
		if n[i], err = strconv.Atoi(part); err != nil {
			return ""
		}
	}
	date := time.Date(n[0], time.Month(n[1]), n[2], 0, 0, 0, 0, time.UTC).Format(time.DateOnly)
	if t, ok := parseDate(date); !ok || date == s || int(t.Month()) != n[1] || t.Day() != n[2] {
		return ""
	}
	return date
}
