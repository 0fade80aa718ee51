package isolate_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"netlore/query/isolate"
	"netlore/query/isolate/inject"
)

func bench() isolate.Bench {
	return isolate.Bench{Costs: isolate.UsualCosts(), Feed: inject.Injection{Volts: 1, Amps: 2, Path: .02}, Camera: true}
}

// BenchmarkNext plans the next test of a stack of 5,000 parts and some 300 pads,
// all of them on the rail, after a first reading. Beside it stands what has to be
// done in any case: the observation itself.
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
	b.Run("observe", func(b *testing.B) {
		for b.Loop() {
			c.With(seen).Chances()
		}
	})
}
