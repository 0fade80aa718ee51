package storetest

import (
	"context"
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

func testEmpty(t *testing.T, b *bench) {
	ctx := context.Background()
	all, err := b.base.Catalogue(ctx)
	if err != nil || len(all.Boards)+len(all.Stacks) > 0 {
		t.Errorf("an empty base lists %v, %v", all, err)
	}
	_, noBoard := b.base.Board(ctx, plover.Ref)
	_, noKnowledge := b.base.Knowledge(ctx, plover.Ref)
	_, _, noStack := b.base.Stack(ctx, "Plover")
	_, noHistory := b.base.History(plover)
	_, noHash := b.base.Hash(plover)
	_, noRemoval := b.base.Remove(ctx, plover, "bench-1")
	for i, err := range []error{noBoard, noKnowledge, noStack, noHistory, noHash, noRemoval} {
		if !errors.Is(err, store.ErrUnknownSubject) {
			t.Errorf("%d: got %v, want ErrUnknownSubject", i, err)
		}
	}
}

func testAddAndRead(t *testing.T, b *bench) {
	got := b.add(ploverSheet)
	want := store.Result{Subject: plover, New: ploverBlocks, Hash: b.hash(plover)}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("result: %s", d)
	}
	b.checkReads(ploverSheet)
	all, err := b.base.Catalogue(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	summary := board.Summary{Ref: plover.Ref, Title: "main board of the Plover beacon", Parts: 5, Pins: 10, Nets: 3, Pads: 2, Covers: 2,
		Readings: 1, Expected: 1, Notes: 1, Links: 1, Updated: b.clock, Hash: got.Hash}
	if d := cmp.Diff(&board.Catalogue{Boards: []board.Summary{summary}}, all); d != "" {
		t.Errorf("catalogue: %s", d)
	}
}

// checkReads compares what the base answers with what the sheet alone says.
func (b *bench) checkReads(text string) {
	b.t.Helper()
	content, list := sheet.Read(b.parse("", text))
	if err := list.Err(); err != nil {
		b.t.Fatal(err)
	}
	if d := cmp.Diff(content.Board, b.board(), cmp.AllowUnexported(board.Board{})); d != "" {
		b.t.Errorf("board: %s", d)
	}
	known, err := b.base.Knowledge(context.Background(), plover.Ref)
	if err != nil {
		b.t.Fatal(err)
	}
	if d := cmp.Diff(content.Knowledge, known); d != "" {
		b.t.Errorf("knowledge: %s", d)
	}
}

func testAddTwice(t *testing.T, b *bench) {
	first := b.add(ploverSheet)
	b.clock = b.clock.AddDate(0, 0, 1)
	again := b.add(ploverSheet)
	want := store.Result{Subject: plover, Known: ploverBlocks, Hash: first.Hash}
	if d := cmp.Diff(want, again); d != "" {
		t.Error(d)
	}
	if events, err := b.base.History(plover); len(events) != 1 || err != nil {
		t.Errorf("adding nothing made history: %v, %v", events, err)
	}
}

func testTwoSubjects(t *testing.T, b *bench) {
	stack := store.Addition{Subject: store.StackSubject("Plover"), Files: []*sheet.File{b.parse("stack.lore", ploverStack)}, Author: "bench-1"}
	results := b.addAll(b.addition(ploverSheet), stack)
	if len(results) != 2 || results[0].New != ploverBlocks || results[1].New != 3 {
		t.Errorf("got %+v", results)
	}
	subjects, err := b.base.Subjects()
	if d := cmp.Diff([]store.Subject{plover, store.StackSubject("Plover")}, subjects); d != "" || err != nil {
		t.Errorf("subjects: %v %s", err, d)
	}
}

// testSameSubjectTwice adds two files on one board as two additions at once.
// Neither may lose what the other says, so they are refused.
func testSameSubjectTwice(t *testing.T, b *bench) {
	_, err := b.base.Add(context.Background(), b.addition(ploverHead+"part C1 10uF\n"), b.addition(ploverHead+"part C2 1uF\n"))
	if err == nil {
		t.Error("two additions on one board were taken")
	}
	if subjects, err := b.base.Subjects(); len(subjects) > 0 || err != nil {
		t.Errorf("half of it was added: %v, %v", subjects, err)
	}
}

// testNewerVersion adds a sheet of a newer version: what is known of it is
// held, and the lines that are not are counted.
func testNewerVersion(t *testing.T, b *bench) {
	a := b.addition("netlore 1.7\nboard Plover-P rev 2\npart C1 10uF\npart C2 10uF esr 5mohm\nshim SH1 at 1,2\n  soft\n")
	results, err := b.base.Add(context.Background(), a)
	if err != nil {
		t.Fatal(err)
	}
	if got := results[0]; got.New != 2 || got.Unread != 3 {
		t.Errorf("got %+v, want 2 statements and 3 lines that were left out", got)
	}
	if d := cmp.Diff("netlore 1\nboard Plover-P rev 2\n\npart C1 10uF\n", b.export(plover)); d != "" {
		t.Error(d)
	}
}

// testAllOrNothing adds a good and a contradicting sheet together.
func testAllOrNothing(t *testing.T, b *bench) {
	stack := store.Addition{Subject: store.StackSubject("Plover"), Files: []*sheet.File{b.parse("stack.lore", ploverStack)}, Author: "bench-1"}
	bad := b.addition(ploverHead + "part C1 10uF\npart C1 22uF\n")
	if _, err := b.base.Add(context.Background(), stack, bad); err == nil {
		t.Error("a contradiction was taken")
	}
	if subjects, err := b.base.Subjects(); len(subjects) > 0 || err != nil {
		t.Errorf("half of it was added: %v, %v", subjects, err)
	}
}

func testPreview(t *testing.T, b *bench) {
	would, err := b.base.Preview(context.Background(), b.addition(ploverSheet))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.base.History(plover); !errors.Is(err, store.ErrUnknownSubject) {
		t.Errorf("a preview changed the base: %v", err)
	}
	if d := cmp.Diff(would[0], b.add(ploverSheet)); d != "" {
		t.Error(d)
	}
}

func testNoAuthor(t *testing.T, b *bench) {
	a := b.addition(ploverSheet)
	a.Author = ""
	if _, err := b.base.Add(context.Background(), a); err == nil {
		t.Error("an addition without an author was taken")
	}
	b.add(ploverSheet)
	if _, err := b.base.Remove(context.Background(), plover, ""); err == nil {
		t.Error("a removal without an author was taken")
	}
}

func testCancelled(t *testing.T, b *bench) {
	before := b.add(ploverSheet)
	for calls := range 40 {
		ctx := &expiring{Context: context.Background(), calls: calls}
		_, err := b.base.Add(ctx, b.addition(ploverHead+"\npart C77 1uF\n"))
		if err == nil {
			return // it was done before the context ended
		}
		if !errors.Is(err, context.Canceled) {
			t.Fatalf("after %d looks at the context: %v", calls, err)
		}
		if b.hash(plover) != before.Hash {
			t.Fatalf("after %d looks at the context something was left behind", calls)
		}
	}
	t.Error("the addition never came to its end")
}

// expiring is a context that ends after it was looked at so many times.
type expiring struct {
	context.Context
	calls int
}

func (e *expiring) Err() error {
	if e.calls--; e.calls < 0 {
		return context.Canceled
	}
	return nil
}
