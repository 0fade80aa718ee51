package link

import (
	"testing"
	"time"

	"netlore/query/diag"
	"netlore/store"
	"netlore/store/exchange"
)

// TestLeft leaves messages for later, one after the other and each for its own reason, and
// looks at when it is gone back to them, and to which.
func TestLeft(t *testing.T) {
	early, late := exchange.ID{1}, exchange.ID{2} // shops that are known
	for _, c := range []struct {
		what  string
		leave func(t *taking)
		known exchange.ID
		after time.Duration
		due   bool
		place uint64
	}{
		{what: "nothing", leave: func(*taking) {}, known: late},
		{what: "no room, and the same shops are known", leave: func(t *taking) { crowded(t, 7, early) }, known: early, place: 7},
		{what: "no room, and others are known", leave: func(t *taking) { crowded(t, 7, early); crowded(t, 8, early) }, known: late, due: true, place: 7},
		{what: "no room, once before others were known and once after", leave: func(t *taking) { crowded(t, 7, early); crowded(t, 8, late) }, known: late, due: true, place: 7},
		{what: "and then those of before again", leave: func(t *taking) { crowded(t, 8, early); crowded(t, 7, late) }, known: early, due: true, place: 7},
		{what: "of a day to come, and that is not here", leave: func(t *taking) { tomorrow(t, 7, 0) }, after: 23 * time.Hour, place: 7},
		{what: "of a day to come, and one more later", leave: func(t *taking) { tomorrow(t, 7, 0); tomorrow(t, 8, 23*time.Hour) }, after: 24 * time.Hour, due: true, place: 7},
		{what: "both, and others are known", leave: func(t *taking) { crowded(t, 7, early); tomorrow(t, 8, 0) }, known: late, due: true, place: 7},
		{what: "both, and a day has gone by", leave: func(t *taking) { tomorrow(t, 8, 0); crowded(t, 7, early) }, known: early, after: 24 * time.Hour, due: true, place: 7},
	} {
		now := noon
		s := &session{bench: Bench{Now: func() time.Time { return now }}}
		c.leave(&taking{s: s})
		now = noon.Add(c.after)
		if got := s.due(c.known); got != c.due || s.state.Left != c.place {
			t.Errorf("%s: due %v from place %d, want %v, %d", c.what, got, s.state.Left, c.due, c.place)
		}
	}
}

// crowded has no room for a message while some shops are known.
func crowded(t *taking, seq uint64, known exchange.ID) {
	t.fresh, t.at, t.marks, t.known = []fresh{{seq: seq}}, 1, []store.LinkMark{{}}, known
	t.refused(diag.Diagnostic{Code: "X212"})
}

// tomorrow has a message of a day to come, that is looked at after a while.
func tomorrow(t *taking, seq uint64, after time.Duration) {
	now := t.s.bench.Now
	t.fresh, t.at = []fresh{{seq: seq}}, 1
	t.s.bench.Now = func() time.Time { return noon.Add(after) }
	t.unfit(diag.Diagnostic{Code: "X211"})
	t.s.bench.Now = now
}
