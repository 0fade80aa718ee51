package isolate_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"netlore/query/isolate"
	"netlore/query/isolate/inject"
	"netlore/query/trace"
	"netlore/store/board"
)

// fourParts are a rail of two halves' worth of branches, two parts on each.
func fourParts() *isolate.Device {
	s := newStack(1, 1)
	for _, at := range []trace.Place{s.branches[0], s.branches[0], s.branches[1], s.branches[1]} {
		s.part(at, lowerBoard, isolate.None, 0)
	}
	for i := range s.Parts {
		s.Parts[i].Spot.Placed, s.Parts[i].Spot.X = true, float64(i)
	}
	return s.done()
}

func off(parts ...int) isolate.State { return isolate.State{Off: parts} }

// suspect is how likely what is still to be found has a name: the kind and its parts.
func suspect(c *isolate.Case, kind isolate.Kind, parts ...int) (sum float64) {
	for _, s := range c.Suspects() {
		f := c.Fault(s.Faults[0])
		var has []int
		for _, x := range f.Sites {
			has = append(has, x.Part)
		}
		if f.Kind == kind && slices.Equal(has, parts) {
			sum += s.P
		}
	}
	return sum
}

// TestWhatIsLeft: with strong evidence for a part, a short that is there without it
// is a second one; without evidence the part was not it. What is then left is the
// same suspect, whether the part was bad or not.
func TestWhatIsLeft(t *testing.T) {
	d := fourParts()
	priors := isolate.PriorsFor(isolate.Liquid)
	faults := isolate.Seconds(isolate.Faults(d, priors, nil), []int{0}, nil, priors)
	begin := func(warm bool) *isolate.Case {
		c := newCase(t, d, faults, isolate.CommonPractice())
		if warm {
			for _, o := range []isolate.Observation{
				&isolate.Short{By: isolate.Reading, At: d.Parts[0].At, Seen: true, State: isolate.State{Apart: true}},
				&isolate.Heat{At: d.Source, Seen: true, Part: 0, Spot: d.Parts[0].Spot, Feed: inject.Injection{Volts: 1, Amps: 2, Path: .05}},
			} {
				c.Observe(o)
			}
		}
		return c
	}
	for _, test := range []struct {
		warm, still bool
		most        string
	}{{true, false, "explained"}, {true, true, "second"}, {false, true, "neither"}, {false, false, "explained"}} {
		c := begin(test.warm)
		c.Observe(&isolate.Short{At: d.Source, Seen: test.still, State: off(0)})
		v, ok := c.In(off(0)).Verdict()
		got := map[string]float64{"explained": v.Explained, "second": v.Second, "neither": 1 - v.Explained - v.Second}
		if !ok || got[test.most] < .5 {
			t.Errorf("%+v: %v, %t", test, got, ok)
		}
	}
	if _, ok := begin(true).In(isolate.State{}).Verdict(); ok {
		t.Error("nothing was taken off, and there is a verdict")
	}
	c := begin(true)
	c.Observe(&isolate.Short{At: d.Source, Seen: true, State: off(0)})
	in := c.In(off(0))
	if p := suspect(in, isolate.Single, 1); p == 0 || suspect(in, isolate.Single, 1, 0) != 0 {
		t.Errorf("what is left is %v", p)
	}
	if in.Entropy() > c.Entropy() {
		t.Errorf("%.3f bits are missing to know what is left, %.3f to know all", in.Entropy(), c.Entropy())
	}
}

