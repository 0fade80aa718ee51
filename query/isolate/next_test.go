package isolate_test

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"netlore/query/isolate"
	"netlore/query/isolate/play"
)

// onlyTape is a bench on which nothing is worth while but tape, at one minute a
// run, the boards being loose already.
func onlyTape() isolate.Bench {
	dear := isolate.Cost{Minutes: 1e6}
	return isolate.Bench{Costs: isolate.Costs{Unsolder: dear, Feed: dear, Tape: isolate.Cost{Minutes: 1}, Read: dear, Inject: dear, Look: dear, Lift: dear}, Sure: 1}
}

// TestTapeOnALine: a branch behind each pad, each as likely as the others: the
// best plan of tape over contiguous runs is as short as Huffman's code for equal
// weights.
func TestTapeOnALine(t *testing.T) {
	for branches, want := range map[int]float64{7: 2.857143, 15: 3.933333, 39: 5.358974} {
		s := newStack(slices.Repeat([]int{1}, branches)...)
		for _, at := range s.branches {
			s.part(at, lowerBoard, isolate.None, 0)
		}
		d := s.done()
		var faults []isolate.Fault
		for i, at := range s.branches {
			faults = append(faults, isolate.Fault{Sites: []isolate.Site{{At: at, Part: i, Spot: d.Parts[i].Spot}}, Weight: 1})
		}
		c := newCase(t, d, faults, exact())
		plan, err := c.Next(context.Background(), isolate.State{Loose: true}, onlyTape())
		if err != nil {
			t.Fatal(err)
		}
		first := plan.Proposals[0]
		if near(t, "minutes", plan.Mean, want, 1e-6); first.Kind != isolate.TapeIt {
			t.Errorf("%d branches: the first is %+v", branches, first)
		}
		if got := first.Outcomes[0].P + first.Outcomes[1].P; math.Abs(got-1) > 1e-9 || first.Unsolder || first.All.Minutes != 1 {
			t.Errorf("%d branches: the first is %+v", branches, first)
		}
	}
}

// TestEveryRunOfTape: pads in an order in which every contiguous run is better
// than runs from one end: 2.55 where those take 2.99 (computed in Python by
// dynamic programming).
func TestEveryRunOfTape(t *testing.T) {
	s := newStack(slices.Repeat([]int{1}, 8)...)
	var faults []isolate.Fault
	for i, w := range []float64{.25, .01, .24, .01, .24, .01, .23, .01} {
		s.part(s.branches[i], lowerBoard, isolate.None, 0)
		faults = append(faults, isolate.Fault{Sites: []isolate.Site{{At: s.branches[i], Part: i, Spot: s.Parts[i].Spot}}, Weight: w})
	}
	c := newCase(t, s.done(), faults, exact())
	plan, err := c.Next(context.Background(), isolate.State{Loose: true}, onlyTape())
	if err != nil {
		t.Fatal(err)
	}
	if near(t, "minutes", plan.Mean, 2.55, 1e-9); !plan.Exact {
		t.Errorf("not proved: %+v", plan)
	}
}

// TestRunsAgainstReach: what a run of tape does to each branch is what one search
// with its pads cut says, round the ring, too.
func TestRunsAgainstReach(t *testing.T) {
	stacks := uint64(20)
	if testing.Short() {
		stacks = 4
	}
	for seed := range stacks {
		d := play.Stack(rand.New(rand.NewPCG(seed, 4)), play.Size{Parts: 12, Pads: 12, Branches: 5})
		d.Ring = seed%2 == 0
		c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil), isolate.CommonPractice())
		plan, err := c.Next(context.Background(), isolate.State{Loose: true}, onlyTape())
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range plan.Proposals {
			if x.Kind != isolate.TapeIt {
				continue
			}
			if want := pads(x.First, x.Pads, len(d.Pads)); !slices.Equal(x.State.Taped, want) {
				t.Errorf("tape over %v, want %v", x.State.Taped, want)
			}
			seen := c.With(&isolate.Short{By: isolate.Tape, At: d.Source, State: x.State, Seen: true})
			near(t, "what is missing if it is still there", seen.Entropy(), x.Outcomes[1].Bits, 1e-9)
			gone := c.With(&isolate.Short{By: isolate.Tape, At: d.Source, State: x.State})
			near(t, "what is missing if it is gone", gone.Entropy(), x.Outcomes[0].Bits, 1e-9)
		}
		if len(plan.Proposals) == 0 {
			t.Errorf("seed %d: no proposal", seed)
		}
	}
}

