package trace

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/graph/flow"
	"gonum.org/v1/gonum/graph/path"
	"gonum.org/v1/gonum/graph/simple"
	"gonum.org/v1/gonum/graph/topo"
)

// The graph library gonum is a check from outside: shortest routes, components
// and dominators of random graphs are what it finds.

// weighted is the graph in gonum's terms, as a trace from one place sees it:
// from a stop nothing leads on.
func weighted(g *Graph, from Place, all bool, weight func(Tie) float64) *simple.WeightedDirectedGraph {
	w := simple.NewWeightedDirectedGraph(0, -1)
	for p := range g.Places() {
		w.AddNode(simple.Node(p))
	}
	for id, tie := range g.ties {
		if !all && !tie.Sure {
			continue
		}
		places := g.enters.of(int32(id))
		for _, a := range places {
			for _, b := range places {
				if a == b || g.stops[a] == Stops && Place(a) != from {
					continue
				}
				edge := simple.WeightedEdge{F: simple.Node(a), T: simple.Node(b), W: weight(tie)}
				if old := w.WeightedEdge(int64(a), int64(b)); old == nil || old.Weight() > edge.W {
					w.SetWeightedEdge(edge)
				}
			}
		}
	}
	return w
}

// asOne puts the cost of a tie by resistance into one number, exact as long as
// routes are short.
func asOne(t Tie) float64 {
	c := cost{}.plus(t)
	return float64(c.opaque)*1e9 + float64(c.ohms)*1e3 + float64(c.ties)
}

func TestRoutesAgreeWithGonum(t *testing.T) {
	eachGraph(t, 300, func(t *testing.T, r *rand.Rand, g *Graph) {
		from, all := Place(r.IntN(g.Places())), r.IntN(2) == 0
		bySteps := path.DijkstraFrom(simple.Node(from), weighted(g, from, all, func(Tie) float64 { return 1 }))
		byOhms := path.DijkstraFrom(simple.Node(from), weighted(g, from, all, asOne))
		reach := g.Reach([]Place{from}, Ties{All: all})
		for to := range Place(g.Places()) {
			nodes, steps := bySteps.To(int64(to))
			if len(nodes) == 0 {
				steps = -1
			}
			if reach.Steps(to) != int(steps) {
				t.Fatalf("%d to %d: %d steps, gonum finds %v", from, to, reach.Steps(to), steps)
			}
			_, ohms := byOhms.To(int64(to))
			sameCost(t, g, g.Shortest([]Place{from}, []Place{to}, Ties{All: all}), from, to, steps, func(Tie) float64 { return 1 })
			sameCost(t, g, g.Least([]Place{from}, []Place{to}, Ties{All: all}), from, to, ohms, asOne)
		}
	})
}

// sameCost adds up what is on a route, and checks that each of its ties leads
// from one place to the next.
func sameCost(t *testing.T, g *Graph, r *Route, from, to Place, want float64, weight func(Tie) float64) {
	t.Helper()
	if r == nil {
		if want >= 0 && want < 1e15 {
			t.Fatalf("%d to %d: no route, gonum finds one of %v", from, to, want)
		}
		return
	}
	got := 0.0
	for i, id := range r.Ties {
		got += weight(g.ties[id])
		if !isAt(g, id, r.Places[i]) || !isAt(g, id, r.Places[i+1]) {
			t.Fatalf("tie %d of %+v does not lead there", id, r)
		}
	}
	if got != want || r.Places[0] != from || r.Places[len(r.Places)-1] != to {
		t.Fatalf("%d to %d: %+v costs %v, gonum finds %v", from, to, r, got, want)
	}
}

func isAt(g *Graph, id TieID, p Place) bool {
	for _, q := range g.enters.of(int32(id)) {
		if Place(q) == p {
			return true
		}
	}
	return false
}

// What places are joined is what gonum calls a component.
func TestComponentsAgreeWithGonum(t *testing.T) {
	eachGraph(t, 300, func(t *testing.T, _ *rand.Rand, g *Graph) {
		for i := range g.stops {
			g.stops[i] = Goes
		}
		u := simple.NewUndirectedGraph()
		for p := range g.Places() {
			u.AddNode(simple.Node(p))
		}
		for id, tie := range g.ties {
			for _, a := range g.enters.of(int32(id)) {
				if b := g.enters.of(int32(id))[0]; a != b && tie.Sure {
					u.SetEdge(simple.Edge{F: simple.Node(a), T: simple.Node(b)})
				}
			}
		}
		for _, component := range topo.ConnectedComponents(u) {
			r := g.Reach([]Place{Place(component[0].ID())}, Ties{})
			count := 0
			for p := range Place(g.Places()) {
				if r.Has(p) {
					count++
				}
			}
			for _, node := range component {
				if !r.Has(Place(node.ID())) {
					t.Fatalf("%d is not reached from %d", node.ID(), component[0].ID())
				}
			}
			if count != len(component) {
				t.Fatalf("%d places are reached, gonum finds %d", count, len(component))
			}
		}
	})
}

