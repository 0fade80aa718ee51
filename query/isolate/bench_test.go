package isolate_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"netlore/query/isolate"
	"netlore/query/isolate/inject"
	"netlore/query/trace"
)

func bench() isolate.Bench {
	return isolate.Bench{Costs: isolate.UsualCosts(), Feed: inject.Injection{Volts: 1, Amps: 2, Path: .02}, Camera: true}
}

// BenchmarkNext plans the next test of a stack of 5,000 parts and some 300 pads,
// all of them on the rail, after a first reading. Beside it stand what has to be
// done in any case, the observation itself, and a search of the graph for each run
// of tape, which is what the plan does without.
func BenchmarkNext(b *testing.B) {
	s := randomStack(rand.New(rand.NewPCG(1, 1)), 120, 5000)
	d := s.done()
	faults := isolate.Faults(d, isolate.PriorsFor(isolate.Liquid), nil)
	seen := &isolate.Short{At: d.Source, Seen: true}
	c, err := isolate.NewCase(d, faults, isolate.CommonPractice())
	if err != nil {
		b.Fatal(err)
	}
	c.Observe(seen)
	b.Logf("%d pads, %d faults", len(d.Pads), len(faults))
	b.Run("next", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := c.Next(context.Background(), isolate.State{}, bench()); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("search-each-run", func(b *testing.B) {
		for b.Loop() {
			for first := range d.Pads {
				cut := map[trace.TieID]bool{}
				for _, pad := range d.Pads[first:] {
					cut[pad.Ties[0]] = true
					d.Graph.Reach(d.Source, trace.Ties{Cut: cut})
				}
			}
		}
	})
	b.Run("observe", func(b *testing.B) {
		for b.Loop() {
			c.With(seen).Chances()
		}
	})
}

// BenchmarkJobs plays jobs in which one part of a random stack is bad, one job each
// time round, with observations that err, and reports how many minutes one takes
// in the mean, harm included, until the bad part is lifted. Beside the plan stand
// halving that ignores what tests cost, and lifting the parts of the rail in the
// order of their list. Run it with -benchtime 100x or so.
func BenchmarkJobs(b *testing.B) {
	b.Run("plan", func(b *testing.B) { playJobs(b, isolate.UsualCosts()) })
	b.Run("halving", func(b *testing.B) {
		same := isolate.Cost{Minutes: 1}
		playJobs(b, isolate.Costs{Unsolder: same, Feed: same, Tape: same, Read: same, Inject: same, Look: same, Lift: same})
	})
	b.Run("list", func(b *testing.B) {
		minutes := 0.0
		for seed := range uint64(b.N) {
			j := newJob(seed)
			minutes += j.down(j.Parts, func(i int) int { return i })
		}
		b.ReportMetric(minutes/float64(b.N), "min/job")
	})
}

// job is a device with a bad part.
type job struct {
	device
	bad    int // the part
	faults []isolate.Fault
	real   isolate.Costs
	lids   map[int]bool // that are off
}

func newJob(seed uint64) *job {
	r := rand.New(rand.NewPCG(seed, 77))
	d := randomStack(r, 8, 120).done()
	faults := isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil)
	for {
		if f := faults[drawFault(r, faults)]; f.Kind == isolate.Single {
			return &job{device{d, f, r, isolate.CommonPractice()}, f.Sites[0].Part, faults, isolate.UsualCosts(), map[int]bool{}}
		}
	}
}

func (j *job) price(c isolate.Cost) float64 { return c.Minutes + c.Risk*j.real.Harm }

// down is what it takes to lift parts in some order until the bad one is, with the
// covers over them.
func (j *job) down(parts []isolate.Part, order func(int) int) (minutes float64) {
	for n := range parts {
		i := order(n)
		if lid := parts[i].Spot.Cover; lid != isolate.None && !j.lids[lid] {
			j.lids[lid] = true
			minutes += j.price(j.Covers[lid].Off)
		}
		minutes += j.price(j.real.Lift)
		if i == j.bad {
			break
		}
	}
	return minutes
}

// playJobs plays a job each time, planned by some costs and paid by the usual
// ones.
func playJobs(b *testing.B, costs isolate.Costs) {
	minutes, tests := 0.0, 0
	for seed := range uint64(b.N) {
		j := newJob(seed)
		plan := bench()
		plan.Costs = costs
		c, err := isolate.NewCase(j.planned(costs), j.faults, isolate.CommonPractice())
		if err != nil {
			b.Fatal(err)
		}
		m, n := j.play(c, plan)
		minutes, tests = minutes+m, tests+n
	}
	b.ReportMetric(minutes/float64(b.N), "min/job")
	b.ReportMetric(float64(tests)/float64(b.N), "tests/job")
}

// planned is the device as the plan sees it: if it takes all to cost the same, so
// do covers.
func (j *job) planned(costs isolate.Costs) *isolate.Device {
	if costs == j.real {
		return j.Device
	}
	d := *j.Device
	d.Covers = make([]isolate.Cover, len(d.Covers))
	for i := range d.Covers {
		d.Covers[i].Off.Minutes = 1
	}
	return &d
}

// play makes the tests that are planned, and then lifts the suspects in order.
func (j *job) play(c *isolate.Case, bench isolate.Bench) (minutes float64, tests int) {
	state := isolate.State{}
	c.Observe(&isolate.Short{At: j.Source, Seen: true})
	for tests < 60 {
		plan, err := c.Next(context.Background(), state, bench)
		if err != nil || len(plan.Proposals) == 0 {
			break
		}
		x := plan.Proposals[0]
		minutes += j.paid(&x)
		tests++
		c.Observe(j.answer(&x.Test))
		state = after(state, &x.Test)
	}
	var parts []int
	for _, s := range c.Suspects() {
		for _, site := range c.Fault(s.Faults[0]).Sites {
			if site.Part != isolate.None {
				parts = append(parts, site.Part)
			}
		}
	}
	return minutes + j.down(j.Parts, func(n int) int { return parts[min(n, len(parts)-1)] }), tests
}

// paid is what a test costs, with what has to be done first.
func (j *job) paid(x *isolate.Proposal) float64 {
	of := map[isolate.TestKind]isolate.Cost{isolate.FeedIt: j.real.Feed, isolate.TapeIt: j.real.Tape, isolate.ReadIt: j.real.Read,
		isolate.InjectIt: j.real.Inject, isolate.LookAtIt: j.real.Look, isolate.LiftIt: j.real.Lift}
	minutes := j.price(of[x.Kind])
	if x.Unsolder {
		minutes += j.price(j.real.Unsolder)
	}
	for _, lid := range x.Lids {
		j.lids[lid] = true
		minutes += j.price(j.Covers[lid].Off)
	}
	return minutes
}
