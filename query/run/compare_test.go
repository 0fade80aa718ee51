package run

import (
	"strings"
	"testing"
	"time"

	"netlore/query/check"
	"netlore/store/board"
)

// A day is the whole day: a moment in it is neither before nor after it.
func TestTimesAgainstADay(t *testing.T) {
	day := time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)
	want := check.Value{From: day.UnixNano(), To: day.AddDate(0, 0, 1).UnixNano()}
	for at, holds := range map[time.Duration]string{
		-time.Second: "!= < <=", 0: "= <= >= between", 13 * time.Hour: "= <= >= between", 24 * time.Hour: "!= > >=",
	} {
		for sign, op := range map[string]check.CompareOp{"=": check.Equal, "!=": check.NotEqual, "<": check.Less, "<=": check.LessEqual,
			">": check.Greater, ">=": check.GreaterEqual, "between": check.Between} {
			got := fitsTime(op, day.Add(at).UnixNano(), want)
			if op == check.NotEqual {
				got = !got // it says whether they are equal
			}
			if expect := strings.Contains(" "+holds+" ", " "+sign+" "); got != expect {
				t.Errorf("%s after midnight %s the day: %t", at, sign, got)
			}
		}
	}
}

// Numbers in another unit do not fit, and what a meter showed instead of
// a number is neither above nor below one.
func TestQuantitiesAndOpen(t *testing.T) {
	limit := check.Value{Quantity: board.MustQuantity("0.4V")}
	open := check.Value{Outcome: board.Open}
	for _, c := range []struct {
		q    string
		op   check.CompareOp
		want check.Value
		fits bool
	}{
		{"400mV", check.Equal, limit, true}, {"400mV", check.GreaterEqual, limit, true}, {"399mV", check.Less, limit, true},
		{"1ohm", check.Greater, limit, false}, {"1ohm", check.Less, limit, false}, {"0.4V", check.Equal, open, false},
		{"0.35V", check.Between, check.Value{Low: board.MustQuantity("350mV"), High: board.MustQuantity("0.4V")}, true},
		{"0.3499V", check.Equal, check.Value{Interval: true, Low: board.MustQuantity("350mV"), High: board.MustQuantity("0.4V")}, false},
	} {
		if got := fitsQuantity(c.op, board.MustQuantity(c.q), c.want); got != c.fits {
			t.Errorf("%s: %t", c.q, got)
		}
	}
}