func pads(first, n, all int) (list []int) {
	for i := range n {
		list = append(list, (first+i)%all)
	}
	return list
}

// TestCovers: what lies in the open is looked at before a lid is lifted, and a
// proposal says which lids have to come off, and what that costs.
func TestCovers(t *testing.T) {
	s := newStack(1)
	s.Covers = []isolate.Cover{{Off: isolate.Cost{Minutes: 12, Risk: .05}}, {Stay: true}}
	for x := range 6 {
		s.part(s.branches[0], lowerBoard, isolate.None, 10*float64(x))
		s.part(s.branches[0], lowerBoard, x%2, 10*float64(x))
	}
	d := s.done()
	c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil), isolate.CommonPractice())
	c.Observe(&isolate.Short{At: d.Source, Seen: true})
	plan, err := c.Next(context.Background(), isolate.State{}, bench())
	if err != nil || len(plan.Proposals) == 0 {
		t.Fatalf("%+v, %v", plan, err)
	}
	first := plan.Proposals[0]
	if first.Kind != isolate.InjectIt || first.View.Cover != isolate.None || len(first.Lids) != 0 {
		t.Errorf("first comes %+v", first)
	}
	for _, x := range plan.Proposals {
		if slices.Contains(x.Lids, 1) {
			t.Errorf("a cover that cannot come off: %+v", x)
		}
		if slices.Contains(x.Lids, 0) && (x.All.Minutes < 12 || x.All.Risk < .05) {
			t.Errorf("a cover that costs nothing: %+v", x.All)
		}
	}
}

// TestDone: once a part was lifted and the short was gone, nothing is worth while, and
// next to nothing has to be mended.
func TestDone(t *testing.T) {
	s := newStack(2, 2)
	one := s.part(s.branches[0], lowerBoard, isolate.None, 0)
	s.part(s.branches[1], lowerBoard, isolate.None, 30)
	d := s.done()
	c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil), isolate.CommonPractice())
	c.Observe(&isolate.Short{At: d.Source, Seen: true})
	c.Observe(&isolate.Heat{At: d.Source, Feed: bench().Feed, Seen: true, Part: one})
	off := isolate.State{Off: []int{one}}
	c.Observe(&isolate.Short{At: d.Source, State: off})
	if p := of(c, onPart(one)); p < .95 {
		t.Fatalf("the part has %v", p)
	}
	plan, err := c.Next(context.Background(), off, bench())
	if err != nil || len(plan.Proposals) != 0 || plan.Mean > .1 {
		t.Errorf("there is more to do: %+v, %v", plan, err)
	}
}

// TestWithoutJoins: a stack of which no joins are known is not told to be taken
// apart.
func TestWithoutJoins(t *testing.T) {
	s := newStack(1, 1)
	for _, at := range s.branches {
		s.part(at, lowerBoard, isolate.None, 0)
	}
	d := s.done()
	d.Pads = nil
	c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil), isolate.CommonPractice())
	plan, err := c.Next(context.Background(), isolate.State{}, bench())
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range plan.Proposals {
		if x.Unsolder || x.Kind == isolate.TapeIt {
			t.Errorf("nothing is known that joins the boards, and it says %+v", x)
		}
	}
}

// TestStopped: a plan that is stopped at once is partial, and still says what to do.
func TestStopped(t *testing.T) {
	d := play.Stack(rand.New(rand.NewPCG(2, 2)), play.Size{Parts: 100, Pads: 25, Branches: 10})
	c := newCase(t, d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil), isolate.CommonPractice())
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	plan, err := c.Next(ctx, isolate.State{}, bench())
	if err != nil || !plan.Partial || len(plan.Proposals) == 0 {
		t.Errorf("%d proposals, partial %v, %v", len(plan.Proposals), plan.Partial, err)
	}
}
