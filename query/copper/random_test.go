package copper_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"netlore/query/copper"
)

type resistor struct {
	a, b copper.Node
	ohms float64
}

// random is a circuit of n nodes that hangs together, of resistors from 10 µohm to
// 1 ohm, and more of them beside a tree.
func random(r *rand.Rand, n, more int) (*copper.Circuit, []resistor) {
	c := &copper.Circuit{}
	var all []resistor
	for i := range copper.Node(n) {
		if c.Node(); i > 0 {
			all = append(all, resistor{copper.Node(r.IntN(int(i))), i, math.Pow(10, -5*r.Float64())})
		}
	}
	for range more {
		all = append(all, resistor{copper.Node(r.IntN(n)), copper.Node(r.IntN(n)), math.Pow(10, -5*r.Float64())})
	}
	for _, x := range all {
		c.Resistor(x.a, x.b, x.ohms)
	}
	return c, all
}

// TestAgainstDense: potentials and resistances are those of gonum, which solves the
// whole matrix; what flows into a node flows out of it; and by Foster's theorem the
// resistances of all resistors over their own sum up to n - 1.
func TestAgainstDense(t *testing.T) {
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 1))
		n := 2 + r.IntN(60)
		c, all := random(r, n, r.IntN(3*n))
		s := solve(t, c)
		volts := s.Volts(map[copper.Node]float64{0: 1, copper.Node(n - 1): -1})
		dense := denseVolts(t, n, all)
		into := make([]float64, n)
		into[0], into[n-1] = into[0]-1, into[n-1]+1
		foster := 0.0
		for _, x := range all {
			amps := (volts[x.a] - volts[x.b]) / x.ohms
			into[x.a] += amps
			into[x.b] -= amps
			if x.a != x.b {
				foster += s.From(x.a)[x.b] / x.ohms
			}
		}
		near(t, "Foster's sum", foster, float64(n-1), 1e-7*float64(n))
		for i := range n {
			near(t, "what flows into a node", into[i], 0, 1e-7)
			near(t, "volts", volts[i]-volts[n-1], dense[i], 1e-8)
		}
		near(t, "the two ways to ask", s.Between(0, copper.Node(n-1)), s.From(0)[n-1], 1e-9)
	}
}

// denseVolts holds the last node at zero.
func denseVolts(t *testing.T, n int, all []resistor) []float64 {
	g := mat.NewSymDense(n-1, nil)
	add := func(i, k copper.Node, x float64) {
		if int(i) < n-1 && int(k) < n-1 {
			g.SetSym(int(i), int(k), g.At(int(i), int(k))+x)
		}
	}
	for _, x := range all {
		if x.a != x.b {
			add(x.a, x.a, 1/x.ohms)
			add(x.b, x.b, 1/x.ohms)
			add(x.a, x.b, -1/x.ohms)
		}
	}
	amps := mat.NewVecDense(n-1, nil)
	amps.SetVec(0, 1)
	var factor mat.Cholesky
	if !factor.Factorize(g) {
		t.Fatal("gonum finds the matrix singular")
	}
	var v mat.VecDense
	if err := factor.SolveVecTo(&v, amps); err != nil {
		t.Log(err)
	}
	return append(v.RawVector().Data, 0)
}

func TestPieces(t *testing.T) {
	c := &copper.Circuit{}
	a, b, x, y := c.Node(), c.Node(), c.Node(), c.Node()
	c.Resistor(a, b, .1)
	c.Resistor(x, y, 0)
	alone := c.Node()
	s := solve(t, c)
	if got := s.Between(a, x); !math.IsInf(got, 1) || s.Joined(a, x) || s.Joined(alone, b) || !s.Joined(x, y) {
		t.Errorf("between two pieces are %v ohms", got)
	}
	if got := s.From(x); got[y] != 0 || !math.IsInf(got[a], 1) || !math.IsInf(got[alone], 1) {
		t.Errorf("from a wired pair: %v", got)
	}
	near(t, "one resistor", s.Between(a, b), .1, 1e-15)
	if _, err := solveEmpty(t.Context()); err != nil {
		t.Error(err)
	}
	stopped, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := c.Solve(stopped); !errors.Is(err, context.Canceled) {
		t.Errorf("a context that has ended gives %v", err)
	}
}

func solveEmpty(ctx context.Context) (*copper.Solution, error) {
	return new(copper.Circuit).Solve(ctx)
}

// FuzzCircuit: whatever is joined, nothing panics, no resistance is negative or no
// number, and what flows in flows out.
func FuzzCircuit(f *testing.F) {
	f.Add([]byte{0, 1, 10, 1, 2, 20, 2, 0, 0})
	f.Fuzz(func(t *testing.T, data []byte) {
		c := &copper.Circuit{}
		for range 16 {
			c.Node()
		}
		for ; len(data) >= 3; data = data[3:] {
			c.Resistor(copper.Node(data[0]%16), copper.Node(data[1]%16), float64(data[2])/100)
		}
		s := solve(t, c)
		for n := range copper.Node(16) {
			for m, ohms := range s.From(n) {
				if math.IsNaN(ohms) || ohms < 0 {
					t.Fatalf("from %d to %d are %v ohms", n, m, ohms)
				}
				if got := s.Between(n, copper.Node(m)); !math.IsInf(ohms, 1) && math.Abs(got-ohms) > 1e-9 {
					t.Fatalf("from %d to %d are %v ohms and %v", n, m, got, ohms)
				}
			}
		}
	})
}
