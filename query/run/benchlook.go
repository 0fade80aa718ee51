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

// inject is the rail fed from a bench supply, to look for what becomes warm.
func (l *logged) inject(s *board.Step) {
	l.feed = usualFeed
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
	at, feed := l.at, l.feed
	if len(at) == 0 {
		if at, feed = l.fedFor(s), usualFeed; at == nil {
			return nil, "where the rail was fed is not said: log inject before it"
		}
	}
	h := isolate.Heat{With: with, At: at, State: l.state, Feed: feed, Part: isolate.None}
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

// fedFor is where the rail is taken to be fed when something was warm and no step
// says where: the device where a supply feeds it, or the board of what was warm
// alone. It is nil where nothing was warm and either board may have been fed.
func (l *logged) fedFor(s *board.Step) (at []trace.Place) {
	where := "fed where its supply comes in"
	switch {
	case !l.state.Apart:
		at = l.device.Source
	case len(s.On) == 0 || len(l.here(s.On[0])) == 0:
		return nil
	default:
		member := l.here(s.On[0])[0].member
		at, where = l.device.Halves[member].Feed, l.half(member)+" fed alone"
	}
	l.remark(fmt.Sprintf("step %d (%s) does not say where the rail was fed: taken as %s; log inject before it to say", s.Number, said(s), where))
	return at
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

// Words for what liquid leaves, the beginnings of them; colours of it, which other
// things have, too; and words after which the rest is another thing.
var (
	marks   = []string{"corro", "residue", "liquid", "rust", "stain", "crust"}
	colours = []string{"green", "white"}
	turns   = []string{"but", "except", "only", "though"}
)

// seenMarks reports whether a remark tells of what liquid leaves, or that there is
// none of it. It is neither if the remark says both: "no corrosion but residue".
func seenMarks(remark string) (marked, clean bool) {
	said := wordsIn(remark)
	coloured, turned := false, false
	for i, w := range said {
		begins := func(m string) bool { return strings.HasPrefix(w, m) }
		none := denied(said[:i])
		switch {
		case w == "clean":
			clean = clean || !none
		case slices.Contains(turns, w):
			turned = true
		case slices.ContainsFunc(marks, begins):
			marked, clean = marked || !none, clean || none
		case slices.ContainsFunc(colours, begins):
			coloured, clean = coloured || !none, clean || none
		}
	}
	switch {
	case clean && (marked || coloured && turned):
		return false, false
	case clean:
		return false, true
	}
	return marked || coloured, false
}

// Words that say that there is none of what follows, and what may stand between.
var (
	denials  = []string{"no", "not", "without", "never", "none"}
	betweens = []string{"any", "been", "in", "ever", "sign", "signs", "of", "the"}
)

// denied reports whether the words before one say that there is none of it: "no",
// "no sign of".
func denied(before []string) bool {
	for _, w := range slices.Backward(before) {
		if !slices.Contains(betweens, w) {
			return slices.Contains(denials, w)
		}
	}
	return false
}

// look is what was seen of a place by eye. Only what liquid leaves is understood.
func (l *logged) look(s *board.Step) (isolate.Observation, string) {
	if v, ok := l.cleanView(s.Remark); ok && s.Nothing && len(s.On) == 0 {
		return &isolate.Stain{State: l.state, Spot: v.Spot()}, ""
	}
	marked, clean := seenMarks(s.Remark)
	if len(s.On) == 0 || !marked && !clean && !s.Nothing {
		return nil, "only corrosion on something is understood of a look"
	}
	for _, x := range l.here(s.On[0]) {
		if spot, ok := l.spotOf(x); ok {
			const around = 2 // mm: common practice, without a source
			return &isolate.Stain{State: l.state, Spot: spot, Radius: around, Seen: marked && !s.Nothing}, ""
		}
	}
	return nil, "where that is is not known"
}
