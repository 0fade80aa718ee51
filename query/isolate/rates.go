package isolate

import (
	"math"

	"netlore/query/isolate/inject"
)

// Error is how often an observation is wrong.
type Error struct {
	Miss  float64 // nothing is seen of what is there
	Alarm float64 // something is seen of what is not there
}

// chance is how likely something is seen, if it is there with the chance c.
func (e Error) chance(c float64) float64 { return c*(1-e.Miss) + (1-c)*e.Alarm }

// Rates are how often observations are wrong. All of them are common practice,
// without a source, where nothing else is said; a shop that keeps its own uses
// those.
type Rates struct {
	Draw    Error // a draw that is said to be that of a short
	Tape    Error // the same with pads covered: tape slips
	Reading Error // a meter that shows a short
	// Milliohms is how often a reading in milliohms is off by more than the meter is:
	// a tip on varnish, a lead that moved.
	Milliohms float64
	// Unsure is the chance that a way leads on of which that is not known. One
	// half is what a case base gives each outcome that it does not know ("Circuit
	// diagnosis support system", equations 4.2 and 4.3).
	Unsure    float64
	Camera    Sense
	Freeze    Sense // frost that melts where it is warm
	Corrosion Look
}

// Sense is how well warmth is seen.
type Sense struct {
	Kelvin  float64 // that is seen in one half of all cases
	Through float64 // how much of it comes through a cover
	Alarm   float64 // how often something else is taken for the spot
	OnWay   float64 // how often what the current flows through is taken for it, if it is warm
	Radius  float64 // mm, within which a spot is what it is said to be
}

// Look is how often corrosion is seen that goes with a fault.
type Look struct {
	Zone, Part, Nothing float64 // over the zone that is bad; over a part that is; elsewhere
}

// CommonPractice are the rates that are used where nothing is known of a shop's
// own.
func CommonPractice() Rates {
	return Rates{
		Draw:    Error{.01, .01},
		Tape:    Error{.03, .03},
		Reading: Error{.02, .02},

		Milliohms: .05,
		Unsure:    .5,
		// Cameras resolve 0.05 to 0.07 K (from memory); what is noticed on a board
		// that is warm here and there is some ten times that.
		Camera:    Sense{Kelvin: .5, Through: .005, Alarm: .04, OnWay: .2, Radius: 2},
		Freeze:    Sense{Kelvin: 2, Through: .005, Alarm: .06, OnWay: .1, Radius: 3},
		Corrosion: Look{Zone: .8, Part: .3, Nothing: .05},
	}
}

// What a short is, before it is known: common practice, without a source.
const (
	LeastOhms  = .005
	MostOhms   = 20.0
	KelvinWatt = 100.0 // by which it becomes warmer; of a small part; 50 to 200 (from memory)
)

// wayOhms is what a coil or bead has that a current flows through: common practice,
// without a source.
const wayOhms = .02

// seen is how likely warmth is seen in the short, of which so much comes through.
func (s Sense) seen(in inject.Injection, through float64) float64 {
	return s.mean(func(ohms float64) float64 { return in.InShort(ohms) * through })
}

// onWay is how likely a coil or bead that the current flows through is taken for the
// short: only if it becomes warm, which takes a short of few ohms.
func (s Sense) onWay(in inject.Injection) float64 {
	return s.OnWay * s.mean(func(ohms float64) float64 { return in.Current(ohms) * in.Current(ohms) * wayOhms })
}

// mean is how likely a power is seen, over what the short may have: any resistance
// between the two, each factor being as likely. By how much a part is warmer is in
// proportion to the power, and twice the Kelvin is seen in four cases of five.
func (s Sense) mean(watts func(ohms float64) float64) float64 {
	const steps = 40
	sum := 0.0
	for i := range steps {
		ohms := LeastOhms * math.Pow(MostOhms/LeastOhms, (float64(i)+.5)/steps)
		ratio := KelvinWatt * watts(ohms) / s.Kelvin
		sum += ratio * ratio / (1 + ratio*ratio)
	}
	return sum / steps
}
