package store_test

import (
	"context"
	"testing"
	"time"

	"netlore/store"
	"netlore/store/board"
	"netlore/store/storetest"
)

// source is what asking questions needs of a knowledge base. It is declared
// where questions are run, which the store may not import.
type source interface {
	Catalogue(context.Context) (*board.Catalogue, error)
	Board(context.Context, board.Ref) (*board.Board, error)
	Knowledge(context.Context, board.Ref) (*board.Knowledge, error)
}

var _ source = (*store.Base)(nil)

func TestMemory(t *testing.T) {
	storetest.Run(t, func(t *testing.T, now func() time.Time) (*store.Base, func() *store.Base) {
		base := store.OpenMemory(now)
		return base, func() *store.Base { return base }
	})
}

func TestDisk(t *testing.T) {
	storetest.Run(t, func(t *testing.T, now func() time.Time) (*store.Base, func() *store.Base) {
		dir := t.TempDir()
		var base *store.Base
		shut := func() {
			if err := base.Close(); err != nil {
				t.Error(err)
			}
		}
		open := func() *store.Base {
			base = openBase(t, dir, store.Options{Now: now})
			return base
		}
		t.Cleanup(func() { shut() })
		return open(), func() *store.Base { shut(); return open() }
	})
}

// openBase opens a base, which the caller closes.
func openBase(t testing.TB, dir string, opt store.Options) *store.Base {
	t.Helper()
	base, err := store.Open(context.Background(), dir, opt)
	if err != nil {
		t.Fatal(err)
	}
	return base
}
