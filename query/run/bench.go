package run

import (
	"math"
	"slices"

	"netlore/query/check"
	"netlore/query/isolate"
	"netlore/query/trace"
	"netlore/query/words"
	"netlore/store/board"
)

// bench is a device with a shorted rail as the isolation sees it, in numbers,
// and what the numbers stand for.
type bench struct {
	*assembly
	supply *trace.Supply
	rail   *trace.Reach // all that the rail possibly leads to
	device isolate.Device

	parts  []memberThing // of device.Parts
	partAt map[memberThing]int
	frame  []joined // of device.Pads
	padAt  map[trace.Pad]int
	covers []memberThing // of device.Covers
	lidAt  map[memberThing]int
	probes []memberThing // of device.Probes, where the tip goes
	points []memberThing // of device.Points
	inner  []board.Side  // by member, the side that faces another
}

// joined is two pads that are soldered to each other.
type joined struct{ a, b trace.Pad }

// newBench makes the device of a rail, which begins at some places.
func newBench(w *assembly, from []trace.Place, supply *trace.Supply) *bench {
	x := &bench{assembly: w, supply: supply, rail: supply.Reach(from, trace.Ties{All: true}),
		partAt: map[memberThing]int{}, padAt: map[trace.Pad]int{}, lidAt: map[memberThing]int{}}
	x.device.Graph = supply.Graph
	x.device.Source = x.source(from)
	x.addFrame()
	x.addCovers()
	for member := range w.scope.Members {
		x.addParts(member)
	}
	x.addProbes()
	for member := range w.scope.Members {
		x.device.Halves = append(x.device.Halves, isolate.Half{Feed: x.railOf(member, from)})
	}
	return x
}

// source is where a supply feeds the rail. Where no sheet tells, whoever feeds it
// does so on the net itself.
func (x *bench) source(from []trace.Place) []trace.Place {
	if src := x.supply.SourceOf(from); src.Places != nil {
		return src.Places
	}
	x.remark("where a supply comes in is not known, for no battery, charger or power manager is on the rail: a draw is taken as fed on the net that is shorted")
	return from
}

// railOf are those of some places that are on one member.
func (x *bench) railOf(member int, from []trace.Place) []trace.Place {
	return slices.DeleteFunc(slices.Clone(from), func(p trace.Place) bool { return x.supply.Copper(p).Member != member })
}

// onRail reports whether a place is on the rail, and no ground.
func (x *bench) onRail(p trace.Place) bool {
	return p != trace.None && x.rail.Has(p) && x.supply.Stop(p) != trace.Stops
}

// addFrame adds the joined pads of the stack, in the order in which tape goes
// over them: by their places, else in that of their names.
func (x *bench) addFrame() {
	sides := make([]map[board.Side]int, len(x.scope.Members))
	for i := range sides {
		sides[i] = map[board.Side]int{}
	}
	for _, j := range x.scope.Joins {
		both := joined{x.supply.End(j.A), x.supply.End(j.B)}
		if both.a.ID == board.None || both.b.ID == board.None {
			continue
		}
		var pad isolate.Pad
		for _, end := range []trace.Pad{both.a, both.b} {
			b := x.site(end.Member).b
			sides[end.Member][b.Pads[end.ID].Side]++
			if p := x.supply.Pad(end.Member, end.ID); x.onRail(p) {
				pad.At = append(pad.At, p)
			}
			net := b.Pads[end.ID].Net
			pad.Grounded = pad.Grounded || net != board.None && b.Nets[net].Kind == board.Ground
		}
		pad.Ties = x.supply.OpenPad(both.a)
		pad.Spot = x.padSpot(both.a)
		x.frame, x.device.Pads = append(x.frame, both), append(x.device.Pads, pad)
	}
	for _, found := range sides {
		side := board.SideUnknown
		for _, s := range []board.Side{board.Top, board.Bottom} {
			if found[s] > found[side] {
				side = s
			}
		}
		x.inner = append(x.inner, side)
	}
	if len(x.scope.Members) > 1 && len(x.frame) == 0 {
		x.remark("no join says how the boards hang together, so only what is on the board that is fed can be told of")
	}
	x.orderFrame()
	x.device.Ring = x.isRing()
}

func (x *bench) orderFrame() {
	spots := make([]isolate.Spot, len(x.device.Pads))
	for i := range spots {
		spots[i] = x.device.Pads[i].Spot
	}
	if order, ok := isolate.Along(spots); ok {
		frame, pads := x.frame, x.device.Pads
		x.frame, x.device.Pads = make([]joined, len(frame)), make([]isolate.Pad, len(pads))
		for to, from := range order {
			x.frame[to], x.device.Pads[to] = frame[from], pads[from]
		}
	}
	for i, both := range x.frame {
		x.padAt[both.a], x.padAt[both.b] = i, i
	}
}

func (x *bench) padSpot(p trace.Pad) isolate.Spot {
	pad := &x.site(p.Member).b.Pads[p.ID]
	s := isolate.Spot{Board: p.Member, Side: pad.Side, Cover: isolate.None, Placed: pad.Placed, Inside: true}
	s.X, s.Y = inMM(pad.At)
	return s
}

func inMM(p board.Point) (x, y float64) { return float64(p.X) / 1000, float64(p.Y) / 1000 }

// isRing reports whether the frame is closed: its ends are no further apart than
// the next pads mostly are.
func (x *bench) isRing() bool {
	const few = 8
	pads := x.device.Pads
	if len(pads) < few {
		return false
	}
	var steps []float64
	for i := range pads {
		if i > 0 && pads[i].Spot.Placed && pads[i-1].Spot.Placed {
			steps = append(steps, apart(pads[i].Spot, pads[i-1].Spot))
		}
	}
	if len(steps) < few-1 || !pads[0].Spot.Placed || !pads[len(pads)-1].Spot.Placed {
		return false
	}
	slices.Sort(steps)
	return apart(pads[0].Spot, pads[len(pads)-1].Spot) <= 2*steps[len(steps)/2]
}

