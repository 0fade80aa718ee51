package play

import (
	"math"
	"math/rand/v2"
	"slices"

	"netlore/query/isolate"
	"netlore/query/trace"
)

// Bench is a device on a bench, with a fault that is hidden.
type Bench struct {
	*isolate.Device
	Fault   isolate.Fault
	Wrong   float64 // how often what is seen is wrong
	r       *rand.Rand
	ohms    float64               // of the short
	open    map[trace.TieID]bool  // ties that may carry and do not
	stained bool                  // corrosion can be seen over the fault
	stains  map[isolate.View]bool // and in views in which it has nothing to do with it
}

// Hide puts a device with a fault on the bench. What is not known of the device
// is settled, so that the supply of the whole device sees the fault: else there
// would be no job.
func Hide(d *isolate.Device, f isolate.Fault, wrong float64, r *rand.Rand) *Bench {
	b := &Bench{Device: d, Fault: f, Wrong: wrong, r: r, open: map[trace.TieID]bool{}, stains: map[isolate.View]bool{}}
	for range 20 {
		b.settle()
		if b.comes(d.Source, &isolate.State{}) {
			break
		}
		clear(b.open)
	}
	const least, most = .005, 20 // ohms of a short: common practice, without a source
	b.ohms = least * math.Pow(most/least, r.Float64())
	// Common practice, without a source: of four in five bad pieces of copper and
	// of three in ten bad parts it shows.
	if shows := .3; f.Kind == isolate.Zone || f.Kind == isolate.Several {
		b.stained = r.Float64() < .8
	} else {
		b.stained = r.Float64() < shows
	}
	return b
}

// settle settles which of the ties that may carry do.
func (b *Bench) settle() {
	for t := range trace.TieID(b.Graph.Ties()) {
		if !b.Graph.Tie(t).Sure && b.r.IntN(2) == 0 {
			b.open[t] = true
		}
	}
}

// comes reports whether a current comes to the fault.
func (b *Bench) comes(at []trace.Place, s *isolate.State) bool {
	return slices.ContainsFunc(b.Fault.Sites, func(site isolate.Site) bool { return b.flows(at, s, site) })
}

// Answer makes a test and says what was seen.
func (b *Bench) Answer(x *isolate.Test) isolate.Observation {
	switch o := x.Observation(false).(type) {
	case *isolate.Heat:
		b.warm(o)
		return o
	case *isolate.Stain:
		o.Seen = b.stain(x.View, &x.State)
		return o
	case *isolate.Short:
		o.Seen = b.comes(o.At, &o.State) != b.errs()
		return o
	}
	return nil
}

func (b *Bench) errs() bool { return b.r.Float64() < b.Wrong }

// flows reports whether a current comes to a site.
func (b *Bench) flows(at []trace.Place, s *isolate.State, site isolate.Site) bool {
	cut := map[trace.TieID]bool{}
	for t := range b.open {
		cut[t] = true
	}
	for i, pad := range b.Pads {
		if s.Apart || slices.Contains(s.Taped, i) {
			for _, t := range pad.Ties {
				cut[t] = true
			}
		}
	}
	for _, part := range s.Off {
		if part == site.Part {
			return false
		}
		if t := b.Parts[part].Tie; t != trace.None {
			cut[t] = true
		}
	}
	return b.Graph.Reach(at, trace.Ties{All: true, Cut: cut}).Has(site.At)
}

// isOpen reports whether nothing lies over a spot.
func isOpen(spot *isolate.Spot, s *isolate.State) bool {
	return (spot.Cover == isolate.None || slices.Contains(s.Lids, spot.Cover)) && (!spot.Inside || s.Apart)
}

// stain reports whether corrosion is seen in a view.
func (b *Bench) stain(v isolate.View, s *isolate.State) bool {
	if _, ok := b.stains[v]; !ok {
		b.stains[v] = b.r.Float64() < .05 // common practice, without a source
	}
	there := b.stains[v]
	for _, site := range b.Fault.Sites {
		there = there || b.stained && site.Spot.View() == v && isOpen(&site.Spot, s)
	}
	return there
}
