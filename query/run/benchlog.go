package run

import (
	"fmt"
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
	about isolate.Observation // nil if it changes the device only, or tells nothing
	why   string              // it tells nothing, though it was to tell something
	// cannot is why it cannot have been made so.
	cannot string
	state  isolate.State // of the device after it
}

// logged follows the steps of a job.
type logged struct {
	*bench
	job   *board.Job
	reads map[int]board.Reading // by step
	hard  bool                  // the short reads next to nothing; see showsShort
	state isolate.State
	// Parts that are lifted at one end only, and those that were ever off or replaced,
	// in order.
	lifted, touched []int
	ohms            []tipped               // readings in milliohms so far
	circuits        map[string]*railCopper // by state
	feed            inject.Injection       // of the last injection
	at              []trace.Place          // and where it was fed
}

// log takes the steps of a job, in order. Touched are the parts that are off or new
// in the end, those that were touched last at the end.
func (x *bench) log(job *board.Job) (all []told, state isolate.State, touched []int) {
	l := logged{bench: x, job: job, reads: map[int]board.Reading{}}
	alone := board.Knowledge{Jobs: []board.Job{*job}}
	for _, r := range alone.JobReadings() {
		l.reads[r.Step] = r
	}
	l.hard = l.isHard()
	for i := range job.Steps {
		t := told{step: &job.Steps[i]}
		t.about, t.why, t.cannot = l.take(t.step)
		t.state = l.state
		all = append(all, t)
	}
	changed := union(l.state.Off, l.state.New)
	return all, l.state, slices.DeleteFunc(l.touched, func(part int) bool { return !slices.Contains(changed, part) })
}

// take takes one step: what was seen, or why it tells nothing; and why it cannot
// have been made so, if it cannot.
func (l *logged) take(s *board.Step) (about isolate.Observation, why, cannot string) {
	cannot = l.change(s)
	switch s.Kind {
	case board.StepDraw:
		about, why = l.draw(s)
	case board.StepReading, board.StepResistance:
		about, why = l.read(s)
	case board.StepInject:
		l.inject(s)
	case board.StepHot:
		about, why = l.warm(s, isolate.Camera)
	case board.StepFreeze:
		about, why = l.warm(s, isolate.FreezeSpray)
	case board.StepLook:
		about, why = l.look(s)
	default:
		if s.Gone || s.Still {
			about = l.after(s)
		}
	}
	return about, why, cannot
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

// What a supply shows where nothing else is said: common practice, without a
// source.
const (
	usualDraw  = .1 // amps of a device that is in order
	usualLimit = 2  // amps that a supply is set to
	unclear    = 1.5
)

// draw is what the supply gives. With tape over some pads the boards are taken to
// be held together; else, apart, the step must say which of them was fed.
func (l *logged) draw(s *board.Step) (isolate.Observation, string) {
	half, why := l.fed(s)
	if why != "" {
		return nil, why
	}
	o := &isolate.Short{By: isolate.Draw, At: l.device.Source, State: l.state}
	from := l.device.Source
	switch {
	case half != isolate.None:
		o.At, from = l.device.Halves[half].Feed, l.device.Halves[half].Feed
	case len(l.state.Taped) > 0:
		o.By, o.State.Apart = isolate.Tape, false
	}
	o.Seen, why = l.isShort(s.Value.Float(), from)
	if why != "" {
		return nil, why
	}
	return o, ""
}

// isShort judges a draw against what is normal: that is what is expected, in amps, of
// the rail where it was fed.
func (l *logged) isShort(amps float64, from []trace.Place) (seen bool, why string) {
	normal, limit := board.MustQuantity("0.1A"), board.MustQuantity("2A")
	stated := "assumed; to state it: expect amps " + board.QuoteName(l.netName(from)) + " 0.1A"
	for _, p := range from {
		c := l.supply.Copper(p)
		for _, e := range l.site(c.Member).expectedAt(thing{words.Nets, int32(c.Net)}, board.Current) {
			if e.Value.Known() && !e.Open {
				normal, stated = e.Value, "as expected"
			}
		}
	}
	if l.job.Limit.Known() {
		limit = l.job.Limit
	}
	is := func(amps float64) bool { return isolate.Draws(amps, normal.Float(), limit.Float()) }
	if is(amps*unclear) != is(amps/unclear) {
		return false, fmt.Sprintf("it is neither near what is normal (%s, %s) nor near the limit of the supply (%s)", normal, stated, limit)
	}
	return is(amps), ""
}

// netName is the net at the first of some places.
func (l *logged) netName(places []trace.Place) string {
	c := l.supply.Copper(places[0])
	return l.site(c.Member).b.Nets[c.Net].Name
}

// fed is the half that was fed alone; None if it was the whole device.
func (l *logged) fed(s *board.Step) (half int, why string) {
	var roles []string
	for i := range l.scope.Members {
		roles = append(roles, l.scope.Members[i].Role)
	}
	switch {
	case s.Half != "" && !l.state.Apart:
		return 0, "no half is fed alone while the boards are together: log that they were separated"
	case s.Half != "":
		if half = slices.Index(roles, s.Half); half < 0 {
			return 0, "no board here has the role " + s.Half
		}
		return half, ""
	case len(l.state.Taped) > 0 || !l.state.Apart:
		return isolate.None, ""
	}
	if half, ok := halfIn(roles, s.Remark); ok {
		return half, ""
	}
	return 0, "which board was fed is not said: draw " + roles[0] + " " + s.Value.String()
}

// after is whether the short is gone after a step that says so. After tape the
// boards are held together; with a part off they may be apart, and its own board
// is fed.
func (l *logged) after(s *board.Step) isolate.Observation {
	o := &isolate.Short{By: isolate.Draw, At: l.device.Source, State: l.state, Seen: s.Still}
	switch s.Kind {
	case board.StepTape, board.StepUntape, board.StepJoined:
		o.State.Apart = false
	default:
		if here := l.here(s.On[0]); l.state.Apart && len(here) > 0 {
			o.At = l.device.Halves[here[0].member].Feed
		}
	}
	if len(l.state.Taped) > 0 && !o.State.Apart {
		o.By = isolate.Tape
	}
	return o
}

// halfIn is the one board that a remark names by its role.
func halfIn(roles []string, remark string) (half int, ok bool) {
	for _, word := range wordsIn(remark) {
		for member, role := range roles {
			if strings.EqualFold(word, role) && role != "" {
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

// inject is the rail fed from a bench supply, to look for what becomes warm.
func (l *logged) inject(s *board.Step) {
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
