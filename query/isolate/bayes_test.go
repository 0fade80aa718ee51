package isolate_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"netlore/query/isolate"
	"netlore/query/trace"
	"netlore/store/board"
)

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

// checkSpoken holds what an observation speaks for each fault against its odds before
// and after: they change by the ratio of how likely it is with the fault and without.
func checkSpoken(t *testing.T, before, seen, bits []float64) {
	t.Helper()
	for f := range before {
		other, after := 0.0, 0.0
		for g := range before {
			if g != f {
				other, after = other+before[g], after+before[g]*seen[g]
			}
		}
		if want := math.Log2(before[f] * seen[f] / after / (before[f] / other)); math.Abs(bits[f]-want) > 1e-9 {
			t.Errorf("it speaks for fault %d with %v bits, want %v", f, bits[f], want)
		}
	}
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
		for k := range 1 + r.IntN(5) {
			o, cut := randomShort(r, n)
			c.Observe(o)
			e := map[isolate.Method]isolate.Error{isolate.Draw: rates.Draw, isolate.Tape: rates.Tape, isolate.Reading: rates.Reading}[o.By]
			surely, maybe := joined(d, ends, sure, cut, false), joined(d, ends, sure, cut, true)
			before, seen := slices.Clone(want), make([]float64, len(want))
			for f := range faults {
				seen[f] = shows(&faults[f], o, e, surely, maybe)
				want[f] *= seen[f]
			}
			checkSpoken(t, before, seen, c.Spoken(k))
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
