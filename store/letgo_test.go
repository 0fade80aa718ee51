package store_test

import (
	"context"
	"fmt"
	"math/rand"
	"runtime"
	"sync/atomic"
	"testing"
	"time"

	"netlore/query"
	"netlore/query/run"
	"netlore/store"
	"netlore/store/board"
)

// snapshots reads every board from a snapshot, and counts those that nothing
// points into any more.
type snapshots struct {
	run.Source
	read, gone *atomic.Int64
}

func (s snapshots) Board(ctx context.Context, ref board.Ref) (*board.Board, error) {
	b, err := s.Source.Board(ctx, ref)
	if err != nil {
		return nil, err
	}
	snapshot := store.EncodeBoard(b)
	s.read.Add(1)
	runtime.SetFinalizer(&snapshot[0], func(*byte) { s.gone.Add(1) })
	if b, err = store.DecodeBoard(snapshot); err == nil {
		b.Ref = ref
	}
	return b, err
}

// The names of a board are pieces of its snapshot. An answer of a few rows from
// each of many boards must not hold all that these boards are.
func TestAnswersLetGoOfSnapshots(t *testing.T) {
	base := store.OpenMemory(nil)
	r := rand.New(rand.NewSource(1))
	for i := range 20 {
		addBoard(t, base, acrossBoard(r, fmt.Sprintf("Knot-%d", i)), store.Union)
	}
	for _, text := range []string{
		"parts in every board", "parts in every board sorted by value first 5", "nets in every board by board",
		"count parts in every board by name", "possibly hidden parts in every board show cover",
	} {
		s := snapshots{base, new(atomic.Int64), new(atomic.Int64)}
		a, err := query.Ask(t.Context(), s, query.Options{}, text)
		if err != nil || len(a.Rows) == 0 {
			t.Fatal(text, a, err)
		}
		for range 500 {
			if runtime.GC(); s.gone.Load() == s.read.Load() {
				break
			}
			time.Sleep(10 * time.Millisecond)
		}
		if gone, read := s.gone.Load(), s.read.Load(); gone != read {
			t.Errorf("%s: of %d snapshots, the answer holds %d", text, read, read-gone)
		}
		runtime.KeepAlive(a)
	}
}
