package query

import (
	"iter"
	"runtime"
	"sync"
	"sync/atomic"
)

// aheadOf is how many results for each processor may wait to be taken: enough
// that a slow one does not make the others wait, and few enough to be kept.
const aheadOf = 8

// inOrder yields work(0) to work(n-1) in this order, and works on all processors
// meanwhile. When it returns nothing is being worked on, also if it was left
// early.
func inOrder[T any](n int, work func(i int) T) iter.Seq2[int, T] {
	return func(yield func(int, T) bool) {
		workers := min(runtime.GOMAXPROCS(0), n)
		slots := make([]chan T, workers*aheadOf)
		for i := range slots {
			slots[i] = make(chan T, 1)
		}
		turns := make(chan struct{}, len(slots)) // to begin one more
		var next atomic.Int64
		var all sync.WaitGroup
		for range workers {
			all.Go(func() {
				for range turns {
					if i := int(next.Add(1)) - 1; i < n {
						slots[i%len(slots)] <- work(i)
					}
				}
			})
		}
		defer all.Wait()
		defer close(turns)
		for range slots {
			turns <- struct{}{}
		}
		for i := range n {
			if !yield(i, <-slots[i%len(slots)]) {
				next.Store(int64(n))
				return
			}
			turns <- struct{}{}
		}
	}
}
