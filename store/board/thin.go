package board

import (
	"container/heap"
	"math"
)

// MaxCorners is how many corners an outline keeps in a sheet, where it stands
// on one line.
const MaxCorners = 140

// Thinned returns the outline with at most most corners, at least three. It
// takes away the corner that makes the smallest triangle with its neighbours,
// of equals the first, until few enough are left (the algorithm of Visvalingam
// and Whyatt, 1993). What is left is in order and starts at the first corner
// that is left.
func (o Outline) Thinned(most int) Outline {
	most = max(most, 3)
	if len(o.Points) <= most {
		return o
	}
	t := newThinner(o.Points)
	for range len(o.Points) - most {
		t.dropFlattest()
	}
	return Outline{Points: t.rest(), Radius: o.Radius}
}

// A thinner is a ring of points, of which those that remain know their
// neighbours, and a heap of them with the smallest triangle on top.
type thinner struct {
	points       []Point
	before, next []int32
	area         []float64
	order, place []int32 // the heap of indexes, and where each index is in it
}

func newThinner(points []Point) *thinner {
	n := len(points)
	t := &thinner{points: points, before: make([]int32, n), next: make([]int32, n),
		area: make([]float64, n), order: make([]int32, n), place: make([]int32, n)}
	for i := range points {
		t.before[i], t.next[i] = int32((i+n-1)%n), int32((i+1)%n)
		t.order[i], t.place[i] = int32(i), int32(i)
	}
	for i := range points {
		t.area[i] = t.triangle(int32(i))
	}
	heap.Init(t)
	return t
}

// triangle is twice the area that a point makes with its neighbours.
func (t *thinner) triangle(i int32) float64 {
	p, a, b := t.points[i], t.points[t.before[i]], t.points[t.next[i]]
	return math.Abs((float64(a.X)-float64(p.X))*(float64(b.Y)-float64(p.Y)) - (float64(b.X)-float64(p.X))*(float64(a.Y)-float64(p.Y)))
}

func (t *thinner) dropFlattest() {
	i := heap.Pop(t).(int32)
	a, b := t.before[i], t.next[i]
	t.next[a], t.before[b] = b, a
	for _, i := range []int32{a, b} {
		t.area[i] = t.triangle(i)
		heap.Fix(t, int(t.place[i]))
	}
}

// rest is the points that remain, in their order, from the first of them on.
func (t *thinner) rest() []Point {
	first := t.order[0]
	for _, i := range t.order {
		first = min(first, i)
	}
	points := make([]Point, 0, len(t.order))
	for i := first; len(points) < len(t.order); i = t.next[i] {
		points = append(points, t.points[i])
	}
	return points
}

// The methods of heap.Interface.

func (t *thinner) Len() int { return len(t.order) }

func (t *thinner) Less(i, j int) bool {
	a, b := t.order[i], t.order[j]
	return t.area[a] < t.area[b] || t.area[a] == t.area[b] && a < b
}

func (t *thinner) Swap(i, j int) {
	t.order[i], t.order[j] = t.order[j], t.order[i]
	t.place[t.order[i]], t.place[t.order[j]] = int32(i), int32(j)
}

func (t *thinner) Push(x any) { t.order = append(t.order, x.(int32)) }

func (t *thinner) Pop() any {
	last := t.order[len(t.order)-1]
	t.order = t.order[:len(t.order)-1]
	return last
}
