package isolate

import (
	"fmt"
	"iter"
	"math"

	"netlore/query/trace"
)

// weigh is how likely the spot is seen. With d the chance that the short itself is
// seen,
//
//	P(spot)    = d · match + (1-d) (b · back + way · onWay + alarm / n)
//	P(nothing) = (1-d) (1-b) (1 - alarm)
//
// where match is how well the spot is that of the fault, b how likely the warmth is
// noticed on the other side of the board and back how well the spot lies behind the
// fault, way whether the part that is warm is what its current flows through, and n
// how many parts can be seen, any of which may be mistaken for it. The less a short resists beside its way, the colder it
// stays and the more of the heat is on the way: d is the mean over what its
// resistance may be.
func (h *Heat) weigh(c *Case) (likelihood, right []float64) {
	s := c.rates.sense(h.With)
	l := c.conducts(h.At, &h.State)
	right = make([]float64, len(l))
	shows := c.shows(h, l)
	back, way := c.behind(h, l), c.throughPart(h, l)
	n, onWay := c.device.open(&h.State), s.onWay(h.Feed)
	for f, d := range shows {
		l[f], right[f] = (1-d)*(1-back[f])*(1-s.Alarm), (1-d)*(1-back[f])
		if h.Seen {
			hit := d*c.matches(&c.faults[f], h, s.Radius) + (1-d)*(back[f]*c.matchesBehind(&c.faults[f], h, s.Radius)+way[f]*onWay)
			l[f] = hit + (1-d)*s.Alarm/n
			right[f] = hit / l[f]
		}
		if c.faults[f].Kind == Elsewhere {
			l[f], right[f] = ifElse(h.Seen, .5/n, .5), 1
		}
	}
	return l, right
}

// shows is how likely each fault is seen in a look, if it is what is bad: how likely
// a current comes to it, and its warmth through what lies over it.
func (c *Case) shows(h *Heat, flows []float64) []float64 {
	s := c.rates.sense(h.With)
	open, under := s.seen(h.Feed, 1), s.seen(h.Feed, s.Through)
	d := make([]float64, len(flows))
	for f := range d {
		d[f] = flows[f] * c.visible(&c.faults[f], &h.State, open, under)
	}
	return d
}

// Flows is how likely a current comes from some places into each fault.
func (c *Case) Flows(at []trace.Place, s State) []float64 { return c.conducts(at, &s) }

// asks are the views that were open.
func (h *Heat) asks(c *Case) (keys []string) {
	for _, v := range c.views {
		if spot := v.Spot(); c.device.IsOpen(&spot, &h.State) {
			keys = append(keys, h.ask(v))
		}
	}
	return keys
}

// ask is the question for one view.
func (h *Heat) ask(v View) string {
	return fmt.Sprint("heat ", h.With, v, h.Feed, question(h.At, &h.State))
}

func (h *Heat) answers() string { return fmt.Sprint(h.Seen, h.Part, h.Spot) }

func ifElse(yes bool, a, b float64) float64 {
	if yes {
		return a
	}
	return b
}

// visible is how likely the warmth of a fault is seen, from how likely it is in the
// open and under a cover.
func (c *Case) visible(f *Fault, s *State, open, under float64) float64 {
	none := 1.0
	for i := range f.Sites {
		switch {
		case !f.Sites[i].there(s):
		case c.device.IsOpen(&f.Sites[i].Spot, s):
			none *= 1 - open
		default:
			none *= 1 - under
		}
	}
	return 1 - none
}

// IsOpen reports whether nothing lies over a spot in some state.
func (d *Device) IsOpen(s *Spot, state *State) bool {
	if s.Inside && !state.Apart {
		return false
	}
	for _, lid := range state.Lids {
		if lid == s.Cover {
			return true
		}
	}
	return s.Cover == None
}

// open is how many parts nothing lies over in some state, at least one.
func (d *Device) open(state *State) float64 {
	n := 0
	for i := range d.Parts {
		if d.IsOpen(&d.Parts[i].Spot, state) {
			n++
		}
	}
	return float64(max(n, 1))
}

// How well a spot on a part that was named is that of another just beside it, and how
// much nearer than a mere spot it has to be: who names a part looked closely; how
// often bad copper is taken for the nearest part; and how well a spot is that of
// copper of which no part is known: common practice, without a source.
const (
	misnamed = .25
	closely  = .5
	taken    = .5
	anywhere = .25
)

