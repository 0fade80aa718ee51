package store

import (
	"encoding/binary"
	"os"
	"testing"

	"netlore/store/board"
)

// TestLayout1 reads a base that the first layout has left, adds to it, and
// finds all of it afterwards. It holds Wren, the stack Birds, and Gone, which was
// added and removed; testdata/layout-1 was written by the program of then.
func TestLayout1(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("testdata/layout-1")); err != nil {
		t.Fatal(err)
	}
	b := open(t, dir, Options{ReadOnly: true})
	wren := board.Ref{Name: "Wren", Revision: "1"}
	holdsLayout1(t, b)
	if brd, err := b.Board(t.Context(), wren); err != nil || brd.Title != "a small board" || len(brd.Parts) != 1 || len(brd.Nets) != 2 {
		t.Errorf("Wren is %+v, %v", brd, err)
	}
	if known, err := b.Knowledge(t.Context(), wren); err != nil || len(known.Notes) != 1 {
		t.Errorf("of Wren is known %+v, %v", known, err)
	}
	if removed, err := b.Removed(); err != nil || len(removed) != 1 || removed[0].Ref.Name != "Gone" {
		t.Errorf("removed: %v, %v", removed, err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	b = open(t, dir, Options{})
	if _, err := b.Add(t.Context(), heron(t)...); err != nil {
		t.Fatal(err)
	}
	holdsLayout1(t, b)
	if got := format(t, b); got != formatNumber {
		t.Errorf("after a change its layout is %d, want %d, so that older programs leave it alone", got, formatNumber)
	}
	if err := b.Close(); err != nil {
		t.Error(err)
	}
}

func holdsLayout1(t *testing.T, b *Base) {
	t.Helper()
	all, err := b.Catalogue(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	for _, s := range all.Boards {
		if s.Name == "Wren" && s.Parts == 1 && s.Notes == 1 {
			found++
		}
	}
	for _, s := range all.Stacks {
		if s.Name == "Birds" {
			found++
		}
	}
	if _, err := b.Verify(t.Context(), nil); err != nil || found != 2 {
		t.Errorf("%d of Wren and Birds are there, %v", found, err)
	}
}

func format(t *testing.T, b *Base) (n uint64) {
	t.Helper()
	if err := b.kv.view(func(r reader) error {
		value, err := r.get(keyGeneration)
		if err == nil {
			n = binary.BigEndian.Uint64(value)
		}
		return err
	}); err != nil {
		t.Fatal(err)
	}
	return n
}
