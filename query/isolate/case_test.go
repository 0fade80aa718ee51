package isolate_test

import (
	"errors"
	"math"
	"slices"
	"testing"

	"netlore/query/isolate"
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

// TestForeseen: of four suspects as likely as each other, tape covers two; with 5 % missed and 2 %
// false alarms the short is gone with .485, as computed by hand.
func TestForeseen(t *testing.T) {
	s := newStack(1, 1)
	s.part(s.branches[0], lowerBoard, isolate.None, 0)
	s.part(s.branches[1], lowerBoard, isolate.None, 9)
	d := s.done()
	faults := []isolate.Fault{}
	for i := range 4 {
		faults = append(faults, isolate.Fault{Sites: []isolate.Site{{At: s.branches[i/2], Part: i / 2}}, Weight: 1})
	}
	r := exact()
	r.Tape = isolate.Error{Miss: .02, Alarm: .05}
	r.Draw = isolate.Error{Miss: .01, Alarm: .01}
	c := newCase(t, d, faults, r)
	tape := &isolate.Short{By: isolate.Tape, At: d.Source, State: isolate.State{Taped: []int{0}}}
	near(t, "gone", c.With(tape).Foreseen(0), .485, 1e-12)
	near(t, "a draw of a short, which all faults give", c.With(&isolate.Short{At: d.Source, Seen: true}).Foreseen(0), .99, 1e-12)
	near(t, "both", c.With(tape).With(&isolate.Short{At: d.Source, Seen: true}).Foreseen(0), .485*.99, 1e-12)
	near(t, "the second alone", c.With(tape).With(&isolate.Short{At: d.Source, Seen: true}).Foreseen(1), .99, 1e-12)
}
