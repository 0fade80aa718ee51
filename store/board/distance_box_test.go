package board

import (
	"math/rand"
	"testing"
)

// The distance of two upright boxes is the same as edge by edge, near and far.
func TestDistanceOfBoxesIsThatOfTheirEdges(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for range 20_000 {
		size := int32(1) << (1 + r.Intn(28))
		point := func() Point { return Point{X: r.Int31n(2*size) - size, Y: r.Int31n(2*size) - size} }
		a, b := Box(point(), point()), TurnedBox(point(), Size{W: r.Int31n(size), H: r.Int31n(size)}, int32(r.Intn(4))*90_000)
		if !a.upright() || !b.upright() {
			t.Fatalf("%v or %v is not upright", a, b)
		}
		if got, want := Distance(a, b), edgeDistance(a, b); got != want {
			t.Fatalf("%v to %v: %d um, edge by edge %d", a, b, got, want)
		}
	}
	if Polygon([]Point{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 5, Y: 3}, {X: 0, Y: 3}}).upright() {
		t.Error("what has a slope is taken for a box")
	}
}
