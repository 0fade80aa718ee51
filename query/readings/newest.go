package readings

import (
	"slices"
	"time"

	"netlore/store/board"
)

// Newest are the readings of some that may be the newest: those than which none
// is certainly newer. There is more than one where times are not stated. Of one
// job's steps it is the last, whatever the clock said.
func Newest(list []*board.Reading) []*board.Reading {
	last := map[string]int{}
	for _, r := range list {
		last[r.Job] = max(last[r.Job], r.Step)
	}
	list = slices.DeleteFunc(slices.Clone(list), func(r *board.Reading) bool { return r.Step > 0 && r.Step < last[r.Job] })
	var latest time.Time
	for _, r := range list {
		if from, _ := taken(r); from.After(latest) {
			latest = from
		}
	}
	return slices.DeleteFunc(list, func(r *board.Reading) bool {
		_, before := taken(r)
		return !before.IsZero() && !before.After(latest)
	})
}

// taken is when a reading was taken at the earliest, and before when; zero if
// that is not known. A date is the whole day. A step of a job lies between the
// days on which the job was opened and closed.
func taken(r *board.Reading) (from, before time.Time) {
	switch {
	case !r.When.IsZero():
		return r.When, ended(r.When)
	case r.Closed.IsZero():
		return r.Opened, time.Time{}
	}
	return r.Opened, ended(r.Closed)
}

// ended is when a time is over that is stated as a date or to the minute.
func ended(t time.Time) time.Time {
	if t.Equal(t.Truncate(24 * time.Hour)) {
		return t.AddDate(0, 0, 1)
	}
	return t.Add(1)
}

// Expected are the values that hold of some: of one author's, the one with the
// newest date.
func Expected(list []board.Expected) []board.Expected {
	var hold []board.Expected
	for i := range list {
		if !slices.ContainsFunc(list, func(other board.Expected) bool { return replaces(&other, &list[i]) }) {
			hold = append(hold, list[i])
		}
	}
	return hold
}

func replaces(a, b *board.Expected) bool {
	return a.By == b.By && !a.When.IsZero() && !b.When.IsZero() && a.When.After(b.When)
}
