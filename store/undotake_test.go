package store

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/store/exchange"
)

// given takes batches as they are, also parts of some.
func given(t testing.TB, b *Base, batches ...*exchange.Batch) *Taken {
	t.Helper()
	taken, err := b.Take(t.Context(), func() (exchange.Item, error) {
		if len(batches) == 0 {
			return exchange.Item{}, io.EOF
		}
		first := batches[0]
		batches = batches[1:]
		return exchange.Item{Batch: first}, nil
	}, Taking{From: "a pack", Author: "bench-9"})
	if err != nil {
		t.Fatal(err)
	}
	return taken
}

// half is what of a batch begins so.
func half(batch *exchange.Batch, beginning string) *exchange.Batch {
	part := *batch
	part.Entries = nil
	for _, e := range batch.Entries {
		if strings.HasPrefix(e.Text, beginning) {
			part.Entries = append(part.Entries, e)
		}
	}
	return &part
}

// TestUndoHalf takes a batch in two halves and takes the first back: the second can
// still be traced to its signature, and goes with its own receipt.
func TestUndoHalf(t *testing.T) {
	_, heron := shopOf(t, "Heron Repair")
	b := OpenMemory(atNoon)
	trust(t, b, heron, Trusted)
	r, err := exchange.NewReader(bytes.NewReader(packOf(t, heron, nil, "part C1 1uF", "part C2 2uF")), "a pack", noon)
	if err != nil {
		t.Fatal(err)
	}
	item, err := r.Next()
	if err != nil {
		t.Fatal(err)
	}
	first, second := given(t, b, half(item.Batch, "part C1")), given(t, b, half(item.Batch, "part C2"))
	for _, undo := range []struct {
		receipt uint64
		left    int
	}{{first.Receipt, 1}, {second.Receipt, 0}} {
		if _, _, err := b.UndoTake(t.Context(), undo.receipt, "bench-9"); err != nil {
			t.Fatal(err)
		}
		entries, manifests := 0, 0
		if err := b.Signed(t.Context(), wrenSubject, func(SignedEntry) bool { return true }, func(batch *exchange.Batch) error {
			entries, manifests = entries+len(batch.Entries), manifests+1
			return nil
		}); err != nil || entries != undo.left || manifests != undo.left {
			t.Errorf("%d entries in %d batches, %v, want %d", entries, manifests, err, undo.left)
		}
		if _, err := b.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
	}
	if n := len(shared(t, b)); n != 0 {
		t.Errorf("%d are left", n)
	}
}

// TestUndoWithdrawal takes a withdrawal twice and takes the second pack back: what it
// says came with the first.
func TestUndoWithdrawal(t *testing.T) {
	_, heron := shopOf(t, "Heron Repair")
	b := OpenMemory(atNoon)
	trust(t, b, heron, Trusted)
	take(t, b, packOf(t, heron, nil, "part C1 10uF"), false)
	gone := packOf(t, heron, []exchange.ID{exchange.About{Of: aboutWren.Of, By: heron.Shop.String(), Licence: aboutWren.Licence}.Entry("part C1 10uF\n")})
	take(t, b, gone, false)
	again := take(t, b, gone, false)
	if _, _, err := b.UndoTake(t.Context(), again.Receipt, "bench-9"); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(holds(t, b), "part C1") {
		t.Error("what was withdrawn with a pack before it counts again")
	}
}

// TestUndoCounts has what was taken back count no more for how much is kept of a shop.
func TestUndoCounts(t *testing.T) {
	_, heron := shopOf(t, "Heron Repair")
	b := OpenMemory(atNoon)
	pack := packOf(t, heron, nil, "part C1 1uF", "part C2 2uF")
	for range 2 {
		taken := take(t, b, pack, false)
		if _, _, err := b.UndoTake(t.Context(), taken.Receipt, "bench-9"); err != nil {
			t.Fatal(err)
		}
	}
	shops, err := b.Shops(t.Context())
	if err != nil || len(shops) != 1 || shops[0].Entries != 0 {
		t.Errorf("%+v, %v", shops, err)
	}
}

// TestUndoCutShort ends an undo after each of its changes, and does it once more: then all
// is as it was before the pack was taken.
func TestUndoCutShort(t *testing.T) {
	step := dropStep
	dropStep = 1
	t.Cleanup(func() { dropStep = step })
	_, heron := shopOf(t, "Heron Repair")
	for n, done := 0, false; !done; n++ {
		b := OpenMemory(atNoon)
		trust(t, b, heron, Trusted)
		take(t, b, packOf(t, heron, nil, "board Wren rev 1", "part C1 1uF"), false)
		before, text := shared(t, b), holds(t, b)
		kept, err := b.Shops(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		taken := take(t, b, packOf(t, heron, nil, "part C2 2uF", "part C3 3uF"), false)
		cut := &cutting{kv: b.kv, left: n}
		b.kv = cut
		_, _, err = b.UndoTake(t.Context(), taken.Receipt, "bench-9")
		if done = err == nil; !done && !errors.Is(err, errCut) {
			t.Fatal(err)
		}
		b.kv = cut.kv
		if !done {
			if _, _, err := b.UndoTake(t.Context(), taken.Receipt, "bench-9"); err != nil {
				t.Fatal(err)
			}
		}
		if d := cmp.Diff(before, shared(t, b)); d != "" || holds(t, b) != text {
			t.Errorf("cut short after %d changes: %s\n%s", n, d, holds(t, b))
		}
		if shops, err := b.Shops(t.Context()); err != nil || len(shops) != 1 || shops[0].kept() != kept[0].kept() || shops[0].Entries != kept[0].Entries {
			t.Errorf("cut short after %d changes: %+v, %v, want %+v", n, shops, err, kept)
		}
		if _, err := b.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
	}
}
