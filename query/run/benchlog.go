package run

import (
	"slices"
	"strings"

	"netlore/query/isolate"
	"netlore/query/isolate/inject"
	"netlore/query/readings"
	"netlore/query/trace"
	"netlore/query/words"
	"netlore/store/board"
)

// told is a step of a job, as the isolation takes it.
type told struct {
	step  *board.Step
	about isolate.Observation // nil if it changes the device, or tells nothing
	why   string              // it tells nothing, though it was to tell something
}

// logged follows the steps of a job.
type logged struct {
	*bench
	job   *board.Job
	reads map[int]board.Reading // by step
	hard  bool                  // the short reads next to nothing; see showsShort
	state isolate.State
	feed  inject.Injection // of the last injection
	at    []trace.Place    // and where it was fed
}

// log takes the steps of a job, in order.
func (x *bench) log(job *board.Job) (all []told, state isolate.State) {
	l := logged{bench: x, job: job, reads: map[int]board.Reading{}}
	alone := board.Knowledge{Jobs: []board.Job{*job}}
	for _, r := range alone.JobReadings() {
		l.reads[r.Step] = r
	}
	l.hard = l.isHard()
	for i := range job.Steps {
		t := told{step: &job.Steps[i]}
		t.about, t.why = l.take(t.step)
		all = append(all, t)
	}
	return all, l.state
}

// take takes one step: what was seen, or why it tells nothing.
func (l *logged) take(s *board.Step) (isolate.Observation, string) {
	switch s.Kind {
	case board.StepSeparated:
		l.state.Loose, l.state.Apart = true, true
	case board.StepJoined:
		l.state.Apart = false
	case board.StepTape:
		l.state.Taped = union(l.state.Taped, l.pads(s))
	case board.StepUntape:
		l.state.Taped = except(l.state.Taped, l.pads(s))
	case board.StepCoverOff:
		l.state.Lids = union(l.state.Lids, l.lids(s))
	case board.StepCoverOn:
		l.state.Lids = except(l.state.Lids, l.lids(s))
	case board.StepLifted, board.StepRemoved, board.StepReplaced:
		l.state.Off = union(l.state.Off, l.partsOf(s))
	case board.StepFitted:
		l.state.Off = except(l.state.Off, l.partsOf(s))
	case board.StepDraw:
		return l.draw(s)
	case board.StepReading, board.StepResistance:
		return l.read(s)
	case board.StepInject:
		return l.inject(s)
	case board.StepHot:
		return l.warm(s, isolate.Camera)
	case board.StepFreeze:
		return l.warm(s, isolate.FreezeSpray)
	case board.StepLook:
		return l.look(s)
	}
	return nil, ""
}

func union(list, more []int) []int {
	list = append(slices.Clip(list), more...)
	slices.Sort(list)
	return slices.Compact(list)
}

func except(list, less []int) []int {
	return slices.DeleteFunc(slices.Clone(list), func(i int) bool { return slices.Contains(less, i) })
}

// here are the things that a target names, on each member that has one.
func (x *bench) here(t board.Target) (all []memberThing) {
	for member := range x.scope.Members {
		s := x.site(member)
		if found, ok := s.find(t); ok && s.isHere(t) {
			all = append(all, memberThing{member, found})
		}
	}
	return all
}

func (l *logged) pads(s *board.Step) (all []int) {
	for _, t := range s.On {
		for _, pad := range l.here(t) {
			if at, ok := l.padAt[trace.Pad{Member: pad.member, ID: board.PadID(pad.id)}]; ok && pad.noun == words.Pads {
				all = append(all, at)
			}
		}
	}
	return all
}

func (l *logged) partsOf(s *board.Step) (all []int) {
	for _, t := range s.On {
		for _, part := range l.here(t) {
			if at, ok := l.partAt[part]; ok {
				all = append(all, at)
			}
		}
	}
	return all
}

// lids are covers; a name is first that of a cover here.
func (l *logged) lids(s *board.Step) (all []int) {
	for _, t := range s.On {
		t.Kind = board.OnCover
		for _, c := range l.here(t) {
			if at, ok := l.lidAt[c]; ok {
				all = append(all, at)
			}
		}
	}
	return all
}

// What a supply shows where nothing else is said: common practice, without a
// source.
const (
	usualDraw  = .1 // amps of a device that is in order
	usualLimit = 2  // amps that a supply is set to
	unclear    = 1.5
)

