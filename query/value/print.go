package value

import (
	"math"
	"strconv"
	"strings"
	"time"

	"netlore/store/board"
)

// What stands for a value that is not there.
const (
	UnknownMark = "?"
	NoneMark    = "-"
)

// String prints the value with its unit: upper:C1201, 10uF, 7 to 9, 2026-03-02.
func (v Value) String() string { return v.In("") }

// In prints the value for a column with a unit in its head: its numbers are
// given in that unit and without it. Numbers that have no such unit are printed
// with their own.
func (v Value) In(unit string) string {
	switch v.kind {
	case None:
		return NoneMark
	case Text, Word, Name:
		return v.text
	case Quantity:
		return printIn(v.quantity(), unit)
	case Count:
		return v.countText()
	case Time:
		return timeText(time.Unix(0, v.low).UTC())
	case Truth:
		return board.Truth(v.low).String()
	case List:
		return v.listText(unit)
	}
	return UnknownMark
}

func (v Value) countText() string {
	switch {
	case v.more == nil:
		return strconv.FormatInt(v.low, 10)
	case v.more.top == math.MaxInt:
		return "at least " + strconv.FormatInt(v.low, 10)
	}
	return strconv.FormatInt(v.low, 10) + " to " + strconv.FormatInt(v.top(), 10)
}

func (v Value) listText(unit string) string {
	texts := make([]string, len(v.more.list))
	for i, item := range v.more.list {
		texts[i] = item.In(unit)
	}
	return strings.Join(texts, ", ")
}

// timeText leaves out the time of day if it is midnight.
func timeText(t time.Time) string {
	if t.Equal(t.Truncate(24 * time.Hour)) {
		return t.Format(time.DateOnly)
	}
	return t.Format(time.RFC3339Nano)
}
