package isolate

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"

	"netlore/query/isolate/sequence"
	"netlore/query/trace"
)

// Case is a device, what may be the matter with it, and what was seen.
type Case struct {
	device *Device
	state  State // in which suspects are told apart; see In
	faults []Fault
	rates  Rates
	what   []int           // of each fault, which suspect it is
	whats  int             // how many suspects there are
	places []trace.Place   // of all sites, each once
	sites  [][]int32       // of each fault, the places of its sites
	seen   [][]float64     // logarithms of the likelihoods of each observation, by fault
	right  [][]float64     // how likely each observation is right, by fault
	sum    []float64       // of the logarithms of weight and all observations
	views  []View          // in which faults may show
	asked  map[string]bool // questions that were asked
	heats  []*Heat         // that were observed
	said   map[string]bool // and what came out
}

// least is how likely anything is at least with any fault: no observation rules one
// out for good.
const least = 1e-9

// NewCase begins a case. It fails with what the device lacks: ErrNoGround,
// ErrNoSource, or a *NoSuchError; or with ErrNoFaults.
func NewCase(d *Device, faults []Fault, r Rates) (*Case, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	sum := 0.0
	for i := range faults {
		if faults[i].Kind != Elsewhere {
			sum += faults[i].Weight
		}
	}
	if !(sum > 0) {
		return nil, ErrNoFaults
	}
	c := &Case{device: d, faults: faults, rates: r}
	for i := range faults {
		c.sum = append(c.sum, math.Log(faults[i].Weight))
	}
	c = c.In(State{})
	c.locate()
	c.views, _ = c.inViews()
	return c, nil
}

// locate finds the places of all sites.
func (c *Case) locate() {
	c.places, c.sites = nil, nil
	number := map[trace.Place]int32{}
	for f := range c.faults {
		var sites []int32
		for _, s := range c.faults[f].Sites {
			if _, ok := number[s.At]; !ok {
				number[s.At] = int32(len(c.places))
				c.places = append(c.places, s.At)
			}
			sites = append(sites, number[s.At])
		}
		c.sites = append(c.sites, sites)
	}
}

// ErrNoFaults is that there is nothing to suspect.
var ErrNoFaults = errors.New("nothing on the rail can be shorted to ground as far as is known: no part of it is on ground, too")

// Observe takes into account what was seen. To ask the same again and to see the
// same says nothing new: what makes a test wrong mostly lasts.
func (c *Case) Observe(o Observation) {
	l, right := o.weigh(c)
	asks := o.asks(c)
	said := fmt.Sprint(asks, o.answers())
	for f := range l {
		if l[f] = math.Log(max(l[f], least)); c.said[said] {
			l[f] = 0
		}
		c.sum[f] += l[f]
	}
	c.seen, c.right = append(c.seen, l), append(c.right, right)
	c.said = plus(c.said, said)
	c.asked = plus(c.asked, asks...)
	if h, ok := o.(*Heat); ok {
		c.heats = append(slices.Clip(c.heats), h)
	}
}

// plus is a set with more in it.
func plus(set map[string]bool, more ...string) map[string]bool {
	set = maps.Clone(set)
	if set == nil {
		set = map[string]bool{}
	}
	for _, x := range more {
		set[x] = true
	}
	return set
}

// isAsked reports whether a test asks what was asked before, as likely as faults are.
func (c *Case) isAsked(t *Test, p []float64) bool {
	if t.Kind == MeasureIt {
		return false // it is made of points that were not asked
	}
	switch o := t.Observation(false).(type) {
	case *Heat:
		return c.asked[o.ask(t.View)] || c.isSameHeat(o, t.View, p)
	default:
		return c.asked[o.asks(c)[0]]
	}
}

// isSameHeat reports whether a view was looked at while as much current came to
// nearly all that may be bad, from wherever it was fed.
func (c *Case) isSameHeat(o *Heat, v View, p []float64) bool {
	const nearly = .9
	for _, h := range c.heats {
		before := *o
		before.At = h.At
		if !c.asked[before.ask(v)] {
			continue
		}
		then, now := c.conducts(h.At, &o.State), c.conducts(o.At, &o.State)
		same := 0.0
		for f := range p {
			if then[f] == now[f] {
				same += p[f]
			}
		}
		if same >= nearly {
			return true
		}
	}
	return false
}

// With is the case with one more observation; c does not change.
func (c *Case) With(o Observation) *Case {
	with := *c
	with.seen, with.right, with.sum = slices.Clip(c.seen), slices.Clip(c.right), slices.Clone(c.sum)
	with.Observe(o)
	return &with
}

// Observations is how many were taken into account.
func (c *Case) Observations() int { return len(c.seen) }

