package isolate_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"netlore/query/isolate"
	"netlore/query/isolate/inject"
	"netlore/query/trace"
	"netlore/store/board"
)

func newCase(t testing.TB, d *isolate.Device, faults []isolate.Fault, r isolate.Rates) *isolate.Case {
	t.Helper()
	c, err := isolate.NewCase(d, faults, r)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %.9f, want %v", what, got, want)
	}
}

// of is how likely the faults are that something holds of.
func of(c *isolate.Case, is func(*isolate.Fault) bool) (sum float64) {
	for f, p := range c.Chances() {
		if is(c.Fault(f)) {
			sum += p
		}
	}
	return sum
}

// with is of a part, alone or with another.
func with(part int) func(*isolate.Fault) bool {
	return func(f *isolate.Fault) bool {
		return slices.ContainsFunc(f.Sites, func(s isolate.Site) bool { return s.Part == part })
	}
}

func onPart(part int) func(*isolate.Fault) bool {
	return func(f *isolate.Fault) bool { return len(f.Sites) == 1 && f.Sites[0].Part == part }
}

// TestHalves: a half that draws nothing when fed alone is not the one, and to
// cover all pads that feed a shorted branch brings the draw to nothing, while to
// cover all but one does not (common practice, no source).
func TestHalves(t *testing.T) {
	s := newStack(4, 3, 1)
	above := s.part(s.upper, upperBoard, isolate.None, 0)
	var below []int
	for _, at := range s.branches {
		below = append(below, s.part(at, lowerBoard, isolate.None, 0))
	}
	d := s.done()
	c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil), isolate.CommonPractice())
	c.Observe(&isolate.Short{At: d.Source, Seen: true})
	c.Observe(&isolate.Short{At: d.Halves[upperBoard].Feed, State: isolate.State{Apart: true}})
	if p := of(c, onPart(above)); p > .01 {
		t.Errorf("the upper board draws nothing, and its part is a suspect with %v", p)
	}
	most := c.With(&isolate.Short{By: isolate.Tape, At: d.Source, State: isolate.State{Loose: true, Taped: []int{0, 1, 2}}})
	if p, before := of(most, onPart(below[0])), of(c, onPart(below[0])); p > before {
		t.Errorf("tape over three of four pads brought the draw to nothing, and the part behind has %v, before %v", p, before)
	}
	all := c.With(&isolate.Short{By: isolate.Tape, At: d.Source, State: isolate.State{Loose: true, Taped: []int{0, 1, 2, 3}}})
	if p, before := of(all, onPart(below[0])), of(c, onPart(below[0])); p < 2*before || of(all, onPart(below[1])) > .1*p {
		t.Errorf("tape over all its pads brought the draw to nothing, and the part behind has %v, before %v", p, before)
	}
	if all.Observations() != 3 || c.Observations() != 2 {
		t.Errorf("%d and %d observations, want 3 and 2: what if changes nothing", all.Observations(), c.Observations())
	}
}

// joined is what a place is one piece with where some ties are cut, by union-find;
// with all it counts ties that are not sure, too.
func joined(d *isolate.Device, ends [][2]trace.Place, sure []bool, cut map[int]bool, all bool) []int {
	root := make([]int, d.Graph.Places())
	for i := range root {
		root[i] = i
	}
	var find func(int) int
	find = func(a int) int {
		if root[a] != a {
			root[a] = find(root[a])
		}
		return root[a]
	}
	for i, e := range ends {
		if !cut[i] && (all || sure[i]) {
			root[find(int(e[0]))] = find(int(e[1]))
		}
	}
	for i := range root {
		root[i] = find(i)
	}
	return root
}

