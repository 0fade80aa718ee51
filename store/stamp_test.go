package store_test

import (
	"context"
	"errors"
	"path/filepath"
	"testing"

	"netlore/store"
	"netlore/store/board"
)

// A stamp is another one after every change, and the same after any reading.
func TestStamp(t *testing.T) {
	ctx, dir := context.Background(), filepath.Join(t.TempDir(), "base")
	if _, err := store.Stamp(dir); !errors.Is(err, store.ErrNoBase) {
		t.Errorf("of no base: %v", err)
	}
	change := func(do func(*store.Base) error) uint64 {
		t.Helper()
		base, err := store.Open(ctx, dir, store.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if err := errors.Join(do(base), base.Close()); err != nil {
			t.Fatal(err)
		}
		stamp, err := store.Stamp(dir)
		if err != nil {
			t.Fatal(err)
		}
		return stamp
	}
	home := store.BoardSubject(board.Ref{Name: "Wren"})
	stamps := []uint64{change(func(b *store.Base) error {
		_, err := b.OpenJob(ctx, board.Job{ID: "7", Symptom: "dead"}, home, store.Private{}, "anna")
		return err
	})}
	for range 5 {
		stamps = append(stamps, change(func(b *store.Base) error { _, err := b.Log(ctx, "7", "draw 2A", "anna"); return err }))
	}
	stamps = append(stamps, change(func(b *store.Base) error { _, err := b.Undo(ctx, "7", "anna"); return err }))
	seen := map[uint64]bool{}
	for i, s := range stamps {
		if seen[s] {
			t.Errorf("change %d left a stamp that was there before", i)
		}
		seen[s] = true
	}
	base, err := store.Open(ctx, dir, store.Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	_, err = base.Job(ctx, "7")
	if err := errors.Join(err, base.Close()); err != nil {
		t.Fatal(err)
	}
	if again, err := store.Stamp(dir); err != nil || again != stamps[len(stamps)-1] {
		t.Errorf("reading changed the stamp: %v", err)
	}
}
