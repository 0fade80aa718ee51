package copper

import (
	"context"
	"errors"
	"math"
)

// Solution is a circuit made ready: each question takes the time of its size. It
// does not change, so any number of goroutines may ask.
type Solution struct {
	root  []Node     // of each node, the one that stands for it
	order []Node     // roots, as they were taken out
	to    [][]branch // of each root, its neighbours when it was taken out
	sum   []float64  // of each root, the conductances to them together
	piece []int32    // of each root
	z     []float64  // of each root, Z(v,v)
}

// branch is a neighbour, and the conductance to it.
type branch struct {
	to Node
	g  float64
}

// ErrTooDense is that a circuit has too many resistors side by side to be solved in
// bounded memory.
var ErrTooDense = errors.New("the copper is too dense to be solved")

// mostBranches bounds what a solution holds, to some 500 MB.
const mostBranches = 30_000_000

// Solve makes a circuit ready. It fails with ErrTooDense, or if the context ends.
func (c *Circuit) Solve(ctx context.Context) (*Solution, error) {
	n := c.Nodes()
	s := &Solution{root: make([]Node, n), to: make([][]branch, n), sum: make([]float64, n), piece: make([]int32, n), z: make([]float64, n)}
	for v := range s.root {
		s.root[v] = c.root(Node(v))
	}
	e := newElimination(s, c.links)
	held := 0
	for v, ok := e.next(); ok; v, ok = e.next() {
		if held += len(s.to[v]); held > mostBranches {
			return nil, ErrTooDense
		}
		if len(s.order)%1024 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		e.takeOut(v)
		s.order = append(s.order, v)
	}
	s.number()
	s.diagonal()
	return s, nil
}

// number tells the pieces of the circuit apart.
func (s *Solution) number() {
	pieces := int32(0)
	for i := len(s.order) - 1; i >= 0; i-- {
		v := s.order[i]
		if len(s.to[v]) == 0 {
			s.piece[v] = pieces
			pieces++
		} else {
			s.piece[v] = s.piece[s.to[v][0].to]
		}
	}
}

// Joined reports whether there is a way from one node to another.
func (s *Solution) Joined(a, b Node) bool { return s.piece[s.root[a]] == s.piece[s.root[b]] }

// Volts are the potentials of all nodes if some currents flow into them, in amps.
// In each piece of the circuit the currents must sum up to zero; one node of it
// is at zero volts.
func (s *Solution) Volts(amps map[Node]float64) []float64 {
	b := make([]float64, len(s.root))
	for n, a := range amps {
		b[s.root[n]] += a
	}
	for _, v := range s.order {
		if b[v] == 0 {
			continue
		}
		for _, x := range s.to[v] {
			b[x.to] += b[v] * x.g / s.sum[v]
		}
	}
	volts := make([]float64, len(s.root))
	for i := len(s.order) - 1; i >= 0; i-- {
		v := s.order[i]
		if len(s.to[v]) == 0 {
			continue // held at zero
		}
		flow := b[v]
		for _, x := range s.to[v] {
			flow += x.g * volts[x.to]
		}
		volts[v] = flow / s.sum[v]
	}
	return s.spread(volts)
}

// spread gives every node what its root has.
func (s *Solution) spread(of []float64) []float64 {
	for n, root := range s.root {
		of[n] = of[root]
	}
	return of
}

// From are the resistances from one node to all, in ohms; +Inf where there is no
// way.
func (s *Solution) From(n Node) []float64 {
	z := s.Volts(map[Node]float64{n: 1})
	own := z[n]
	for m, root := range s.root {
		if !s.Joined(n, Node(m)) {
			z[m] = math.Inf(1)
			continue
		}
		z[m] = max(own+s.z[root]-2*z[m], 0)
	}
	return z
}

// Between is the resistance between two nodes, in ohms; +Inf if there is no way.
func (s *Solution) Between(a, b Node) float64 {
	if !s.Joined(a, b) {
		return math.Inf(1)
	}
	v := s.Volts(map[Node]float64{a: 1, b: -1})
	return v[a] - v[b]
}

// diagonal finds Z(v,v), from the last node that was taken out to the first.
func (s *Solution) diagonal() {
	off := make([][]float64, len(s.root)) // Z(v,i) beside to[v]
	row := make([]float64, len(s.root))   // Z(i,·) of one i
	for k := len(s.order) - 1; k >= 0; k-- {
		v := s.order[k]
		to := s.to[v]
		off[v] = make([]float64, len(to))
		for i, x := range to {
			off[v][i] += x.g * s.z[x.to]
			for j, y := range s.to[x.to] {
				row[y.to] = off[x.to][j]
			}
			for j, y := range to { // row holds what was taken out after x
				if z := row[y.to]; z != 0 {
					off[v][i] += y.g * z
					off[v][j] += x.g * z
				}
			}
			for _, y := range s.to[x.to] {
				row[y.to] = 0
			}
		}
		sum := 0.0
		for i, x := range to {
			off[v][i] /= s.sum[v]
			sum += x.g * off[v][i]
		}
		if len(to) > 0 {
			s.z[v] = (1 + sum) / s.sum[v]
		}
	}
}
