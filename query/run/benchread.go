package run

import (
	"slices"

	"netlore/query/isolate"
	"netlore/query/readings"
	"netlore/query/trace"
	"netlore/store/board"
)

// read is what a meter showed between the rail and ground.
func (l *logged) read(s *board.Step) (isolate.Observation, string) {
	r, ok := l.reads[s.Number]
	switch {
	case !ok || len(s.On) == 0:
		return nil, "it cannot be read"
	case r.To != (board.Target{}):
		return nil, "it is not against ground"
	}
	at, member, place := l.placesAt(s.On[0])
	if len(at) == 0 {
		return nil, "it is not on the rail"
	}
	seen, why := l.showsShort(&r, member, place)
	if why != "" {
		return nil, why
	}
	o := &isolate.Short{By: isolate.Reading, At: at, State: l.state, Seen: seen}
	if seen {
		return l.gradient(&r, memberThing{member, place}, o), ""
	}
	return o, ""
}

// placesAt are the places on the rail where the tip of a meter, or a clamp, is.
func (l *logged) placesAt(t board.Target) (at []trace.Place, member int, place thing) {
	for _, x := range l.here(t) {
		for _, p := range placesOf(nil, l.supply, x) {
			if l.onRail(p) {
				at = append(at, p)
				member, place = x.member, x.thing
			}
		}
	}
	slices.Sort(at)
	return slices.Compact(at), member, place
}

// surely is how many times a short reads what is certainly none: common practice,
// without a source.
const surely = 20

// showsShort reports whether a reading shows the short that is looked for; why says
// what is missing to tell. If a reading of the job shows next to nothing, only such
// a one does: what is merely low then has another reason, or none. Else the short
// is a leak, and a reading shows it that is too low for what is expected.
func (l *logged) showsShort(r *board.Reading, member int, place thing) (seen bool, why string) {
	limit := readings.ShortLimit(r.Mode, l.site(member).meter(r))
	switch {
	case !limit.Known():
		return false, "such a reading does not tell of a short"
	case r.Outcome == board.Open || r.Outcome == board.NotClosed:
		return false, ""
	case isDead(r, limit):
		return true, ""
	case l.hard && r.Value.SameUnit(limit):
		if r.Value.Float() < surely*limit.Float() {
			return false, "it is between a short and what is none"
		}
		return false, ""
	}
	x := read{site: l.site(member), place: place, mode: r.Mode, newest: []*board.Reading{r}}
	x.expected = x.site.expectedAt(place, r.Mode)
	set, why := x.verdicts()
	if low := set.Is(readings.Of(readings.Shorted) | readings.Of(readings.Low)); low != board.Unknown {
		return low == board.True, ""
	}
	return false, why
}

// isDead reports whether a reading shows next to nothing.
func isDead(r *board.Reading, limit board.Quantity) bool {
	return r.Outcome == board.Closed || r.Outcome == board.Measured && r.Value.SameUnit(limit) && r.Value.Compare(limit) <= 0
}

// isHard reports whether a reading of the job on the rail shows next to nothing.
func (l *logged) isHard() bool {
	for _, r := range l.reads {
		at, member, _ := l.placesAt(r.On)
		if len(at) > 0 && r.To == (board.Target{}) && isDead(&r, readings.ShortLimit(r.Mode, l.site(member).meter(&r))) {
			return true
		}
	}
	return false
}
