package store

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"netlore/store/exchange"
)

// TestLinks keeps how far logs were read, and what was on them, on disk and in memory.
func TestLinks(t *testing.T) {
	dir := t.TempDir()
	for name, b := range map[string]*Base{"on disk": open(t, dir, Options{Now: atNoon}), "in memory": OpenMemory(atNoon)} {
		t.Run(name, func(t *testing.T) {
			if all, err := b.Links(t.Context()); len(all) > 0 || err != nil {
				t.Errorf("%v, %v", all, err)
			}
			if s, err := b.Link("shops"); s != (LinkState{Log: "shops"}) || err != nil {
				t.Errorf("%+v, %v", s, err)
			}
			state := LinkState{Log: "shops", Server: "nats://127.0.0.1:4222", Made: noon, Round: 2, Last: 7, LastID: exchange.ID{1}, Heard: noon, Receipt: 3, Sent: 4}
			marks := []LinkMark{{exchange.ID{1}, exchange.ID{0, 2}, 2, 6, true, false}, {exchange.ID{1}, exchange.ID{0, 3}, 1, 5, false, true}}
			if err := b.KeepLink(state, marks...); err != nil {
				t.Fatal(err)
			}
			other := LinkState{Log: "shops-2", Last: 1}
			if err := b.KeepLink(other, LinkMark{Batch: exchange.ID{9}, Seq: 1}); err != nil {
				t.Fatal(err)
			}
			all, err := b.Links(t.Context())
			if d := cmp.Diff([]LinkState{state, other}, all); d != "" || err != nil {
				t.Errorf("%v\n%s", err, d)
			}
			kept, err := b.LinkMarks(t.Context(), "shops")
			if d := cmp.Diff(marks, kept); d != "" || err != nil {
				t.Errorf("%v\n%s", err, d)
			}
			if m, found, err := b.Marked("shops", marks[1].Batch, marks[1].Message); m != marks[1] || !found || err != nil {
				t.Errorf("%+v, %v, %v", m, found, err)
			}
			if _, found, err := b.Marked("shops-2", marks[1].Batch, marks[1].Message); found || err != nil {
				t.Errorf("what was on one log is said to have been on another, %v", err)
			}
		})
	}
}

// TestLinkSum is the same on benches that hold the same, whatever else they hold and in
// whichever order it came.
func TestLinkSum(t *testing.T) {
	_, i := shopOf(t, "Heron Repair")
	first, second := packOf(t, i, nil, "part C1 10uF"), packOf(t, i, nil, "part C2 1uF", "note on C2 \"odd\" by LABEL")
	_, stranger := shopOf(t, "Second Repair")
	sums := map[exchange.ID]int{}
	for _, order := range [][][]byte{{first, second}, {second, packOf(t, stranger, nil, "part C9 9uF"), first}} {
		b := OpenMemory(atNoon)
		trust(t, b, i, Trusted)
		for _, p := range order {
			take(t, b, p, false)
		}
		var marks []LinkMark
		if err := b.Signed(t.Context(), wrenSubject, func(SignedEntry) bool { return true }, func(batch *exchange.Batch) error {
			marks = append(marks, LinkMark{Batch: batch.Hash()})
			return nil
		}); err != nil {
			t.Fatal(err)
		}
		if err := b.KeepLink(LinkState{Log: "shops"}, marks...); err != nil {
			t.Fatal(err)
		}
		sum, n, err := b.LinkSum(t.Context(), "shops")
		if n != 3 || err != nil {
			t.Errorf("%d entries, %v, want 3", n, err)
		}
		sums[sum]++
		subjects, err := b.SharedSubjects(t.Context())
		if !slices.Equal(subjects, []Subject{wrenSubject}) || err != nil {
			t.Errorf("%v, %v", subjects, err)
		}
		if sum, n, err := b.LinkSum(t.Context(), "others"); n != 0 || err != nil || sums[sum] > 0 {
			t.Errorf("%d entries were on a log that there is not, %v", n, err)
		}
	}
	if len(sums) != 1 {
		t.Errorf("the sums are %v", sums)
	}
}

// TestReceiptOfTheDay takes several things under one receipt, which takes them back
// together; after midnight, or once it is undone, another one begins.
func TestReceiptOfTheDay(t *testing.T) {
	now := noon
	b := OpenMemory(func() time.Time { return now })
	_, i := shopOf(t, "Heron Repair")
	trust(t, b, i, Trusted)
	into := func(last uint64, statement string) uint64 {
		t.Helper()
		r, err := exchange.NewReader(bytes.NewReader(packOf(t, i, nil, statement)), "the log", now)
		if err != nil {
			t.Fatal(err)
		}
		taken, err := b.Take(t.Context(), r.Next, Taking{From: "link shops", Author: "bench-9", Into: last})
		if err != nil {
			t.Fatal(err)
		}
		return taken.Receipt
	}
	one := into(0, "part C1 1uF")
	if got := into(one, "part C2 2uF"); got != one {
		t.Errorf("the same day is under %d, want %d", got, one)
	}
	now = now.AddDate(0, 0, 1)
	two := into(one, "part C3 3uF")
	if two == one {
		t.Error("the next day is under the same receipt")
	}
	receipts, err := b.Receipts(t.Context())
	if err != nil || receipts[0].New != 2 || receipts[1].New != 1 {
		t.Errorf("%+v, %v", receipts, err)
	}
	if _, _, err := b.UndoTake(t.Context(), two, "bench-9"); err != nil {
		t.Fatal(err)
	}
	if got := into(two, "part C4 4uF"); got == two {
		t.Error("it goes on with what was undone")
	}
	if _, _, err := b.UndoTake(t.Context(), one, "bench-9"); err != nil {
		t.Fatal(err)
	}
	if got := holds(t, b); strings.Contains(got, "C1") || strings.Contains(got, "C2") || !strings.Contains(got, "part C4 4uF") {
		t.Error(got)
	}
}