// TestAgainstBayes: random trees of branches with coils, some of which may not
// carry, and random observations: the chances are those of Bayes's rule, written
// out over union-find.
func TestAgainstBayes(t *testing.T) {
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 3))
		var b trace.Builder
		b.Add(trace.Stops)
		n := 3 + r.IntN(8)
		d := &isolate.Device{Source: []trace.Place{1}}
		var ends [][2]trace.Place
		var sure []bool
		for i := range n {
			at := b.Add(trace.Goes)
			d.Parts = append(d.Parts, isolate.Part{Class: board.Capacitor, At: []trace.Place{at}, Grounded: board.True, Tie: trace.None, Spot: isolate.Spot{Cover: isolate.None}})
			if i > 0 {
				from := trace.Place(1 + r.IntN(i))
				sure = append(sure, r.IntN(4) > 0)
				ends = append(ends, [2]trace.Place{from, at})
				b.Tie(trace.Tie{Sure: sure[i-1]}, from, at)
			}
		}
		d.Graph = b.Graph()
		faults := isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil)
		rates := isolate.CommonPractice()
		c := newCase(t, d, faults, rates)
		want := make([]float64, len(faults))
		for f := range faults {
			want[f] = faults[f].Weight
		}
		for range 1 + r.IntN(5) {
			o, cut := randomShort(r, n)
			c.Observe(o)
			e := map[isolate.Method]isolate.Error{isolate.Draw: rates.Draw, isolate.Tape: rates.Tape, isolate.Reading: rates.Reading}[o.By]
			surely, maybe := joined(d, ends, sure, cut, false), joined(d, ends, sure, cut, true)
			for f := range faults {
				want[f] *= shows(&faults[f], o, e, surely, maybe)
			}
		}
		sum := 0.0
		for _, w := range want {
			sum += w
		}
		for f, p := range c.Chances() {
			near(t, "the chance", p, want[f]/sum, 1e-9)
		}
	}
}

func randomShort(r *rand.Rand, places int) (*isolate.Short, map[int]bool) {
	o := &isolate.Short{By: isolate.Method(r.IntN(3)), At: []trace.Place{trace.Place(1 + r.IntN(places))}, Seen: r.IntN(2) == 0}
	cut := map[int]bool{}
	for range r.IntN(3) {
		i := r.IntN(places - 1)
		cut[i] = true
		o.State.Cut = append(o.State.Cut, trace.TieID(i))
	}
	if r.IntN(3) == 0 {
		o.State.Off = []int{r.IntN(places)}
	}
	return o, cut
}

// shows is how likely an observation is with a fault.
func shows(f *isolate.Fault, o *isolate.Short, e isolate.Error, surely, maybe []int) float64 {
	if f.Kind == isolate.Elsewhere {
		return .5
	}
	flows := 0.0
	for _, s := range f.Sites {
		x := 0.0
		switch {
		case len(o.State.Off) > 0 && o.State.Off[0] == s.Part:
		case surely[o.At[0]] == surely[s.At]:
			x = 1
		case maybe[o.At[0]] == maybe[s.At]:
			x = .5
		}
		flows = max(flows, x)
	}
	p := flows*(1-e.Miss) + (1-flows)*e.Alarm
	if !o.Seen {
		p = 1 - p
	}
	return p
}