// What a single tie alone feeds is what it dominates, for gonum's algorithm of
// Lengauer and Tarjan. Ties are nodes for it.
func TestSingleCutsAgreeWithGonumsDominators(t *testing.T) {
	dominated := 0
	eachGraph(t, 300, func(t *testing.T, _ *rand.Rand, g *Graph) {
		tieNode := func(id int) simple.Node { return simple.Node(g.Places() + id) }
		d := simple.NewDirectedGraph()
		d.AddNode(simple.Node(0))
		for id, tie := range g.ties {
			for _, p := range g.enters.of(int32(id)) {
				if tie.Sure && (g.stops[p] == Goes || p == 0) {
					d.SetEdge(simple.Edge{F: simple.Node(p), T: tieNode(id)})
				}
				if tie.Sure {
					d.SetEdge(simple.Edge{F: tieNode(id), T: simple.Node(p)})
				}
			}
		}
		tree := flow.Dominators(simple.Node(0), d)
		for id, tie := range g.ties {
			if !tie.Sure {
				continue
			}
			feed := g.Feed(Exactly([]Place{0}), Exactly([]TieID{TieID(id)}))
			for p := range g.Places() {
				want := false
				for up := tree.DominatorOf(int64(p)); up != nil && !want; up = tree.DominatorOf(up.ID()) {
					want = up.ID() == tieNode(id).ID()
				}
				sureOnly := feed.sureBefore.Has(Place(p)) && !feed.sureAfter.Has(Place(p))
				if sureOnly != want {
					t.Fatalf("tie %d alone feeds %d: %v, gonum says %v", id, p, sureOnly, want)
				}
				if want {
					dominated++
				}
			}
		}
	})
	if dominated < 200 {
		t.Errorf("only %d places hang on a single tie: too few to compare", dominated)
	}
}

// The flowgraph of figure 1 of Lengauer and Tarjan, A fast algorithm for finding
// dominators in a flowgraph, TOPLAS 1(1), 1979, and its dominators as in figure
// 2, both from memory. Each vertex is a way in, a tie and a way out; to take it
// away is to cut its tie.
func TestLengauerTarjanExample(t *testing.T) {
	edges := map[byte]string{'R': "ABC", 'A': "D", 'B': "ADE", 'C': "FG", 'D': "L", 'E': "H", 'F': "I", 'G': "IJ",
		'H': "EK", 'I': "K", 'J': "I", 'K': "RI", 'L': "H"}
	immediate := map[byte]byte{'A': 'R', 'B': 'R', 'C': 'R', 'D': 'R', 'E': 'R', 'F': 'C', 'G': 'C', 'H': 'R', 'I': 'R', 'J': 'G', 'K': 'R', 'L': 'D'}
	var b Builder
	in, out, vertex := map[byte]Place{}, map[byte]Place{}, map[byte]TieID{}
	oneWay := func(from, to Place) TieID {
		id := b.tie(Tie{Sure: true})
		b.leaves, b.enters = append(b.leaves, end{from, id}), append(b.enters, end{to, id})
		return id
	}
	for v := range edges {
		in[v], out[v] = b.Add(Goes), b.Add(Goes)
		vertex[v] = oneWay(in[v], out[v])
	}
	for v, list := range edges {
		for _, to := range []byte(list) {
			oneWay(out[v], in[to])
		}
	}
	g := b.Graph()
	for cut := range edges {
		feed := g.Feed(Exactly([]Place{in['R']}), Exactly([]TieID{vertex[cut]}))
		for v := range immediate {
			want := false
			for up := immediate[v]; up != 0; up = immediate[up] {
				want = want || up == cut
			}
			if got := feed.Fate(in[v]).Lost; got != want {
				t.Errorf("%c dominates %c: %v, the paper says %v", cut, v, got, want)
			}
		}
	}
}
