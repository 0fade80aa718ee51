package board

import (
	"sync"
	"sync/atomic"
	"testing"
)

func TestKeepMakesOnceForAllWhoAsk(t *testing.T) {
	b := NewBuilder(Ref{Name: "Heron-A"}).Build()
	var made atomic.Int32
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			if got := b.Keep("x", func() any { return made.Add(1) }); got != int32(1) {
				t.Errorf("got %v", got)
			}
		})
	}
	wg.Wait()
	if made.Load() != 1 {
		t.Errorf("made %d times", made.Load())
	}
}

func TestKeepDropsWhatWasNotUsedForLongest(t *testing.T) {
	b := NewBuilder(Ref{Name: "Heron-A"}).Build()
	made := 0
	ask := func(key int) bool { // was it made anew
		before := made
		b.Keep(key, func() any { made++; return nil })
		return made > before
	}
	for key := range mostKept {
		ask(key)
	}
	if ask(0) || ask(mostKept-1) {
		t.Error("what there is room for is made again")
	}
	if !ask(mostKept) || ask(0) {
		t.Error("what was used just before is dropped")
	}
	if !ask(1) {
		t.Error("more is kept than there is room for")
	}
	if other := NewBuilder(Ref{Name: "Heron-A"}).Build(); other.Keep(0, func() any { return "other" }) != "other" {
		t.Error("two boards share what is kept")
	}
}