// matches is how well what was seen is a site of a fault.
func (c *Case) matches(f *Fault, h *Heat, radius float64) float64 {
	best := 0.0
	for i := range f.Sites {
		s := &f.Sites[i]
		switch {
		case !s.there(&h.State):
		case f.Kind == Zone:
			best = max(best, c.device.inZone(s, h, radius))
		default:
			best = max(best, h.isOf(s.Part, &s.Spot, radius))
		}
	}
	return best
}

// isOf is how well what was seen is a part, or a spot without one: fully if it is the
// part that was named, else the less the further away it is.
func (h *Heat) isOf(part int, spot *Spot, radius float64) float64 {
	away := spot.away(h.Spot) / radius
	switch {
	case h.Part != None && h.Part == part:
		return 1
	case h.Part != None:
		away /= closely
		return misnamed * math.Exp(-away*away/2)
	}
	return math.Exp(-away * away / 2)
}

// inZone is how well what was seen is bad copper, which is as likely beside each part
// of its zone.
func (d *Device) inZone(s *Site, h *Heat, radius float64) float64 {
	sum, n := 0.0, 0
	for i := range d.InZone(s) {
		sum += h.isOf(i, &d.Parts[i].Spot, radius)
		n++
	}
	if n == 0 {
		return anywhere * h.isOf(None, &s.Spot, radius)
	}
	if sum /= float64(n); h.Part != None {
		sum *= taken
	}
	return sum
}

// InZone are the parts beside which the copper of a zone lies, by their indices in
// Parts: those that it leads to that are seen where it is. The site is that of a Zone.
func (d *Device) InZone(s *Site) iter.Seq[int] {
	return func(yield func(int) bool) {
		for i := range d.Parts {
			x := &d.Parts[i]
			if x.mayShort() && x.At[0] == s.At && x.Spot.View() == s.Spot.View() && !yield(i) {
				return
			}
		}
	}
}

// throughPart is how likely it is, by fault, that its current flows through the
// part that was warm: without that part nothing would flow.
func (c *Case) throughPart(h *Heat, flows []float64) []float64 {
	if !h.Seen || h.Part == None || c.device.Parts[h.Part].Tie == trace.None {
		return make([]float64, len(flows))
	}
	without := h.State
	without.Cut = append(without.Cut[:len(without.Cut):len(without.Cut)], c.device.Parts[h.Part].Tie)
	way := c.conducts(h.At, &without)
	for f := range way {
		way[f] = max(flows[f]-way[f], 0)
	}
	return way
}

func (s *Stain) asks(*Case) []string { return []string{fmt.Sprint("stain ", s.Spot.View(), s.place())} }

// place is where in a view it was looked.
func (s *Stain) place() string {
	if s.Radius == 0 {
		return ""
	}
	return fmt.Sprint(s.Spot.X, s.Spot.Y, s.Radius)
}

func (s *Stain) answers() string { return fmt.Sprint(s.Seen) }

func (s *Stain) weigh(c *Case) (likelihood, right []float64) {
	likelihood, right = make([]float64, len(c.faults)), make([]float64, len(c.faults))
	for f := range c.faults {
		p := s.shows(c, &c.faults[f])
		switch {
		case c.faults[f].Kind == Elsewhere:
			likelihood[f], right[f] = .5, 1
		case s.Seen:
			likelihood[f], right[f] = p, 1-ifElse(p > 0, c.rates.Corrosion.Nothing/p, 0)
		default:
			likelihood[f], right[f] = 1-p, 1
		}
	}
	return likelihood, right
}

// shows is how likely corrosion is seen with a fault.
func (s *Stain) shows(c *Case, f *Fault) float64 {
	look := c.rates.Corrosion
	p := look.Nothing
	for i := range f.Sites {
		site := &f.Sites[i]
		switch {
		case !s.holds(&site.Spot) || !c.device.IsOpen(&site.Spot, &s.State):
		case site.Part == None || f.Kind == Several:
			p = max(p, look.Zone)
		default:
			p = max(p, look.Part)
		}
	}
	return p
}

// holds reports whether a spot is in the zone that was looked at.
func (s *Stain) holds(at *Spot) bool {
	if s.Radius == 0 {
		return s.Spot.Board == at.Board && s.Spot.Side == at.Side && s.Spot.Cover == at.Cover
	}
	return s.Spot.away(*at) <= s.Radius
}
