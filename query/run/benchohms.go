package run

import (
	"fmt"
	"math"

	"netlore/query/copper"
	"netlore/query/isolate"
	"netlore/query/trace"
	"netlore/query/words"
	"netlore/store/board"
)

// tipped is a reading in milliohms of a job.
type tipped struct {
	at    memberThing
	place []trace.Place
	read  board.Reading
	state string // of the device, and the meter
}

// mostTips is how many readings in milliohms are taken together: the last ones.
const mostTips = 8

// gradient is a reading that shows the short, if it is in ohms with those before it
// by the same meter in the same state.
func (l *logged) gradient(r *board.Reading, at memberThing, o *isolate.Short) isolate.Observation {
	if r.Mode != board.Resistance || r.Outcome != board.Measured || r.Value.Float() > isolate.MostOhms {
		return o
	}
	key := l.circuit() + "\x00" + r.Meter
	var same []tipped
	for _, t := range l.ohms {
		if t.state == key && t.at != at {
			same = append(same, t)
		}
	}
	same = append(same, tipped{at, o.At, *r, key})
	same = same[max(len(same)-mostTips, 0):]
	l.ohms = append(l.ohms, same[len(same)-1])
	if len(same) < 2 {
		return o
	}
	tips := l.tips(same)
	last := len(tips) - 1
	return &isolate.Gradient{Short: *o, Before: tips[:last], Tip: tips[last]}
}

// tips are readings with the ways from each place, by what is known of all of them.
func (l *logged) tips(all []tipped) []isolate.Tip {
	ways := l.ways(all)
	exp := int8(0)
	for i := range all {
		exp = min(exp, all[i].read.Value.Exp)
	}
	tips := make([]isolate.Tip, len(all))
	for i := range all {
		t := &tips[i]
		t.Point, t.Ohms, t.Ways = l.number(all[i].at), all[i].read.Value.Float(), ways
		t.Sigma = resolved(t.Ohms, exp)
		t.Parts, t.Pads = l.far(&all[i], ways)
	}
	return tips
}

// resolved is how exact a reading in ohms is, if the finest of them shows so many
// digits: one of the last, half a milliohm of the tip and one per cent. Common
// practice, without a source.
func resolved(ohms float64, exp int8) float64 {
	return math.Sqrt(math.Pow(10, 2*float64(exp)) + .0005*.0005 + .0001*ohms*ohms)
}

// number is another one for each thing.
func (x *bench) number(t memberThing) int {
	return (int(t.id)*len(x.scope.Members)+t.member)*int(words.NounCount) + int(t.noun)
}

// ways is the best that all tips have.
func (l *logged) ways(all []tipped) isolate.Ways {
	ways := isolate.Solved
	for i := range all {
		r := l.drawn()
		if r == nil || r.node(all[i].at) == copper.None || !r.solved.Joined(r.node(all[0].at), r.node(all[i].at)) {
			ways = isolate.Straight
		}
	}
	for i := range all {
		if _, ok := l.spotOf(all[i].at); ways == isolate.Straight && (!ok || all[i].at.member != all[0].at.member) {
			ways = isolate.Counted
		}
	}
	return ways
}

// circuit is the same for states in which the rail carries the same: covers do not
// change it.
func (l *logged) circuit() string {
	s := l.state
	s.Lids = nil
	return fmt.Sprint(s)
}

// drawn is the copper of the rail in the state at hand; nil if none is drawn.
func (l *logged) drawn() *railCopper {
	key := l.circuit()
	if r, ok := l.circuits[key]; ok {
		return r
	}
	r, err := l.copperOfRail(l.brake.ctx, copper.UsualMetal(), l.state)
	if err != nil {
		r = nil // the context has ended, which is told where the answer is put together
	}
	if l.circuits == nil {
		l.circuits = map[string]*railCopper{}
	}
	l.circuits[key] = r
	return r
}

// far is how far it is from a tip to each part and pad of the rail.
func (l *logged) far(t *tipped, ways isolate.Ways) (parts, pads []float64) {
	part, pad := l.straight(t)
	switch ways {
	case isolate.Solved:
		part, pad = l.solvedWays(t)
	case isolate.Counted:
		part, pad = l.counted(t)
	}
	for i := range l.device.Parts {
		parts = append(parts, part(i))
	}
	for i := range l.device.Pads {
		pads = append(pads, pad(i))
	}
	return parts, pads
}

// measure tells how far a part or pad is by its number; NaN if that is not known.
type measure func(int) float64

func (l *logged) solvedWays(t *tipped) (part, pad measure) {
	r := l.drawn()
	from := r.solved.From(r.node(t.at))
	nearest := func(nodes ...copper.Node) float64 {
		far := math.Inf(1)
		for _, n := range nodes {
			if n != copper.None {
				far = min(far, from[n])
			}
		}
		if math.IsInf(far, 1) {
			return math.NaN()
		}
		return far
	}
	part = func(i int) float64 { return nearest(r.partNodes(l.parts[i])...) }
	pad = func(i int) float64 { return nearest(r.padNode(l.frame[i].a), r.padNode(l.frame[i].b)) }
	return part, pad
}

// straight measures from place to place, on the same piece of copper only.
func (l *logged) straight(t *tipped) (part, pad measure) {
	from, _ := l.spotOf(t.at)
	on := func(at []trace.Place, s isolate.Spot) float64 {
		for _, p := range at {
			if s.Placed && s.Board == from.Board && len(t.place) > 0 && p == t.place[0] {
				return apart(s, from)
			}
		}
		return math.NaN()
	}
	part = func(i int) float64 { return on(l.device.Parts[i].At, l.device.Parts[i].Spot) }
	pad = func(i int) float64 {
		ends := l.frame[i]
		for _, end := range []trace.Pad{ends.a, ends.b} {
			if end.Member == from.Board {
				return on([]trace.Place{l.supply.Pad(end.Member, end.ID)}, l.padSpot(end))
			}
		}
		return math.NaN()
	}
	return part, pad
}

// counted counts the parts and joints on the way.
func (l *logged) counted(t *tipped) (part, pad measure) {
	r := l.supply.Reach(t.place, trace.Ties{All: true})
	steps := func(at []trace.Place) float64 {
		least := math.NaN()
		for _, p := range at {
			if n := r.Steps(p); n >= 0 && !(least <= float64(n)) {
				least = float64(n)
			}
		}
		return least
	}
	return func(i int) float64 { return steps(l.device.Parts[i].At) }, func(i int) float64 { return steps(l.device.Pads[i].At) }
}
