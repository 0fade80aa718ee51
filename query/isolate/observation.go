package isolate

import (
	"cmp"
	"fmt"
	"slices"

	"netlore/query/isolate/inject"
	"netlore/query/trace"
)

// Observation is what was seen: a *Short, a *Gradient, a *Heat or a *Stain.
type Observation interface {
	// weigh is how likely it is seen, by fault, and how likely it is then seen for
	// what is there, and not by error.
	weigh(c *Case) (likelihood, right []float64)
	// asks is what was asked, by one key for each question, and answers what came
	// out of it.
	asks(c *Case) []string
	answers() string
}

// Method is how a short was looked for.
type Method uint8

// The methods.
const (
	Draw    Method = iota // what the supply gives; see Draws
	Tape                  // the same with pads covered
	Reading               // of a meter
)

// Short is that a short was seen or not seen from some places: where the supply
// feeds, or where the tip of the meter was.
type Short struct {
	By    Method
	At    []trace.Place
	State State
	Seen  bool
}

// Draws reports whether a draw is that of a short rather than the normal one: it
// is nearer to the limit of the supply than to what is normal, on a scale of
// factors. (That a hard short on a main rail draws some 4 A, or what the limit is,
// at the moment of connection is common practice, without a source.)
func Draws(amps, normal, limit float64) bool { return amps*amps > max(normal, .01)*limit }

// Heat is what became warm, or that nothing did, when the rail was fed.
type Heat struct {
	With  Tool
	At    []trace.Place // where it was fed
	State State
	Feed  inject.Injection
	Seen  bool
	Part  int // that was warm; None if only a place is known
	Spot  Spot
}

// Tool is what shows warmth.
type Tool uint8

// The tools.
const (
	Camera Tool = iota
	FreezeSpray
)

// Stain is that corrosion was seen or not seen around a spot, where no cover
// hides it.
type Stain struct {
	State  State
	Spot   Spot
	Radius float64 // mm; 0 is all that is on the same side under the same cover
	Seen   bool
}

// error is how often a method is wrong.
func (r *Rates) error(m Method) Error {
	switch m {
	case Tape:
		return r.Tape
	case Reading:
		return r.Reading
	}
	return r.Draw
}

func (r *Rates) sense(t Tool) Sense {
	if t == FreezeSpray {
		return r.Freeze
	}
	return r.Camera
}

// question is the same wherever the same current was asked for. If the boards are
// apart, tape between them does nothing.
func question(at []trace.Place, s *State) string {
	taped := s.Taped
	if s.Apart {
		taped = nil
	}
	return fmt.Sprint(sorted(at), s.Apart, sorted(taped), sorted(s.Off), sorted(s.New), sorted(s.Cut))
}

func sorted[T cmp.Ordered](list []T) []T { return slices.Sorted(slices.Values(list)) }

func (s *Short) asks(*Case) []string {
	return []string{fmt.Sprint("short ", s.By, question(s.At, &s.State))}
}

func (s *Short) answers() string { return fmt.Sprint(s.Seen) }

func (s *Short) weigh(c *Case) (likelihood, right []float64) {
	l := c.conducts(s.At, &s.State)
	right = make([]float64, len(l))
	e := c.rates.error(s.By)
	for f, flows := range l {
		there, hit := flows, 1-e.Miss
		if l[f] = e.chance(flows); !s.Seen {
			there, hit, l[f] = 1-flows, 1-e.Alarm, 1-l[f]
		}
		if c.faults[f].Kind == Elsewhere {
			l[f], right[f] = .5, 1
		} else if l[f] > 0 {
			right[f] = there * hit / l[f]
		}
	}
	return l, right
}

// conducts is how likely a current flows into each fault from some places.
func (c *Case) conducts(at []trace.Place, s *State) []float64 {
	cut := c.device.cut(s)
	sure := c.device.Graph.Reach(at, trace.Ties{Cut: cut})
	all := c.device.Graph.Reach(at, trace.Ties{Cut: cut, All: true})
	comes := make([]float64, len(c.places))
	for i, p := range c.places {
		switch {
		case sure.Has(p):
			comes[i] = 1
		case all.Has(p):
			comes[i] = c.rates.Unsure
		}
	}
	return c.byFault(comes, s)
}

// byFault is how likely a current flows into any site of each fault, from how
// likely it comes to each place. What is not known of the ways to two sites is
// mostly the same, so two such ways are no surer than one.
func (c *Case) byFault(comes []float64, s *State) []float64 {
	l := make([]float64, len(c.faults))
	for f, sites := range c.sites {
		for i, at := range sites {
			if c.faults[f].Sites[i].there(s) {
				l[f] = max(l[f], comes[at])
			}
		}
	}
	return l
}