// Chances are how likely each fault is, by Bayes's rule:
//
//	P(f | seen) ∝ weight(f) Π_o P(o | f)
//
// Given the fault, what is seen is taken to be independent.
func (c *Case) Chances() []float64 { return chances(c.sum) }

// chances are what logarithms stand for, on a scale on which they sum up to 1.
func chances(logs []float64) []float64 {
	p := make([]float64, len(logs))
	most, sum := slices.Max(logs), 0.0
	for f := range p {
		p[f] = math.Exp(logs[f] - most)
		sum += p[f]
	}
	for f := range p {
		p[f] /= sum
	}
	return p
}

// Suspect is what may be bad: faults of the same parts, the same pads or the same
// copper, which differ only in where on the rail they are, or in what was found
// besides.
type Suspect struct {
	Faults []int // the likeliest first
	P      float64
}

// Suspects are what may be bad, the likeliest first.
func (c *Case) Suspects() []Suspect {
	p, all := c.Chances(), make([]Suspect, c.whats)
	for f, what := range c.what {
		all[what].Faults = append(all[what].Faults, f)
		all[what].P += p[f]
	}
	for i := range all {
		slices.SortStableFunc(all[i].Faults, func(a, b int) int { return cmp.Compare(p[b], p[a]) })
	}
	slices.SortStableFunc(all, func(a, b Suspect) int { return cmp.Compare(b.P, a.P) })
	return all
}

// Entropy is what is missing to know the suspect, in bits.
func (c *Case) Entropy() float64 { return sequence.Entropy(c.bySuspect(c.Chances())) }

// bySuspect sums up the chances of the faults of each suspect.
func (c *Case) bySuspect(p []float64) []float64 {
	sums := make([]float64, c.whats)
	for f, what := range c.what {
		sums[what] += p[f]
	}
	return sums
}

// IsRuledOut reports whether it is more likely than not that the fault is not
// among what is known of the device.
func (c *Case) IsRuledOut() bool {
	p, out := c.Chances(), 0.0
	for f := range p {
		if c.faults[f].Kind == Elsewhere {
			out += p[f]
		}
	}
	return out > .5
}

// Spoken is how much an observation speaks for each fault, in bits: by how many times
// it is likelier seen with it than in the mean over all others, as the
// observations before it left them. It is below 0 if it speaks against it, and 0
// if no other was left.
func (c *Case) Spoken(observation int) []float64 {
	before, seen := chances(c.without(observation)), c.seen[observation]
	foreseen, whole := 0.0, 0.0
	for f, p := range before {
		foreseen += p * math.Exp(seen[f])
		whole += p
	}
	bits := make([]float64, len(before))
	for f, p := range before {
		mine := p * math.Exp(seen[f])
		others, weight := foreseen-mine, whole-p
		if mine > foreseen/2 || p > whole/2 { // the difference would be noise
			others, weight = foreseenBut(before, seen, f)
		}
		if weight > 0 {
			bits[f] = seen[f]/math.Ln2 - math.Log2(others/weight)
		}
	}
	return bits
}

// foreseenBut is how likely what was seen is with all faults but one, and what they
// weigh.
func foreseenBut(before, seen []float64, fault int) (others, weight float64) {
	for f, p := range before {
		if f != fault {
			others += p * math.Exp(seen[f])
			weight += p
		}
	}
	return others, weight
}

// Foreseen is how likely what was seen from one observation on was, as those before it
// left the faults:
//
//	Σ P(f | before) Π P(o | f)
func (c *Case) Foreseen(from int) (p float64) {
	before := c.without(from)
	for f, x := range chances(before) {
		p += x * math.Exp(c.sum[f]-before[f])
	}
	return p
}

// without are the logarithms of weight and the observations before one.
func (c *Case) without(from int) []float64 {
	before := slices.Clone(c.sum)
	for _, l := range c.seen[from:] {
		for f := range before {
			before[f] -= l[f]
		}
	}
	return before
}

// Conflict is that two observations hardly go together.
type Conflict struct {
	A, B int     // observations, A the earlier one
	P    float64 // how likely both are right
}

// Conflict finds the two observations that are least likely both right, all others
// taken into account. It reports whether one of them is more likely wrong than
// not. If the fault is not among what is known of the device, both can be right:
// see IsRuledOut.
func (c *Case) Conflict() (worst Conflict, ok bool) {
	worst.P = 1
	p := c.Chances()
	for b := range c.right {
		for a := range b {
			both := 0.0
			for f := range p {
				both += p[f] * c.right[a][f] * c.right[b][f]
			}
			if both < worst.P {
				worst = Conflict{a, b, both}
			}
		}
	}
	return worst, worst.P < .5
}
