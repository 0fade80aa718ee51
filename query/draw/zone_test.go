package draw

import (
	"math"
	"math/rand/v2"
	"testing"

	graphpath "gonum.org/v1/gonum/graph/path"
	"gonum.org/v1/gonum/graph/simple"

	"netlore/store/board"
)

// TestTree compares the lines that join the parts of a zone with the minimum spanning
// tree of gonum: as many, and as long in all.
func TestTree(t *testing.T) {
	for seed := range uint64(50) {
		r := rand.New(rand.NewPCG(seed, 7))
		points := make([]board.Point, 1+r.IntN(40))
		for i := range points {
			points[i] = board.Point{X: r.Int32N(50_000), Y: r.Int32N(50_000)}
		}
		lines := (&view{ground: ground{scale: 1}}).tree(points)
		if got, want := lengthOf(lines), spanning(points); math.Abs(got-want) > 1e-6*(1+want) {
			t.Errorf("seed %d: the lines are %v long, the tree of gonum is %v", seed, got, want)
		}
		if len(lines) != len(points) { // with the dot at the first
			t.Errorf("seed %d: %d lines for %d points", seed, len(lines), len(points))
		}
	}
}

func lengthOf(lines []segment) (sum float64) {
	for _, l := range lines {
		sum += math.Hypot(l.bx-l.ax, l.by-l.ay)
	}
	return sum
}

func spanning(points []board.Point) float64 {
	all, tree := simple.NewWeightedUndirectedGraph(0, math.Inf(1)), simple.NewWeightedUndirectedGraph(0, math.Inf(1))
	for i, p := range points {
		all.AddNode(simple.Node(i))
		for k, q := range points[:i] {
			all.SetWeightedEdge(all.NewWeightedEdge(simple.Node(i), simple.Node(k), math.Hypot(float64(p.X-q.X), float64(p.Y-q.Y))))
		}
	}
	return graphpath.Kruskal(tree, all)
}