// TestReplaced: a new part closes its tie again, is as good as new, and may be bad.
func TestReplaced(t *testing.T) {
	d := fourParts()
	priors := isolate.PriorsFor(isolate.NoHistory)
	renewed := isolate.State{New: []int{0}}
	c := newCase(t, d, isolate.Seconds(isolate.Faults(d, priors, nil), []int{0}, []int{0}, priors), isolate.CommonPractice())
	before := of(c, with(0))
	near(t, "the part, alone or not, as before", before, of(newCase(t, d, isolate.Faults(d, priors, nil), isolate.CommonPractice()), with(0)), .01)
	gone := c.With(&isolate.Short{At: d.Source, State: renewed}).In(renewed)
	if v, _ := gone.Verdict(); v.Explained < .8 || gone.Fault(v.Fault).Sites[0].Part != 0 {
		t.Errorf("%+v", v)
	}
	// A short at the part itself, whose branch is cut off, before and after it: what is
	// left is the new part, or another one beside it.
	alone := isolate.State{Apart: true}
	both := isolate.State{Apart: true, New: []int{0}}
	c = c.With(&isolate.Short{By: isolate.Reading, At: d.Parts[0].At, Seen: true, State: alone}).
		With(&isolate.Short{By: isolate.Reading, At: d.Parts[0].At, Seen: true, State: both}).In(both)
	isNew := 0.0
	for _, s := range c.Suspects() {
		if f := c.Fault(s.Faults[0]); f.Kind == isolate.Single && f.Sites[0].New {
			isNew += s.P
		}
	}
	if old := suspect(c, isolate.Single, 0); isNew <= old/10 || isNew > .1 {
		t.Errorf("the new part has %.4f of it, what was the old one %.4f", isNew, old)
	}
	plan, err := c.Next(t.Context(), both, isolate.Bench{Costs: isolate.UsualCosts()})
	if err != nil || len(plan.Proposals) == 0 {
		t.Errorf("%+v, %v", plan, err)
	}
}

// TestSecondsAgainstBayes: random parts taken off and replaced, random draws: what is
// left is as likely as Bayes's rule says, written out over all pairs of what may be
// bad, without the package's own faults for pairs.
func TestSecondsAgainstBayes(t *testing.T) {
	for seed := range uint64(80) {
		r := rand.New(rand.NewPCG(seed, 9))
		d := fourParts()
		priors := isolate.PriorsFor(isolate.History(r.IntN(3)))
		rates := isolate.CommonPractice()
		touched := r.Perm(4)[:1+r.IntN(2)]
		var end isolate.State
		for _, part := range touched {
			if r.IntN(2) == 0 {
				end.Off = append(end.Off, part)
			} else {
				end.New = append(end.New, part)
			}
		}
		base := isolate.Faults(d, priors, nil)
		worlds := worldsOf(base, touched, end.New, priors)
		c := newCase(t, d, isolate.Seconds(slices.Clone(base), touched, end.New, priors), rates)
		for range 1 + r.IntN(4) {
			o := &isolate.Short{By: isolate.Reading, At: d.Parts[r.IntN(4)].At, Seen: r.IntN(2) == 0}
			if r.IntN(2) == 0 {
				o.State = end
			}
			if o.State.Apart = r.IntN(2) == 0; c.With(o).Observations() == c.Observations() {
				continue
			}
			before := c.Chances()
			c = c.With(o)
			if slices.Equal(before, c.Chances()) {
				continue // it was asked before
			}
			for i := range worlds {
				worlds[i].weight *= worlds[i].likelihood(d, o, rates.Reading)
			}
		}
		want, sum := map[string]float64{}, 0.0
		for _, w := range worlds {
			want[w.left(end)] += w.weight
			sum += w.weight
		}
		in := c.In(end)
		for _, s := range in.Suspects() {
			name := nameLeft(in, s.Faults[0])
			if p := want[name] / sum; p < s.P-1e-9 || p > s.P+1e-9 {
				t.Fatalf("seed %d: %s has %.9f, by Bayes's rule %.9f", seed, name, s.P, p)
			}
		}
	}
}

// world is a set of things that are bad: parts, new parts, and one of the copper.
type world struct {
	old    []int
	new    int // None if no new part is bad
	copper int // the number of the fault, None if there is none
	at     trace.Place
	weight float64
}

