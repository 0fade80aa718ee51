package query

import (
	"runtime"
	"slices"
	"sync/atomic"
	"testing"
	"time"
)

func TestInOrderYieldsInOrder(t *testing.T) {
	for _, n := range []int{0, 1, 2, 1000} {
		var got []int
		for i, square := range inOrder(n, func(i int) int {
			if i%7 == 0 {
				time.Sleep(time.Millisecond) // so that others overtake it
			}
			return i * i
		}) {
			if square != i*i {
				t.Fatalf("of %d, %d comes with %d", n, i, square)
			}
			got = append(got, i)
		}
		if len(got) != n || !slices.IsSorted(got) {
			t.Errorf("of %d: %v", n, got)
		}
	}
}

// What is left early is not worked on behind one's back, and not all of what is
// left was worked on.
func TestInOrderEndsWithItsLoop(t *testing.T) {
	const n, last = 100_000, 100
	var begun, working atomic.Int64
	for i := range inOrder(n, func(int) int {
		begun.Add(1)
		working.Add(1)
		defer working.Add(-1)
		runtime.Gosched()
		return 0
	}) {
		if i == last {
			break
		}
	}
	if working.Load() != 0 {
		t.Error("something is being worked on after the loop")
	}
	if most := int64(last + 1 + runtime.GOMAXPROCS(0)*aheadOf); begun.Load() > most {
		t.Errorf("%d were worked on, want %d at most", begun.Load(), most)
	}
}

// BenchmarkInOrder is what handing out one piece of work and its result takes.
// The baseline calls a function.
func BenchmarkInOrder(b *testing.B) {
	work := func(i int) int { return i }
	b.Run("in order", func(b *testing.B) {
		for range inOrder(b.N, work) {
		}
	})
	b.Run("called", func(b *testing.B) {
		for i := range b.N {
			work(i)
		}
	})
}