// TestHeat: what lies in the open and does not show is less of a suspect than what
// lies under a cover; with a spot named, that part is it. A short of a few
// milliohms stays cold, and its way is warm: a coil that is warm points behind it.
func TestHeat(t *testing.T) {
	s := newStack(1, 1)
	s.Covers = []isolate.Cover{{Off: isolate.Cost{Minutes: 12}}}
	open := s.part(s.branches[0], lowerBoard, isolate.None, 5)
	beside := s.part(s.branches[0], lowerBoard, isolate.None, 25)
	under := s.part(s.branches[0], lowerBoard, 0, 15)
	coil, behind := s.series(s.branches[1], lowerBoard, true)
	s.part(behind, lowerBoard, 0, 45)
	d := s.done()
	c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil), isolate.CommonPractice())
	look := isolate.Heat{At: d.Source, Feed: inject.Injection{Volts: 1, Amps: 2, Path: .02}, Part: isolate.None, Spot: isolate.Spot{Cover: isolate.None}}

	nothing := c.With(&look)
	if in, out := of(nothing, onPart(under)), of(nothing, onPart(open)); in < 3*out {
		t.Errorf("nothing shows: the covered part has %v, the open one %v", in, out)
	}
	off := look
	off.State.Lids = []int{0}
	if in, out := of(c.With(&off), onPart(under)), of(c.With(&off), onPart(open)); math.Abs(in-out) > 1e-9 {
		t.Errorf("the cover off, nothing shows: the covered part has %v, the open one %v", in, out)
	}
	named := look
	named.Seen, named.Part = true, open
	if p := of(c.With(&named), with(open)); p < .9 {
		t.Errorf("the part that was warm has %v", p)
	}
	place := look
	place.Seen, place.Spot = true, isolate.Spot{Board: lowerBoard, Side: board.Top, X: 24, Placed: true, Cover: isolate.None}
	if p := of(c.With(&place), with(beside)); p < .9 {
		t.Errorf("the part 1 mm from the spot has %v", p)
	}
	way := look
	way.Seen, way.Part = true, coil
	beyond := func(f *isolate.Fault) bool { return len(f.Sites) > 0 && f.Sites[0].At == behind }
	if p, before := of(c.With(&way), beyond), of(c, beyond); p < .8 || before > .3 {
		t.Errorf("the coil was warm, and what is behind it has %v, before %v", p, before)
	}
	frost := look
	frost.With = isolate.FreezeSpray
	if camera, spray := of(nothing, onPart(open)), of(c.With(&frost), onPart(open)); camera > spray {
		t.Errorf("nothing shows: the open part has %v by camera, %v by frost, which shows less", camera, spray)
	}
}

// TestPower: the chance that a short shows rises with the power, by the worked
// values of what 1 V and 2 A do: a supply of 0.1 A shows hardly anything.
func TestPower(t *testing.T) {
	s := newStack(1)
	open := s.part(s.branches[0], lowerBoard, isolate.None, 5)
	s.part(s.branches[0], lowerBoard, isolate.None, 45)
	d := s.done()
	c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil), isolate.CommonPractice())
	last := -1.0
	for _, amps := range []float64{.01, .1, .5, 2} {
		h := &isolate.Heat{At: d.Source, Feed: inject.Injection{Volts: 1, Amps: amps, Path: .02}, Seen: true, Part: open}
		p := of(c.With(h), onPart(open))
		if p <= last {
			t.Errorf("with %v A the warm part has %v, with less %v", amps, p, last)
		}
		last = p
	}
}

// TestCorrosion: corrosion seen in a zone speaks for its copper and, less, its
// parts; none seen speaks against them.
func TestCorrosion(t *testing.T) {
	s := newStack(1)
	near := s.part(s.branches[0], lowerBoard, isolate.None, 5)
	far := s.part(s.branches[0], lowerBoard, isolate.None, 45)
	d := s.done()
	c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.Liquid), nil), isolate.CommonPractice())
	spot := d.Parts[near].Spot
	seen := c.With(&isolate.Stain{Spot: spot, Radius: 3, Seen: true})
	not := c.With(&isolate.Stain{Spot: spot, Radius: 3})
	if a, b := of(seen, onPart(near)), of(seen, onPart(far)); a < 3*b {
		t.Errorf("corrosion was seen: the part there has %v, another %v", a, b)
	}
	if a, b := of(not, onPart(near)), of(not, onPart(far)); a >= b {
		t.Errorf("none was seen: the part there has %v, another %v", a, b)
	}
	zone := c.With(&isolate.Stain{Spot: spot, Seen: true})
	if a, b := of(zone, isZone), of(c, isZone); a < 1.5*b {
		t.Errorf("corrosion was seen all over: the copper has %v, before %v", a, b)
	}
}

func isZone(f *isolate.Fault) bool { return f.Kind == isolate.Zone }