// worldsOf are all that may be, with their weights written out.
func worldsOf(base []isolate.Fault, touched, renewed []int, p isolate.Priors) (all []world) {
	sum := 0.0
	var alone []world
	for i, f := range base {
		w := world{new: isolate.None, copper: isolate.None, weight: f.Weight}
		switch f.Kind {
		case isolate.Single, isolate.Several:
			for _, s := range f.Sites {
				w.old = append(w.old, s.Part)
			}
		default:
			if w.copper = i; f.Kind != isolate.Elsewhere {
				w.at = f.Sites[0].At
			}
		}
		if f.Kind != isolate.Several && f.Kind != isolate.Elsewhere {
			sum += f.Weight
			alone = append(alone, w)
		}
		if f.Kind == isolate.Single && slices.Contains(touched, f.Sites[0].Part) {
			isNew := slices.Contains(renewed, f.Sites[0].Part)
			w.weight *= 1 - p.Second
			if isNew {
				w.weight -= f.Weight * p.NewBad
			}
		}
		all = append(all, w)
	}
	for _, a := range alone {
		if len(a.old) == 0 || !slices.Contains(touched, a.old[0]) {
			continue
		}
		part := a.old[0]
		if slices.Contains(renewed, part) {
			all = append(all, world{old: []int{part}, new: part, copper: isolate.None, weight: a.weight * p.NewBad})
		}
		for _, b := range alone {
			both := world{old: append([]int{part}, b.old...), new: isolate.None, copper: b.copper, at: b.at, weight: a.weight * p.Second * b.weight / sum}
			first := len(b.old) == 0 || !slices.Contains(touched, b.old[0]) || slices.Index(touched, b.old[0]) > slices.Index(touched, part)
			if first && (len(b.old) == 0 || b.old[0] != part) {
				all = append(all, both)
			}
		}
	}
	return all
}

// likelihood is that of a reading, the two branches being one piece unless the
// boards are apart.
func (w *world) likelihood(d *isolate.Device, o *isolate.Short, e isolate.Error) float64 {
	reaches := func(at trace.Place) bool { return at == o.At[0] || !o.State.Apart }
	p := 0.0
	for _, part := range w.old {
		if reaches(d.Parts[part].At[0]) && !slices.Contains(o.State.Off, part) && !slices.Contains(o.State.New, part) {
			p = 1
		}
	}
	if w.new != isolate.None && reaches(d.Parts[w.new].At[0]) && slices.Contains(o.State.New, w.new) && !slices.Contains(o.State.Off, w.new) {
		p = 1
	}
	if w.copper != isolate.None {
		if w.at == 0 {
			return .5 // elsewhere
		}
		if reaches(w.at) {
			p = 1
		}
	}
	if seen := p*(1-e.Miss) + (1-p)*e.Alarm; o.Seen {
		return seen
	} else {
		return 1 - seen
	}
}

// left names what is left of a world, or if nothing is, all of it.
func (w *world) left(s isolate.State) string {
	var old, left []string
	for _, part := range w.old {
		name := fmt.Sprint("part", part)
		if old = append(old, name); !slices.Contains(s.Off, part) && !slices.Contains(s.New, part) {
			left = append(left, name)
		}
	}
	if w.new != isolate.None && !slices.Contains(s.Off, w.new) {
		left = append(left, fmt.Sprint("new", w.new))
	}
	if w.copper != isolate.None {
		left = append(left, fmt.Sprint("copper", w.copper))
	}
	if len(left) == 0 {
		left = append(old, "found")
	}
	slices.Sort(left)
	return strings.Join(left, " ")
}

// nameLeft names a fault likewise.
func nameLeft(c *isolate.Case, f int) string {
	x := c.Fault(f)
	var names []string
	for _, s := range x.Sites {
		switch {
		case s.New:
			names = append(names, fmt.Sprint("new", s.Part))
		case s.Part != isolate.None:
			names = append(names, fmt.Sprint("part", s.Part))
		}
	}
	switch {
	case c.IsFound(f):
		names = append(names, "found")
	case x.Kind == isolate.Zone || x.Kind == isolate.Bridge || x.Kind == isolate.Elsewhere:
		number := f
		if x.Second > 0 {
			number = x.Second - 1
		}
		names = append(names, fmt.Sprint("copper", number))
	}
	slices.Sort(names)
	return strings.Join(names, " ")
}

// TestOnPlacesOfTheRail keeps a part that is on the rail at two places, and is
// replaced, in step with its faults.
func TestOnPlacesOfTheRail(t *testing.T) {
	s := newStack(1, 1)
	s.part(s.branches[0], lowerBoard, isolate.None, 0)
	s.Parts[0].At = []trace.Place{s.branches[0], s.branches[1]}
	s.Parts[0].Class = board.Chip
	d := s.done()
	priors := isolate.PriorsFor(isolate.NoHistory)
	all := isolate.Seconds(isolate.Faults(d, priors, nil), []int{0}, []int{0}, priors)
	c := newCase(t, d, all, exact()).In(isolate.State{New: []int{0}})
	if v, ok := c.Verdict(); !ok || v.Fault == isolate.None || c.Fault(v.Fault).Sites[0].Part != 0 {
		t.Errorf("%+v", v)
	}
}