// draw is what the supply gives. With tape over some pads the boards are taken to
// be held together; else, apart, the remark must say which of them was fed.
func (l *logged) draw(s *board.Step) (isolate.Observation, string) {
	limit := float64(usualLimit)
	if l.job.Limit.Known() {
		limit = l.job.Limit.Float()
	}
	amps := s.Value.Float()
	o := &isolate.Short{By: isolate.Draw, At: l.device.Source, State: l.state, Seen: isolate.Draws(amps, usualDraw, limit)}
	switch {
	case isolate.Draws(amps*unclear, usualDraw, limit) != isolate.Draws(amps/unclear, usualDraw, limit):
		return nil, "it is neither what is normal nor what the supply is limited to"
	case len(l.state.Taped) > 0:
		o.By, o.State.Apart = isolate.Tape, false
	case l.state.Apart:
		half, ok := l.halfIn(s.Remark)
		if !ok {
			return nil, "which board was fed is not said; a remark can: draw 0.1A \"lower alone\""
		}
		o.At = l.device.Halves[half].Feed
	}
	return o, ""
}

// halfIn is the one board that a remark names.
func (l *logged) halfIn(remark string) (half int, ok bool) {
	for _, word := range wordsIn(remark) {
		for member := range l.scope.Members {
			if role := l.scope.Members[member].Role; strings.EqualFold(word, role) && role != "" {
				if ok && half != member {
					return 0, false
				}
				half, ok = member, true
			}
		}
	}
	return half, ok
}

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
	return &isolate.Short{By: isolate.Reading, At: at, State: l.state, Seen: seen}, ""
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

// inject is the rail fed from a bench supply, to look for what becomes warm.
func (l *logged) inject(s *board.Step) (isolate.Observation, string) {
	l.feed = inject.Injection{Volts: usualVolts, Amps: usualLimit, Path: usualPath}
	if s.Volts.Known() {
		l.feed.Volts = s.Volts.Float()
	}
	if s.Amps.Known() {
		l.feed.Amps = s.Amps.Float()
	}
	l.at = nil
	if len(s.On) > 0 {
		l.at, _, _ = l.placesAt(s.On[0])
	}
	return nil, ""
}

// warm is what became warm, or that nothing did.
func (l *logged) warm(s *board.Step, with isolate.Tool) (isolate.Observation, string) {
	if len(l.at) == 0 {
		return nil, "where the rail was fed is not said before it"
	}
	h := isolate.Heat{With: with, At: l.at, State: l.state, Feed: l.feed, Part: isolate.None}
	if s.Nothing || len(s.On) == 0 {
		return &h, ""
	}
	h.Seen = true
	for _, x := range l.here(s.On[0]) {
		if at, ok := l.partAt[x]; ok {
			h.Part, h.Spot = at, l.device.Parts[at].Spot
			return &h, ""
		}
		if spot, ok := l.spotOf(x); ok {
			h.Spot = spot
			return &h, ""
		}
	}
	return nil, "where that is is not known"
}

// spotOf is where a thing is.
func (l *logged) spotOf(x memberThing) (isolate.Spot, bool) {
	switch x.noun {
	case words.Parts:
		s := l.partSpot(x.member, board.PartID(x.id))
		return s, s.Placed
	case words.Pads:
		s := l.padSpot(trace.Pad{Member: x.member, ID: board.PadID(x.id)})
		return s, s.Placed
	case words.Pins:
		return l.spotOf(memberThing{x.member, thing{words.Parts, int32(l.site(x.member).b.Pins[x.id].Part)}})
	}
	return isolate.Spot{}, false
}

// marks are words for what liquid leaves.
var marks = []string{"corro", "residue", "green", "white", "liquid", "rust", "stain", "crust"}

// look is what was seen of a place by eye. Only what liquid leaves is understood.
func (l *logged) look(s *board.Step) (isolate.Observation, string) {
	said := strings.ToLower(s.Remark)
	isMark := slices.ContainsFunc(marks, func(m string) bool { return strings.Contains(said, m) })
	if len(s.On) == 0 || !isMark && !s.Nothing {
		return nil, "only corrosion on something is understood of a look"
	}
	for _, x := range l.here(s.On[0]) {
		if spot, ok := l.spotOf(x); ok {
			const around = 2 // mm: common practice, without a source
			return &isolate.Stain{State: l.state, Spot: spot, Radius: around, Seen: !s.Nothing}, ""
		}
	}
	return nil, "where that is is not known"
}