// TestSecondShort: a part was taken off and the short is still there, so it was
// another one, or there are two.
func TestSecondShort(t *testing.T) {
	s := newStack(1)
	one := s.part(s.branches[0], lowerBoard, isolate.None, 5)
	two := s.part(s.branches[0], lowerBoard, isolate.None, 6)
	d := s.done()
	c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.Liquid), nil), isolate.CommonPractice())
	c.Observe(&isolate.Heat{At: d.Source, Feed: inject.Injection{Volts: 1, Amps: 2, Path: .02}, Seen: true, Part: one})
	still := c.With(&isolate.Short{At: d.Source, State: isolate.State{Off: []int{one}}, Seen: true})
	if p := of(still, onPart(one)); p > .2 {
		t.Errorf("the part is off and the short is there, and it has %v", p)
	}
	both := of(still, func(f *isolate.Fault) bool { return f.Kind == isolate.Several })
	if other := of(still, onPart(two)); both < other {
		t.Errorf("it was warm, so that both are bad has %v, that the other one is %v", both, other)
	}
	gone := c.With(&isolate.Short{At: d.Source, State: isolate.State{Off: []int{one}}})
	if p := of(gone, onPart(one)); p < .95 {
		t.Errorf("the part is off and the short is gone, and it has %v", p)
	}
}

// TestConflict: a draw of nothing that contradicts three others is one of the two
// that disagree most; without it nothing does.
func TestConflict(t *testing.T) {
	s := newStack(1, 1)
	for _, at := range s.branches {
		s.part(at, lowerBoard, isolate.None, 0)
	}
	d := s.done()
	c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil), isolate.CommonPractice())
	tape := func(pad int, seen bool) *isolate.Short {
		return &isolate.Short{By: isolate.Tape, At: d.Source, State: isolate.State{Taped: []int{pad}}, Seen: seen}
	}
	c.Observe(&isolate.Short{At: d.Source, Seen: true})
	c.Observe(tape(0, false))
	if x, ok := c.Conflict(); ok || x.P < .8 {
		t.Errorf("nothing contradicts, yet %+v", x)
	}
	c.Observe(tape(1, false))
	x, ok := c.Conflict()
	if !ok || x.A != 1 || x.B != 2 {
		t.Errorf("each pad alone brought the draw to nothing; got %+v, %v", x, ok)
	}
	blind := bench()
	blind.Camera = false
	settle, err := c.Settle(x, isolate.State{Loose: true}, blind)
	if err != nil || len(settle) == 0 {
		t.Fatalf("what would settle it: %+v, %v", settle, err)
	}
	for _, seen := range []bool{false, true} {
		after := c.With(settle[0].Observation(seen))
		if a, b := of(after, onPart(0)), of(after, onPart(1)); max(a, b) < 5*min(a, b) {
			t.Errorf("settled by %+v, the parts have %v and %v", settle[0], a, b)
		}
	}
	if c.Spoke(1, 0) < 1 || c.Spoke(2, 0) > -1 {
		t.Errorf("the first tape speaks for the part behind it with %v bits, the second with %v", c.Spoke(1, 0), c.Spoke(2, 0))
	}
}

// TestAskedTwice: to ask the same again and to see the same says nothing new; to
// see something else does.
func TestAskedTwice(t *testing.T) {
	s := newStack(1, 1)
	for _, at := range s.branches {
		s.part(at, lowerBoard, isolate.None, 0)
	}
	d := s.done()
	c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil), isolate.CommonPractice())
	for _, o := range []func(seen bool) isolate.Observation{
		func(seen bool) isolate.Observation {
			return &isolate.Short{By: isolate.Tape, At: d.Source, State: isolate.State{Taped: []int{0}}, Seen: seen}
		},
		func(seen bool) isolate.Observation {
			return &isolate.Heat{At: d.Source, Feed: bench().Feed, Part: isolate.None, Seen: seen}
		},
		func(seen bool) isolate.Observation {
			return &isolate.Stain{Spot: isolate.Spot{Placed: true}, Radius: 1, Seen: seen}
		},
	} {
		once := c.With(o(false))
		if twice := once.With(o(false)); !slices.Equal(once.Chances(), twice.Chances()) {
			t.Errorf("the same again changes %v into %v", once.Chances(), twice.Chances())
		}
		if other := once.With(o(true)); slices.Equal(once.Chances(), other.Chances()) {
			t.Error("something else changes nothing")
		}
	}
	first := c.With(&isolate.Short{At: d.Source, Seen: true})
	plan, err := first.Next(context.Background(), isolate.State{}, bench())
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range plan.Proposals {
		if x.Kind == isolate.FeedIt && x.Half == isolate.None {
			t.Errorf("what was asked is proposed again: %+v", x)
		}
	}
}

