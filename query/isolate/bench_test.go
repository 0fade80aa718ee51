package isolate_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"netlore/query/isolate"
	"netlore/query/isolate/inject"
	"netlore/query/isolate/play"
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
	d := play.Stack(rand.New(rand.NewPCG(1, 1)), play.Size{Parts: 5000, Pads: 300, Branches: 120})
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
					for _, t := range pad.Ties {
						cut[t] = true
					}
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
	b.Run("spoken-of-all", func(b *testing.B) {
		for b.Loop() {
			c.Spoken(0)
		}
	})
}

// BenchmarkJobs plays jobs on random stacks, one job each time round, with a
// fault as likely as it is and observations that err, and reports how many minutes
// one takes in the mean, harm included, until it is repaired. Beside the plan stand
// halving that ignores what tests cost, and lifting the parts of the rail in the
// order of their list. Run it with -benchtime 100x or so.
func BenchmarkJobs(b *testing.B) {
	job := func(seed uint64) *play.Job {
		return newStackJob(b, seed, play.Size{Parts: 120, Pads: 24, Branches: 8}, .02, isolate.CommonPractice())
	}
	played := func(b *testing.B, plans bool) {
		minutes, tests := 0.0, 0
		for seed := range uint64(b.N) {
			j := job(seed)
			if j.Chooser.Plans = plans; !plans {
				j.Case = newCase(b, play.Free(j.Device), isolate.Faults(j.Device, isolate.PriorsFor(isolate.NoHistory), nil), isolate.CommonPractice())
			}
			o, err := j.Play(context.Background())
			if err != nil {
				b.Fatal(err)
			}
			minutes, tests = minutes+o.Minutes, tests+o.Tests
		}
		b.ReportMetric(minutes/float64(b.N), "min/job")
		b.ReportMetric(float64(tests)/float64(b.N), "tests/job")
	}
	b.Run("plan", func(b *testing.B) { played(b, true) })
	b.Run("halving", func(b *testing.B) { played(b, false) })
	b.Run("list", func(b *testing.B) {
		minutes, listed := 0.0, 0.0
		for seed := range uint64(b.N) {
			j := job(seed)
			if m, ok := play.DownTheList(j.Device, &j.Fault, j.Costs); ok {
				minutes, listed = minutes+m, listed+1
			}
		}
		b.ReportMetric(minutes/listed, "min/job")
	})
}

// BenchmarkNextAlone plans the next test where it is not known which of 5,000 pins
// are on one piece of copper, beside the same where all are known to be on one.
func BenchmarkNextAlone(b *testing.B) {
	for name, sure := range map[string]bool{"unknown": false, "known": true} {
		b.Run(name, func(b *testing.B) {
			s := newStack(1)
			for i := range 5000 {
				at := s.build.Add(trace.Goes)
				s.build.Tie(trace.Tie{Sure: sure}, s.branches[0], at)
				part := s.part(at, lowerBoard, isolate.None, float64(i%100))
				s.Parts[part].Spot.Y = float64(i / 100)
				s.Probes = append(s.Probes, isolate.Probe{At: at, Half: lowerBoard, Spot: s.Parts[part].Spot})
			}
			d := s.done()
			c := newCase(b, d, isolate.Faults(d, isolate.PriorsFor(isolate.NoHistory), nil), isolate.CommonPractice())
			c.Observe(&isolate.Short{At: d.Source, Seen: true})
			for b.Loop() {
				if _, err := c.Next(context.Background(), isolate.State{}, bench()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
