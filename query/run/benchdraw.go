package run

import (
	"fmt"
	"slices"
	"strings"

	"netlore/query/isolate"
	"netlore/query/trace"
	"netlore/query/words"
	"netlore/store/board"
)

// What a supply shows where nothing else is said: common practice, without a
// source.
const (
	usualLimit = 2 // amps that a supply is set to
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

// isShort judges a draw against what is normal.
func (l *logged) isShort(amps float64, from []trace.Place) (seen bool, why string) {
	normal, limit, stated := l.usualAmps(from)
	is := func(amps float64) bool { return isolate.Draws(amps, normal.Float(), limit.Float()) }
	if is(amps*unclear) != is(amps/unclear) {
		return false, fmt.Sprintf("it is neither near what is normal (%s, %s) nor near the limit of the supply (%s)", normal, stated, limit)
	}
	return is(amps), ""
}

// usualAmps is what is normal, and what a short draws at most: normal is what is
// expected, in amps, of the rail where it is fed.
func (l *logged) usualAmps(from []trace.Place) (normal, limit board.Quantity, stated string) {
	normal, limit = board.MustQuantity("0.1A"), board.MustQuantity("2A")
	stated = "assumed; to state it: expect amps " + board.QuoteName(l.netName(from)) + " 0.1A"
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
	return normal, limit, stated
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