// TestRuledOut: no fault that is known goes with what was seen.
func TestRuledOut(t *testing.T) {
	s := newStack(1, 1)
	s.part(s.branches[0], lowerBoard, isolate.None, 0)
	s.part(s.branches[1], lowerBoard, isolate.None, 0)
	d := s.done()
	c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil), isolate.CommonPractice())
	c.Observe(&isolate.Short{At: d.Source, Seen: true})
	if c.IsRuledOut() {
		t.Error("all is possible, and it is ruled out")
	}
	for part := range d.Parts {
		c.Observe(&isolate.Short{At: d.Source, State: isolate.State{Off: []int{part}}, Seen: true})
	}
	c.Observe(&isolate.Short{At: d.Source, State: isolate.State{Off: []int{0, 1}}, Seen: true})
	c.Observe(&isolate.Short{At: []trace.Place{s.branches[0]}, By: isolate.Reading, State: isolate.State{Apart: true}})
	c.Observe(&isolate.Short{At: []trace.Place{s.branches[1]}, By: isolate.Reading, State: isolate.State{Apart: true}})
	c.Observe(&isolate.Short{At: []trace.Place{s.upper}, By: isolate.Reading, State: isolate.State{Apart: true}})
	c.Observe(&isolate.Short{At: d.Halves[lowerBoard].Feed, State: isolate.State{Apart: true}})
	if !c.IsRuledOut() {
		t.Errorf("each piece alone is fine, and that it is elsewhere has %v", of(c, func(f *isolate.Fault) bool { return f.Kind == isolate.Elsewhere }))
	}
}

func TestLacks(t *testing.T) {
	good := newStack(1)
	good.part(good.branches[0], lowerBoard, isolate.None, 0)
	d := good.done()
	faults := isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil)
	if _, err := isolate.NewCase(d, nil, exact()); !errors.Is(err, isolate.ErrNoFaults) {
		t.Errorf("no faults: %v", err)
	}
	var b trace.Builder
	b.Add(trace.MayStop)
	unknown := *d
	unknown.Graph = b.Graph()
	if _, err := isolate.NewCase(&unknown, faults, exact()); !errors.Is(err, isolate.ErrNoGround) {
		t.Errorf("no ground: %v", err)
	}
	unfed := *d
	unfed.Source = nil
	if _, err := isolate.NewCase(&unfed, faults, exact()); !errors.Is(err, isolate.ErrNoSource) {
		t.Errorf("no source: %v", err)
	}
	hidden := *d
	hidden.Parts = []isolate.Part{{At: []trace.Place{1}, Grounded: board.True, Spot: isolate.Spot{Cover: 3}}}
	var none *isolate.NoSuchError
	if _, err := isolate.NewCase(&hidden, faults, exact()); !errors.As(err, &none) || none.What != "cover" || none.Number != 3 {
		t.Errorf("a cover that there is not: %v", err)
	}
	lost := *d
	lost.Source = []trace.Place{99}
	if _, err := isolate.NewCase(&lost, faults, exact()); !errors.As(err, &none) || none.What != "place" {
		t.Errorf("a place that there is not: %v", err)
	}
	alone := *d
	alone.Pads = nil
	if !d.CanPart() || alone.CanPart() {
		t.Error("a stack without joins cannot be taken apart as far as is known, one with them can")
	}
}

// TestDraws: about 4 A at the moment of connection is a hard short of a main rail
// (common practice, no source).
func TestDraws(t *testing.T) {
	for _, c := range []struct {
		amps, normal, limit float64
		short               bool
	}{{4, .2, 4, true}, {2.4, .2, 2.5, true}, {.2, .2, 4, false}, {.31, .2, 4, false}, {0, 0, 2, false}, {1, 0, 2, true}} {
		if isolate.Draws(c.amps, c.normal, c.limit) != c.short {
			t.Errorf("%v A where %v A are normal, limit %v A: short is %v", c.amps, c.normal, c.limit, !c.short)
		}
	}
}
