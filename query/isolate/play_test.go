package isolate_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"netlore/query/isolate"
	"netlore/query/isolate/play"
	"netlore/query/trace"
)

// newStackJob is a job on a random stack, with a fault as likely as it is.
func newStackJob(t testing.TB, seed uint64, size play.Size, wrong float64, rates isolate.Rates) *play.Job {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 77))
	d := play.Stack(r, size)
	faults := isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil)
	bad := play.Draw(r, faults)
	c, err := isolate.NewCase(d, faults, rates)
	if err != nil {
		t.Fatal(err)
	}
	return &play.Job{Bench: play.Hide(d, faults[bad], wrong, r), Case: c, Bad: bad, Costs: isolate.UsualCosts(), Chooser: &play.Chooser{Bench: bench(), Plans: true}}
}

// TestCalibration: of simulated jobs with 0, 2 and 5 % of the observations wrong, as
// is known, the suspect that is said to be sure is first or second as often as that,
// and of the faults that are given some chance along the way as many are it as were
// said to be.
func TestCalibration(t *testing.T) {
	jobs := 25
	if testing.Short() {
		jobs = 4
	}
	for _, p := range []float64{0, .02, .05} {
		sure, second := 0, 0
		said, hits, n := 0.0, 0.0, 0.0
		for seed := range uint64(jobs) {
			o, err := newStackJob(t, seed, play.Size{Parts: 40, Pads: 15, Branches: 6}, p, play.Errs(p)).Play(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			if o.Sure {
				sure++
				if o.Place <= 1 {
					second++
				}
			}
			for _, s := range o.Said {
				for k, chance := range s.Chances {
					if chance > .05 && chance < .95 {
						said, n = said+chance, n+1
						if k == s.Is {
							hits++
						}
					}
				}
			}
		}
		said, hits = said/n, hits/n
		t.Logf("errors of %v, %d jobs: sure in %d, of which first or second in %d; chances of 5 to 95 %%: said %.3f, true %.3f", p, jobs, sure, second, said, hits)
		// Many a job ends before that: what is bad was lifted.
		if sure < jobs/5 || float64(second) < .95*float64(sure)-1 {
			t.Errorf("errors of %v: of %d jobs, sure in %d, first or second in %d", p, jobs, sure, second)
		}
		near(t, "how often a fault was it that was said to be", hits, said, 3*math.Sqrt(.2/n)+.02)
	}
}

// TestRepaired: a job ends with what is bad repaired, and takes the same steps
// again.
func TestRepaired(t *testing.T) {
	for seed := range uint64(4) {
		play := func() play.Outcome {
			o, err := newStackJob(t, seed, play.Size{Parts: 60, Pads: 20, Branches: 5}, .02, isolate.CommonPractice()).Play(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			return o
		}
		first, again := play(), play()
		if first.Minutes != again.Minutes || first.Tests != again.Tests || first.Minutes <= 0 || len(first.Said) == 0 {
			t.Errorf("seed %d: %d tests, %v minutes, then %d and %v", seed, first.Tests, first.Minutes, again.Tests, again.Minutes)
		}
	}
}

// TestBenchFlows: what the bench says of each half fed alone, and of tape, is what
// is known of the fault's place, on stacks with nothing unsure.
func TestBenchFlows(t *testing.T) {
	s := newStack(2, 3)
	i := s.part(s.branches[1], lowerBoard, isolate.None, 0)
	d := s.done()
	b := play.Hide(d, isolate.Fault{Sites: []isolate.Site{{At: s.branches[1], Part: i}}}, 0, rand.New(rand.NewPCG(1, 1)))
	for _, c := range []struct {
		at    []trace.Place
		state isolate.State
		seen  bool
	}{
		{d.Source, isolate.State{}, true},
		{d.Source, isolate.State{Loose: true, Apart: true}, false},
		{d.Halves[1].Feed, isolate.State{Loose: true, Apart: true}, true},
		{d.Source, isolate.State{Taped: []int{0, 1}}, true},
		{d.Source, isolate.State{Taped: []int{2, 3}}, true},
		{d.Source, isolate.State{Taped: []int{2, 3, 4}}, false},
		{d.Source, isolate.State{Off: []int{i}}, false},
	} {
		o := b.Answer(&isolate.Test{Kind: isolate.FeedIt, At: c.at, Half: isolate.None, State: c.state}).(*isolate.Short)
		if o.Seen != c.seen {
			t.Errorf("fed at %v in %+v: seen %v", c.at, c.state, o.Seen)
		}
	}
	if minutes, ok := play.DownTheList(d, &isolate.Fault{Sites: []isolate.Site{{Part: i}}}, isolate.UsualCosts()); !ok || math.Abs(minutes-13.2) > 1e-9 {
		t.Errorf("down the list it takes %v", minutes)
	}
}
