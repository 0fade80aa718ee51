package play

import (
	"math"

	"netlore/query/isolate"
	"netlore/query/trace"
)

// How warm parts become and what a camera shows of it: common practice, without a
// source, but for the 50 to 200 K/W of small parts, which are from memory.
const (
	leastKelvin, mostKelvin = 50., 200. // for each watt
	noticed                 = .5        // kelvins that are noticed one time in two
	unlike                  = .4        // by how much that differs from time to time, on a scale of e
	blur                    = .4        // mm by which a spot is seen beside its place
	wander                  = .7        // mm by which bad copper is beside a part of it
	named                   = 1.        // mm within which a spot is taken for the nearest part
)

// warm looks for what becomes warm. What is seen is a place, and the nearest part
// to it where one is near enough.
func (b *Bench) warm(o *isolate.Heat) {
	o.Part = isolate.None
	errs := b.errs()
	for _, site := range b.Fault.Sites {
		if isOpen(&site.Spot, &o.State) && b.flows(o.At, &o.State, site) && b.notices(o.Feed.InShort(b.ohms)) && !errs {
			b.point(o, b.exact(&site))
			return
		}
	}
	if b.ohms < .02 && b.r.IntN(5) == 0 { // it stays cold, and its way does not
		if part := b.onWay(o); part != isolate.None {
			o.Seen, o.Part, o.Spot = true, part, b.Parts[part].Spot
			return
		}
	}
	if errs {
		b.mistake(o)
	}
}

// notices reports whether power is seen.
func (b *Bench) notices(watts float64) bool {
	kelvins := watts * leastKelvin * math.Pow(mostKelvin/leastKelvin, b.r.Float64())
	return kelvins > noticed*math.Exp(unlike*b.r.NormFloat64())
}

// exact is where a site is: of the copper of a zone, somewhere in it.
func (b *Bench) exact(site *isolate.Site) isolate.Spot {
	if b.Fault.Kind != isolate.Zone {
		return site.Spot
	}
	var in []isolate.Spot
	for i := range b.Parts {
		if p := &b.Parts[i]; p.Spot.View() == site.Spot.View() && p.At[0] == site.At && p.Spot.Placed {
			in = append(in, p.Spot)
		}
	}
	if len(in) == 0 {
		return site.Spot
	}
	at := in[b.r.IntN(len(in))]
	at.X += wander * b.r.NormFloat64()
	at.Y += wander * b.r.NormFloat64()
	return at
}

// point says where it is warm.
func (b *Bench) point(o *isolate.Heat, at isolate.Spot) {
	o.Seen, o.Spot = true, at
	if !at.Placed {
		if b.Fault.Kind != isolate.Zone && b.Fault.Kind != isolate.Bridge {
			o.Part = b.Fault.Sites[0].Part
		}
		return
	}
	o.Spot.X += blur * b.r.NormFloat64()
	o.Spot.Y += blur * b.r.NormFloat64()
	near := named
	for i := range b.Parts {
		s := &b.Parts[i].Spot
		if away := math.Hypot(s.X-o.Spot.X, s.Y-o.Spot.Y); s.Placed && s.View() == at.View() && away < near {
			near, o.Part = away, i
		}
	}
}

// onWay is a part that can be seen and that the current of the fault flows
// through.
func (b *Bench) onWay(o *isolate.Heat) int {
	for i := range b.Parts {
		tie := b.Parts[i].Tie
		if tie == trace.None || !isOpen(&b.Parts[i].Spot, &o.State) {
			continue
		}
		without := o.State
		without.Off = append(without.Off[:len(without.Off):len(without.Off)], i)
		for _, site := range b.Fault.Sites {
			if site.Part != i && b.flows(o.At, &o.State, site) && !b.flows(o.At, &without, site) {
				return i
			}
		}
	}
	return isolate.None
}

// mistake takes any part that can be seen for what is warm.
func (b *Bench) mistake(o *isolate.Heat) {
	var seen []int
	for i := range b.Parts {
		if isOpen(&b.Parts[i].Spot, &o.State) {
			seen = append(seen, i)
		}
	}
	if len(seen) > 0 {
		o.Part = seen[b.r.IntN(len(seen))]
		o.Seen, o.Spot = true, b.Parts[o.Part].Spot
	}
}
