package run

import (
	"cmp"
	"slices"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/readings"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// read is what was read at one place of a thing in one mode: the readings that
// may be the newest, and what is expected there.
type read struct {
	site     *site
	place    thing
	mode     board.Mode
	newest   []*board.Reading
	expected []board.Expected // what is stated; see expects
}

// readsOf is what was read at a thing, place by place and mode by mode. A pad or
// pin is a place; a net has many. Only what was read against ground counts, and
// not what was read on a known-good board.
func (s *site) readsOf(t thing, jobs check.Jobs) []read {
	var all []read
	byPlace := map[[3]int32][]*board.Reading{}
	st := s.statements(words.Readings)
	for _, id := range st.of[t] {
		r := &s.readings()[id]
		if !judgeable(r) || !counts(r, jobs) {
			continue
		}
		place := st.about[id][0]
		key := [3]int32{int32(place.noun), place.id, int32(r.Mode)}
		if byPlace[key] == nil {
			all = append(all, read{site: s, place: place, mode: r.Mode})
		}
		byPlace[key] = append(byPlace[key], r)
	}
	for i := range all {
		x := &all[i]
		x.newest = readings.Newest(byPlace[[3]int32{int32(x.place.noun), x.place.id, int32(x.mode)}])
		x.expected = s.expectedAt(x.place, x.mode)
	}
	return all
}

// judgeable reports whether a reading was taken against ground, and of a board
// that may be bad.
func judgeable(r *board.Reading) bool {
	return !r.Good && r.Mode != board.HotSpot && r.To == (board.Target{})
}

func counts(r *board.Reading, jobs check.Jobs) bool {
	switch {
	case jobs.Every:
		return r.Job != ""
	case jobs.Names == nil:
		return true
	}
	return slices.Contains(jobs.Names, r.Job)
}

// expectedAt is what is expected at a place in a mode: what is stated of the
// place itself, else of its net.
func (s *site) expectedAt(place thing, mode board.Mode) []board.Expected {
	st := s.statements(words.Expected)
	at := func(t thing) []board.Expected {
		var list []board.Expected
		for _, id := range st.of[t] {
			if e := s.k.Expected[id]; e.Mode == mode && st.about[id][0] == t {
				list = append(list, e)
			}
		}
		return readings.Expected(list)
	}
	list := at(place)
	if net := s.netOf(place); list == nil && net != board.None {
		return at(thing{words.Nets, int32(net)})
	}
	return list
}

// netOf is the net of a place.
func (s *site) netOf(t thing) board.NetID {
	switch t.noun {
	case words.Pins:
		return s.b.Pins[t.id].Net
	case words.Pads:
		return s.b.Pads[t.id].Net
	case words.Branches:
		return s.pieces()[t.id].Net
	}
	return board.None
}

// reads judges whether a reading of a thing fits.
func (ev *evaluator) reads(n *plan.Node, id int32) finding {
	r := n.Reads
	all := ev.readsOf(thing{n.Noun, id}, r.Jobs)
	if r.Verdicts == 0 && r.Side == readings.NoVerdict && r.Compare == nil {
		return known(len(all) > 0)
	}
	got := no
	for i := range all {
		got = got.or(all[i].fits(r))
	}
	return got
}

// fits judges what was read at a place. Of readings of which any may be the
// newest, all have to agree.
func (x *read) fits(r *check.Reads) finding {
	if r.Verdicts != 0 {
		set, why := x.verdicts()
		f := finding{Truth: set.Is(r.Verdicts), why: why}
		return f
	}
	first := x.fitsOne(x.newest[0], r)
	for _, other := range x.newest[1:] {
		if x.fitsOne(other, r).Truth != first.Truth {
			return unknown(newestUnknown)
		}
	}
	return first
}

const newestUnknown = "which reading is the newest is not known"

func (x *read) fitsOne(one *board.Reading, r *check.Reads) finding {
	if r.Compare == nil {
		t, why := readings.Beyond(one, x.expects(one), r.Side, r.By)
		return finding{t, why}
	}
	f := fits(r.Compare, shownOf(one), "")
	if r.Compare.Op == check.NotEqual {
		return f.not()
	}
	return f
}

// verdicts are those that are possible, and if there are several, what is
// missing.
func (x *read) verdicts() (set readings.Verdicts, why string) {
	for _, one := range x.newest {
		more, missing := readings.Judge(one, x.expects(one), x.site.meter(one))
		if set != 0 && more != set {
			missing = newestUnknown
		}
		set |= more
		if missing != "" {
			why = missing
		}
	}
	return set, why
}

// shownOf is a reading for a cell: a number, or the word for what the meter
// showed instead.
func shownOf(r *board.Reading) value.Value {
	if r.Outcome != board.Measured {
		return value.OfWord(r.Outcome.Word(r.Mode), int(r.Outcome))
	}
	return value.OfQuantity(r.Value)
}

// shown are the newest readings for a cell.
func (x *read) shown() []value.Value {
	var all []value.Value
	for _, r := range x.newest {
		all = appendShown(all, shownOf(r))
	}
	return all
}

// verdictShown is the verdict for a cell, if only one is possible.
func (x *read) verdictShown() []value.Value {
	set, _ := x.verdicts()
	if v, sure := set.Sole(); sure {
		return []value.Value{value.OfWord(v.String(), int(v))}
	}
	return []value.Value{{}}
}

// verdictOf is how the newest readings of a thing lie to what is expected, in
// order; none of what was not measured.
func (s *site) verdictOf(t thing, jobs check.Jobs) fact {
	var all judgements
	reads := s.readsOf(t, jobs)
	for i := range reads {
		all.add(reads[i].verdicts())
	}
	return all.fact()
}

// judgements are the verdicts at the places of a thing.
type judgements struct {
	sure []value.Value
	gap  *gap // at some place it is not known
}

// add adds what is possible at a place.
func (j *judgements) add(set readings.Verdicts, why string) {
	if v, sure := set.Sole(); sure {
		j.sure = appendShown(j.sure, value.OfWord(v.String(), int(v)))
		return
	}
	if j.gap == nil {
		j.gap = &gap{open: true}
	}
	j.gap.why = cmp.Or(j.gap.why, why)
}

func (j *judgements) fact() fact {
	slices.SortFunc(j.sure, value.Compare)
	if j.gap != nil && j.sure != nil {
		j.sure = append(j.sure, value.Value{})
	}
	return fact{sure: value.OfList(j.sure), gap: j.gap}
}

// readingVerdict is how a single reading lies to what is expected. One that does
// not count for verdicts has none.
func readingVerdict(s *site, id int32) fact {
	r := &s.readings()[id]
	about := s.statements(words.Readings).about[id]
	if !judgeable(r) || len(about) == 0 {
		return fact{}
	}
	x := read{site: s, place: about[0], mode: r.Mode, newest: []*board.Reading{r}, expected: s.expectedAt(about[0], r.Mode)}
	var one judgements
	one.add(x.verdicts())
	return one.fact()
}

// expectedCell is what is expected where a thing was read, or else of the thing
// itself in any mode.
func (s *site) expectedCell(t thing, jobs check.Jobs) value.Value {
	var all []value.Value
	reads := s.readsOf(t, jobs)
	for i := range reads {
		for _, r := range reads[i].newest {
			all = appendShown(all, expectedShown(reads[i].expects(r))...)
		}
	}
	for mode := board.Diode; mode <= board.Continuity && reads == nil; mode++ {
		x := read{site: s, place: t, mode: mode, expected: s.expectedAt(t, mode)}
		all = appendShown(all, expectedShown(x.expects(&board.Reading{}))...)
	}
	return value.OfList(all)
}

func expectedShown(list []board.Expected) []value.Value {
	var all []value.Value
	for i := range list {
		if e := &list[i]; e.Open {
			all = append(all, value.OfWord(board.Open.Word(e.Mode), int(board.Open)))
		} else {
			all = append(all, value.OfQuantity(e.Value))
		}
	}
	return all
}

// appendShown appends values that do not show the same as one that is there.
func appendShown(list []value.Value, more ...value.Value) []value.Value {
	for _, v := range more {
		if !slices.ContainsFunc(list, func(have value.Value) bool { return value.Compare(have, v) == 0 }) {
			list = append(list, v)
		}
	}
	return list
}
