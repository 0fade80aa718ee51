package run

import (
	"cmp"
	"math"
	"slices"

	"netlore/query/isolate"
	"netlore/query/trace"
	"netlore/query/words"
	"netlore/store/board"
)

// At how many places along a piece of copper milliohms are read, and on how many
// pieces that is looked into: those with the most parts.
const (
	mostPoints = 5
	mostPieces = 12
)

// reachable is a place for the tip of a meter.
type reachable struct {
	thing memberThing
	spot  isolate.Spot
}

// addPoints adds the places where milliohms can be read in a state: pads and pins
// that are open, as far from each other as they can be.
func (x *bench) addPoints(s isolate.State) {
	l := logged{bench: x, state: s}
	on := map[trace.Place][]reachable{}
	for i, part := range x.parts {
		if p := &x.device.Parts[i]; len(p.At) == 1 && p.Spot.Placed && x.device.IsOpen(&p.Spot, &s) {
			on[p.At[0]] = append(on[p.At[0]], reachable{x.pinOn(part, p.At[0]), p.Spot})
		}
	}
	for member := range x.scope.Members {
		for id := range x.site(member).b.Pads {
			spot := x.padSpot(trace.Pad{Member: member, ID: board.PadID(id)})
			_, spot.Inside = x.padAt[trace.Pad{Member: member, ID: board.PadID(id)}]
			if at := x.supply.Pad(member, board.PadID(id)); x.onRail(at) && spot.Placed && x.device.IsOpen(&spot, &s) {
				on[at] = append(on[at], reachable{memberThing{member, thing{words.Pads, int32(id)}}, spot})
			}
		}
	}
	var pieces []trace.Place
	for at, all := range on {
		if len(all) >= 3 {
			pieces = append(pieces, at)
		}
	}
	slices.SortFunc(pieces, func(a, b trace.Place) int { return cmp.Or(len(on[b])-len(on[a]), int(a-b)) })
	for _, at := range pieces[:min(len(pieces), mostPieces)] {
		l.addPointsOn(at, spread(on[at]))
	}
}

// pinOn is the pin of a part that is on a piece of the rail.
func (x *bench) pinOn(part memberThing, at trace.Place) memberThing {
	pin := x.supply.PinAt(part.member, board.PartID(part.id), at)
	return memberThing{part.member, thing{words.Pins, int32(pin)}}
}

// addPointsOn adds points of one piece of copper.
func (l *logged) addPointsOn(at trace.Place, all []reachable) {
	var tips []tipped
	for _, p := range all {
		tips = append(tips, tipped{at: p.thing, place: []trace.Place{at}})
	}
	ways := l.ways(tips)
	for i, p := range all {
		point := isolate.Point{At: at, Half: p.spot.Board, Spot: p.spot}
		point.Point, point.Ways = l.number(p.thing), ways
		point.Parts, point.Pads = l.far(&tips[i], ways)
		l.points = append(l.points, p.thing)
		l.device.Points = append(l.device.Points, point)
	}
}

// spread are some of the places: the first one, and then always the one that is
// furthest from those that there are.
func spread(all []reachable) (some []reachable) {
	some = all[:1:1]
	for len(some) < min(mostPoints, len(all)) {
		best, far := 0, -1.0
		for i, p := range all {
			away := math.Inf(1)
			for _, q := range some {
				away = min(away, apart(p.spot, q.spot))
			}
			if away > far {
				best, far = i, away
			}
		}
		some = append(some, all[best])
	}
	return some
}
