package copper_test

import (
	"math"
	"testing"

	"netlore/query/copper"
)

func solve(t testing.TB, c *copper.Circuit) *copper.Solution {
	t.Helper()
	s, err := c.Solve(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func near(t testing.TB, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

// grid is w by h nodes, each a resistor of 1 ohm from the next.
func grid(w, h int) (c *copper.Circuit, at func(x, y int) copper.Node) {
	c = &copper.Circuit{}
	for range w * h {
		c.Node()
	}
	at = func(x, y int) copper.Node { return copper.Node(y*w + x) }
	for y := range h {
		for x := range w {
			if x > 0 {
				c.Resistor(at(x-1, y), at(x, y), 1)
			}
			if y > 0 {
				c.Resistor(at(x, y-1), at(x, y), 1)
			}
		}
	}
	return c, at
}

// TestGrid: in an infinite grid of 1 ohm the next node is 1/2 ohm away, the one
// across a square 2/π (Cserti, American Journal of Physics 68, 2000; Atkinson and
// van Steenwijk, ibid. 67, 1999). A finite one comes near: the figures are of nodal
// analysis, computed in Python. From corner to corner it is (4/π) ln N + 0.077318 +
// 0.266070/N² - 0.534779/N⁴ (Essam and Wu, arXiv 0809.4867), and the formula of Wu
// (2004) gives 2089/1023 for 5 by 4 nodes.
func TestGrid(t *testing.T) {
	for _, x := range []struct {
		n          int
		next, over float64
	}{{51, .500211, .637042}, {101, .500054, .636727}, {201, .500014, .636647}} {
		c, at := grid(x.n, x.n)
		s, m := solve(t, c), x.n/2
		near(t, "the next node", s.Between(at(m, m), at(m+1, m)), x.next, 1e-6)
		near(t, "the next node, in an infinite grid", s.Between(at(m, m), at(m+1, m)), .5, 3e-4)
		near(t, "the node across", s.Between(at(m, m), at(m+1, m+1)), x.over, 1e-6)
		near(t, "the node across, in an infinite grid", s.Between(at(m, m), at(m+1, m+1)), 2/math.Pi, 5e-4)
	}
	for n, want := range map[int]float64{2: 1, 3: 1.5, 4: 1.857142857, 5: 2.136363636, 6: 2.365656566, 10: 3.01166956, 30: 4.40815287, 100: 5.94083029} {
		c, at := grid(n, n)
		got := solve(t, c).Between(at(0, 0), at(n-1, n-1))
		near(t, "corner to corner", got, want, 1e-8)
		if N := float64(n); n >= 30 {
			near(t, "corner to corner, by the formula", got, 4/math.Pi*math.Log(N)+.077318+.266070/N/N-.534779/N/N/N/N, 1.5e-6)
		}
	}
	c, at := grid(5, 4)
	s := solve(t, c)
	near(t, "5 by 4, corner to corner", s.Between(at(0, 0), at(4, 3)), 2089./1023, 1e-12)
	near(t, "5 by 4, (1,1) to (3,2)", s.From(at(1, 1))[at(3, 2)], .937438905, 1e-9)
}

// edges make a circuit of resistors of 1 ohm.
func edges(n int, list ...[2]copper.Node) *copper.Circuit {
	c := &copper.Circuit{}
	for range n {
		c.Node()
	}
	for _, e := range list {
		c.Resistor(e[0], e[1], 1)
	}
	return c
}

// TestSolids: the resistances of a cube, a tetrahedron and an octahedron of 1 ohm
// are in every textbook (values from memory, confirmed by nodal analysis in
// Python); so are 2/n between two of n nodes that are all joined, and the ladder.
func TestSolids(t *testing.T) {
	var cube, octahedron, all [][2]copper.Node
	for a := copper.Node(0); a < 8; a++ {
		for _, bit := range []copper.Node{1, 2, 4} {
			if a&bit == 0 {
				cube = append(cube, [2]copper.Node{a, a | bit})
			}
		}
		for b := a + 1; b < 7; b++ {
			if b < 6 && a+b != 5 {
				octahedron = append(octahedron, [2]copper.Node{a, b})
			}
			all = append(all, [2]copper.Node{a, b})
		}
	}
	s := solve(t, edges(8, cube...))
	for far, want := range map[copper.Node]float64{1: 7. / 12, 3: 3. / 4, 7: 5. / 6} {
		near(t, "a cube", s.Between(0, far), want, 1e-12)
		near(t, "a cube, from one node to all", s.From(0)[far], want, 1e-12)
	}
	s = solve(t, edges(6, octahedron...))
	near(t, "an edge of an octahedron", s.Between(0, 1), 5./12, 1e-12)
	near(t, "across an octahedron", s.Between(0, 5), 1./2, 1e-12)
	near(t, "seven nodes, all joined", solve(t, edges(7, all...)).Between(2, 5), 2./7, 1e-12)
	near(t, "an edge of a tetrahedron", solve(t, edges(4, [2]copper.Node{0, 1}, [2]copper.Node{0, 2}, [2]copper.Node{0, 3}, [2]copper.Node{1, 2}, [2]copper.Node{1, 3}, [2]copper.Node{2, 3})).Between(0, 1), 1./2, 1e-12)
	var ladder [][2]copper.Node
	for i, want := range []float64{2, 5. / 3, 13. / 8, 34. / 21, 89. / 55} {
		last := copper.Node(i) // cells are put in front of the others
		ladder = append(ladder, [2]copper.Node{last + 1, last + 2}, [2]copper.Node{last + 1, 0})
		if i == 0 {
			ladder = [][2]copper.Node{{1, 2}, {1, 0}}
		}
		near(t, "a ladder", solve(t, edges(i+3, ladder...)).Between(0, last+2), want, 1e-12)
	}
	bridge := edges(4)
	for _, r := range []struct {
		a, b copper.Node
		ohms float64
	}{{0, 1, 1}, {0, 2, 2}, {1, 3, 3}, {2, 3, 4}, {1, 2, 5}} {
		bridge.Resistor(r.a, r.b, r.ohms)
	}
	near(t, "a bridge out of balance", solve(t, bridge).Between(0, 3), 170./71, 1e-12)
}

// TestCorner: a right-angled corner counts 1 - 2 ln 2 / π = 0.5587 of a square, by
// conformal mapping; a grid of cells comes to it from above. The figures for 20 and
// 40 cells were computed in Python.
func TestCorner(t *testing.T) {
	for cells, want := range map[int]float64{20: .56506, 40: .56122} {
		arm := 3 * cells // of each leg beside the corner
		n := arm + cells
		c := &copper.Circuit{}
		nodes := map[[2]int]copper.Node{}
		node := func(x, y int) (copper.Node, bool) {
			if x < 0 || y < 0 || x >= n || y >= n || x >= cells && y >= cells {
				return copper.None, false
			}
			at, ok := nodes[[2]int{x, y}]
			if !ok {
				at = c.Node()
				nodes[[2]int{x, y}] = at
			}
			return at, true
		}
		in, out := c.Node(), c.Node()
		for x := range n {
			for y := range n {
				a, ok := node(x, y)
				if !ok {
					continue
				}
				if b, ok := node(x+1, y); ok {
					c.Resistor(a, b, 1)
				}
				if b, ok := node(x, y+1); ok {
					c.Resistor(a, b, 1)
				}
				if x == n-1 {
					c.Resistor(a, out, .5)
				}
				if y == n-1 {
					c.Resistor(a, in, .5)
				}
			}
		}
		got := solve(t, c).Between(in, out) - 2*float64(arm)/float64(cells)
		near(t, "a corner in cells", got, want, 2e-5)
		near(t, "a corner", got, 1-2*math.Ln2/math.Pi, .0065)
	}
}

// TestAlongRail: a rail of 24 milliohms in 100 pieces with a short of 13 milliohms
// three quarters along it. By the method of Murray's loop the readings of 31 and 19
// milliohms at its ends tell where; beyond the short nothing flows, so that the
// volts stay the same (computed by hand).
func TestAlongRail(t *testing.T) {
	const pieces, rail, short = 100, .024, .013
	c := &copper.Circuit{}
	ground := c.Node()
	at := make([]copper.Node, pieces+1)
	for i := range at {
		if at[i] = c.Node(); i > 0 {
			c.Resistor(at[i-1], at[i], rail/pieces)
		}
	}
	c.Resistor(at[75], ground, short)
	s := solve(t, c)
	ra, rb, ab := s.Between(at[0], ground), s.Between(at[100], ground), s.Between(at[0], at[100])
	near(t, "from one end", ra, .031, 1e-12)
	near(t, "from the other", rb, .019, 1e-12)
	near(t, "where it is", (1+(ra-rb)/ab)/2, .75, 1e-9)
	v := s.Volts(map[copper.Node]float64{at[0]: 1, ground: -1})
	for i, want := range map[int]float64{0: .031, 25: .025, 50: .019, 75: .013, 100: .013} {
		near(t, "volts along the rail", v[at[i]]-v[ground], want, 1e-12)
	}
}