func apart(a, b isolate.Spot) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

// mostCovers is how many covers can be told apart.
const mostCovers = 63

// addCovers adds what can be taken off. How likely that does harm is common
// practice, without a source.
func (x *bench) addCovers() {
	harm := map[board.Risk]float64{board.RiskUnknown: .05, board.RiskLow: .01, board.RiskMedium: .05, board.RiskHigh: .15}
	const usual = 10 // minutes, where they are not stated
	for member := range x.scope.Members {
		for id := range x.site(member).b.Covers {
			c := &x.site(member).b.Covers[id]
			minutes := float64(usual)
			if c.Minutes.Known() {
				minutes = c.Minutes.Float() / 60
			}
			if len(x.covers) == mostCovers {
				x.remark("only the first 63 covers are taken into account")
				return
			}
			t := memberThing{member, thing{words.Covers, int32(id)}}
			x.lidAt[t] = len(x.covers)
			x.covers = append(x.covers, t)
			x.device.Covers = append(x.device.Covers, isolate.Cover{Off: isolate.Cost{Minutes: minutes, Risk: harm[c.Risk]}})
		}
	}
}

// addParts adds the parts of a member that have a pin on the rail.
func (x *bench) addParts(member int) {
	s := x.site(member)
	for id := range s.b.Parts {
		part := board.PartID(id)
		if s.b.Parts[id].Unfitted {
			continue
		}
		at := slices.DeleteFunc(x.supply.Part(nil, member, part), func(p trace.Place) bool { return !x.onRail(p) })
		if len(at) == 0 {
			continue
		}
		slices.Sort(at)
		p := isolate.Part{Class: s.b.Parts[id].Class, At: slices.Compact(at), Grounded: s.grounded(part), Tie: trace.None, Spot: x.partSpot(member, part)}
		if tie, ok := x.supply.OpenPart(member, part); ok {
			p.Tie = tie
		}
		t := memberThing{member, thing{words.Parts, int32(id)}}
		x.partAt[t] = len(x.parts)
		x.parts, x.device.Parts = append(x.parts, t), append(x.device.Parts, p)
	}
}

// grounded reports whether a part has a pin on ground, as far as its pins are
// known: nothing with less than two pins has all of them stated.
func (s *site) grounded(part board.PartID) board.Truth {
	first, last := s.b.PinsOf(part)
	open := last-first < 2
	for pin := first; pin < last; pin++ {
		switch net := s.b.Pins[pin].Net; {
		case net == board.None:
			open = true
		case s.b.Nets[net].Kind == board.Ground:
			return board.True
		case s.b.Nets[net].Kind == board.NetUnknown && !s.b.HasGround():
			open = true
		}
	}
	if open {
		return board.Unknown
	}
	return board.False
}

// partSpot is where a part is and what surely hides it.
func (x *bench) partSpot(member int, part board.PartID) isolate.Spot {
	b := x.site(member).b
	s := isolate.Spot{Board: member, Side: b.PartSide(part), Cover: isolate.None}
	if box, basis := b.PartBounds(part); basis != board.NoPlace {
		s.Placed = true
		s.X, s.Y = inMM(box.Center())
	}
	s.Inside = s.Side != board.SideUnknown && s.Side == x.inner[member]
	for _, h := range b.Hiders(part) {
		if at, ok := x.lidAt[memberThing{member, thing{words.Covers, int32(h.Cover)}}]; ok && h.Truth == board.True && s.Cover == isolate.None {
			s.Cover = at
		}
	}
	return s
}

// addProbes adds one place for the tip of a meter for each piece of the rail: a
// pad that is open if there is one, else a pad of the frame, else a part that is
// open, else one that is not.
func (x *bench) addProbes() {
	best := map[trace.Place]probing{}
	for member := range x.scope.Members {
		b := x.site(member).b
		for id := range b.Pads {
			p := trace.Pad{Member: member, ID: board.PadID(id)}
			spot := x.padSpot(p)
			_, inFrame := x.padAt[p]
			spot.Inside = inFrame || spot.Side != board.SideUnknown && spot.Side == x.inner[member]
			x.offer(best, x.supply.Pad(member, p.ID), probing{memberThing{member, thing{words.Pads, int32(id)}}, spot, 0})
		}
	}
	for i := range x.parts {
		part := &x.device.Parts[i]
		for _, at := range part.At {
			x.offer(best, at, probing{x.parts[i], part.Spot, 2})
		}
	}
	for p := range trace.Place(x.supply.Places()) {
		if tip, ok := best[p]; ok {
			x.probes = append(x.probes, tip.thing)
			x.device.Probes = append(x.device.Probes, isolate.Probe{At: p, Half: tip.spot.Board, Spot: tip.spot})
		}
	}
}

// probing is a place for the tip of a meter; the less hard to reach the better.
type probing struct {
	thing memberThing
	spot  isolate.Spot
	hard  int
}

func (x *bench) offer(best map[trace.Place]probing, at trace.Place, tip probing) {
	if !x.onRail(at) {
		return
	}
	if tip.spot.Inside {
		tip.hard++
	}
	if tip.spot.Cover != isolate.None {
		tip.hard += 4
	}
	if was, ok := best[at]; !ok || tip.hard < was.hard {
		best[at] = tip
	}
}

// usualSupply is the graph of what carries a supply, unless a question says
// otherwise.
func (w *assembly) usualSupply() *trace.Supply { return w.supply(check.UsualTrace().Passes) }
