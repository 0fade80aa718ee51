package isolate_test

import (
	"context"
	"slices"
	"testing"

	"netlore/query/isolate"
	"netlore/query/isolate/inject"
	"netlore/query/trace"
)

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
	if one, two := c.Spoken(1)[0], c.Spoken(2)[0]; one < 1 || two > -1 {
		t.Errorf("the first tape speaks for the part behind it with %v bits, the second with %v", one, two)
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

// TestSameHeat: a view that was looked at is not proposed again from another place,
// unless from there a current comes to more of what may be bad.
func TestSameHeat(t *testing.T) {
	proposed := func(read bool) bool {
		s := newStack(2, 2)
		for i, at := range s.branches {
			s.part(at, lowerBoard, isolate.None, float64(10*i))
			s.part(at, lowerBoard, 0, float64(10*i)+5)
			s.part(at, lowerBoard, 0, float64(10*i)+8)
		}
		s.Covers = []isolate.Cover{{Off: isolate.Cost{Minutes: 12, Risk: .05}}}
		d := s.done()
		c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil), isolate.CommonPractice())
		c.Observe(&isolate.Short{At: d.Source, Seen: true})
		apart := isolate.State{Loose: true, Apart: true}
		c.Observe(&isolate.Short{At: d.Halves[lowerBoard].Feed, State: apart, Seen: true})
		if read {
			c.Observe(&isolate.Short{By: isolate.Reading, At: []trace.Place{s.branches[1]}, State: apart})
		}
		c.Observe(&isolate.Heat{At: []trace.Place{s.branches[0]}, State: apart, Feed: bench().Feed, Part: isolate.None})
		plan, err := c.Next(context.Background(), apart, bench())
		if err != nil {
			t.Fatal(err)
		}
		return slices.ContainsFunc(plan.Proposals, func(x isolate.Proposal) bool {
			return x.Kind == isolate.InjectIt && x.View.Board == lowerBoard && x.View.Cover == isolate.None
		})
	}
	if proposed(true) {
		t.Error("what is left of the rail was fed, and it is to be looked at again")
	}
	if !proposed(false) {
		t.Error("half of what is left was fed, and the other half is not to be looked at")
	}
}
