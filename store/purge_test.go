package store

import (
	"context"
	"errors"
	"strings"
	"testing"

	"netlore/store/exchange"
	"netlore/store/exchange/exchangetest"
	"netlore/store/sheet"
)

func saying(text string) func(*Found) bool {
	return func(f *Found) bool { return strings.Contains(f.Text, text) }
}

func found(t *testing.T, b *Base, text string) []Found {
	t.Helper()
	all, err := b.Find(t.Context(), saying(text))
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// purged opens a base, purges what says a text, and closes it.
func purged(t *testing.T, dir, text string) {
	t.Helper()
	b := open(t, dir, Options{Now: atNoon})
	if err := b.Purge(t.Context(), found(t, b, text), "bench-1"); err != nil {
		t.Fatal(err)
	}
	if left := found(t, b, text); len(left) > 0 {
		t.Errorf("it is still found: %+v", left)
	}
	if _, err := b.Verify(t.Context(), nil); err != nil {
		t.Error(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	b = open(t, dir, Options{Now: atNoon})
	if err := errors.Join(b.Flatten(), b.Close()); err != nil {
		t.Fatal(err)
	}
	if files := inFiles(t, dir, text); len(files) > 0 {
		t.Errorf("%s still stands in %v", text, files)
	}
}

// TestPurge deletes a note, one that was withdrawn long ago, a step of a job that was
// taken back, and what another shop says, and looks for each in the files. What is
// beside them stays.
func TestPurge(t *testing.T) {
	const note, old, step, theirs = "qvzkwxjyhf", "uigbmxoqzt", "ywpfhjcklz", "zxnqrsvbdk"
	dir := t.TempDir()
	b := open(t, dir, Options{Now: atNoon})
	file, list := sheet.Parse("wren.lore", []byte("netlore 1\nboard Wren rev 1\npart C1\nnote on C1 \"of "+note+"\"\nnote on C1 \"of "+old+"\"\nnote on C1 \"stays\"\njob 7 of Wren \"dead\"\n"))
	if list.HasErrors() {
		t.Fatal(list)
	}
	if _, err := b.Add(t.Context(), Addition{Subject: wrenSubject, Files: []*sheet.File{file}, Author: "bench-1"}); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Withdraw(t.Context(), wrenSubject, "note on C1 \"of "+old+"\"\n", "bench-1"); err != nil {
		t.Fatal(err)
	}
	if _, err := b.LogSteps(t.Context(), "7", []string{`note "of ` + step + `"`, "joined"}, "bench-1"); err != nil {
		t.Fatal(err)
	}
	if err := b.Purge(t.Context(), found(t, b, step), "bench-1"); err == nil || !strings.Contains(err.Error(), "take the step back") {
		t.Errorf("a step that holds was purged: %v", err)
	}
	if err := b.Purge(t.Context(), found(t, b, "part C1"), "bench-1"); err == nil || !strings.Contains(err.Error(), "is made of") {
		t.Errorf("a part was purged: %v", err)
	}
	if _, err := b.UndoFrom(t.Context(), "7", 1, "bench-1"); err != nil {
		t.Fatal(err)
	}
	_, shop := shopOf(t, "Second")
	pack := packOf(t, shop, nil, `note on C1 "of `+theirs+`" by LABEL`, `note on C1 "theirs stays" by LABEL`)
	take(t, b, pack, false)
	if a := trust(t, b, shop, Trusted); len(a) != 1 || a[0].Added != 2 {
		t.Fatalf("%+v", a)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{note, old, step, theirs} {
		if len(inFiles(t, dir, text)) == 0 {
			t.Fatalf("%s stands in no file from the start, so nothing is tested", text)
		}
		purged(t, dir, text)
	}
	b = open(t, dir, Options{Now: atNoon})
	defer b.Close()
	if taken := take(t, b, pack, false); taken.New != 0 || len(found(t, b, theirs)) != 0 {
		t.Errorf("the next pack brings it back: %+v", taken)
	}
	if _, k, err := b.Stated(t.Context(), wrenSubject); err != nil || len(k.Notes) != 2 {
		t.Errorf("what stays is %+v, %v", k, err)
	}
	if events, err := b.History(JobSubject("7")); err != nil || len(events) != 3 || !strings.HasPrefix(events[1].Step, "1\n2 joined") {
		t.Errorf("%+v, %v", events, err)
	}
	all, err := b.Shunned(t.Context())
	if err != nil || len(all) != 1 || !all[0].Purged || all[0].Text != "" {
		t.Fatalf("%+v, %v", all, err)
	}
	if _, err := b.Unshun(t.Context(), all[0].ID, "bench-1"); err != nil {
		t.Error(err)
	}
	if taken := take(t, b, pack, false); taken.New != 1 || len(found(t, b, theirs)) == 0 {
		t.Errorf("what is let in again does not come: %+v", taken)
	}
}

// cutting is a store in which one change fails, and all that come after, as if the
// process had been ended there; or the flattening fails.
type cutting struct {
	kv

	left      int // changes that are made
	unflatten bool
}

var errCut = errors.New("cut short")

func (c *cutting) update(change func(writer) error) error {
	if c.left--; c.left < 0 {
		return errCut
	}
	return c.kv.update(change)
}

func (c *cutting) bulk(ctx context.Context, puts func(func(key, value []byte) error) error) error {
	if c.left--; c.left < 0 {
		return errCut
	}
	return c.kv.bulk(ctx, puts)
}

func (c *cutting) flatten() error {
	if c.unflatten {
		return errCut
	}
	return c.kv.flatten()
}

// TestPurgeCutShort ends a purge after each of its changes, and in its flattening, and
// purges once more: then nothing of it is in any file, and in no history.
func TestPurgeCutShort(t *testing.T) {
	const words = "qvzkwxjyhf"
	_, shop := shopOf(t, "Second")
	pack := packOf(t, shop, nil, `note on C1 "of `+words+`" by LABEL`)
	for n, done := 0, false; !done; n++ {
		dir := t.TempDir()
		b := open(t, dir, Options{Now: atNoon})
		sayAllOver(t, b, words)
		take(t, b, pack, false)
		trust(t, b, shop, Trusted)
		cut := &cutting{kv: b.kv, left: n}
		b.kv = cut
		err := b.Purge(t.Context(), found(t, b, words), "bench-1")
		if done = err == nil; !done && !(errors.Is(err, errCut) && errors.Is(err, ErrUnpurged)) {
			t.Fatal(err)
		}
		b.kv = cut.kv
		if done {
			unflattened(t, b, dir)
			b = open(t, dir, Options{Now: atNoon})
		}
		if p, err := b.Purging(); err != nil || done && (p == nil || p.Author != "bench-1") || p == nil && len(found(t, b, words)) == 0 {
			t.Errorf("cut short after %d changes: %+v, %v, and nothing is found to be purged", n, p, err)
		}
		if err := b.Close(); err != nil {
			t.Fatal(err)
		}
		purged(t, dir, words)
		b = open(t, dir, Options{ReadOnly: true})
		if p, err := b.Purging(); p != nil || err != nil {
			t.Errorf("cut short after %d changes: it is not finished: %+v, %v", n, p, err)
		}
		if events, err := b.History(JobSubject("7")); err != nil || len(events) != 3 || events[1].Step != "1" {
			t.Errorf("cut short after %d changes: %+v, %v", n, events, err)
		}
		if err := b.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// sayAllOver says words in a note and in a step that was taken back.
func sayAllOver(t *testing.T, b *Base, words string) {
	t.Helper()
	file, list := sheet.Parse("wren.lore", []byte("netlore 1\nboard Wren rev 1\npart C1\nnote on C1 \"of "+words+"\"\njob 7 of Wren \"dead\"\n"))
	if list.HasErrors() {
		t.Fatal(list)
	}
	if _, err := b.Add(t.Context(), Addition{Subject: wrenSubject, Files: []*sheet.File{file}, Author: "bench-1"}); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Log(t.Context(), "7", `note "of `+words+`"`, "bench-1"); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Undo(t.Context(), "7", "bench-1"); err != nil {
		t.Fatal(err)
	}
}

// unflattened closes a base, opens it again and fails to flatten it.
func unflattened(t *testing.T, b *Base, dir string) {
	t.Helper()
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	b = open(t, dir, Options{Now: atNoon})
	cut := &cutting{kv: b.kv, unflatten: true}
	b.kv = cut
	if err := b.Flatten(); !errors.Is(err, errCut) || !errors.Is(err, ErrUnpurged) {
		t.Errorf("%v, want that it was cut short", err)
	}
	b.kv = cut.kv
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
}

// TestShun: what is shunned does not count, whatever its shop is trusted, until it is
// let in again; not even by being taken once more.
func TestShun(t *testing.T) {
	b := OpenMemory(atNoon)
	_, shop := shopOf(t, "Second")
	pack := packOf(t, shop, nil, `note on C1 "wrong" by LABEL`, `note on C1 "right" by LABEL`)
	take(t, b, pack, false)
	trust(t, b, shop, Trusted)
	notes := func() int {
		_, k, err := b.Stated(context.Background(), wrenSubject)
		if err != nil {
			t.Fatal(err)
		}
		return len(k.Notes)
	}
	wrong := found(t, b, `"wrong"`)[:1]
	a, err := b.Shun(t.Context(), wrong, "bench-1", "it is the other coil")
	if err != nil || len(a) != 1 || a[0].Withdrawn != 1 || a[0].Shunned != 1 || notes() != 1 {
		t.Errorf("%+v, %v, %d notes", a, err, notes())
	}
	take(t, b, pack, false)
	trust(t, b, shop, Own)
	if notes() != 1 {
		t.Error("it counts again")
	}
	if all, err := b.Shunned(t.Context()); err != nil || len(all) != 1 || all[0].Because == "" || !strings.Contains(all[0].Text, "wrong") {
		t.Errorf("%+v, %v", all, err)
	}
	if _, err := b.Unshun(t.Context(), exchange.ID(wrong[0].ID), "bench-1"); err != nil || notes() != 2 {
		t.Errorf("%v, %d notes", err, notes())
	}
	if _, err := b.Unshun(t.Context(), exchange.ID(wrong[0].ID), "bench-1"); !errors.Is(err, ErrNotShunned) {
		t.Error(err)
	}
}

// TestPurgeCounts: what is purged does not count any more for what is kept of its shop.
func TestPurgeCounts(t *testing.T) {
	_, shop := shopOf(t, "Second")
	b := OpenMemory(atNoon)
	take(t, b, packOf(t, shop, nil, "part C1 10uF", `note on C1 "of Smith" by LABEL`, `note on C2 "of Smith, too" by LABEL`), false)
	trust(t, b, shop, Trusted)
	if err := b.Purge(t.Context(), found(t, b, "Smith"), "bench-1"); err != nil {
		t.Fatal(err)
	}
	if all, err := b.Shops(t.Context()); err != nil || len(all) != 1 || all[0].Entries != 1 || all[0].Listed != 3 {
		t.Errorf("%+v, %v, want one entry, of three that the manifest lists", all, err)
	}
}

// TestPurgeAfterChange: what a shop has signed and withdrawn with the key that took the
// place of the one it was signed with is purged.
func TestPurgeAfterChange(t *testing.T) {
	dir, heron := shopOf(t, "Heron Repair")
	b := OpenMemory(atNoon)
	said, err := heron.Batches(aboutWren, exchangetest.Blocks(heron, `note on C1 "of Smith" by LABEL`), nil, noon)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.KeepMade(t.Context(), said, "bench-1", "a.pack"); err != nil {
		t.Fatal(err)
	}
	if err := b.Purge(t.Context(), found(t, b, "Smith"), "bench-1"); err == nil || !strings.Contains(err.Error(), "it was signed for other shops") {
		t.Errorf("what others hold was purged: %v", err)
	}
	if _, err := exchange.Change(dir, nil, noon, nil); err != nil {
		t.Fatal(err)
	}
	if err := b.Hear(wordsOf(t, dir)); err != nil {
		t.Fatal(err)
	}
	anew := exchangetest.Open(t, dir)
	gone, err := anew.Batches(aboutWren, nil, []exchange.ID{said[0].Entries[0].ID}, noon)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.KeepMade(t.Context(), gone, "bench-1", "b.pack"); err != nil {
		t.Fatal(err)
	}
	if err := b.Purge(t.Context(), found(t, b, "Smith"), "bench-1"); err != nil || len(found(t, b, "Smith")) != 0 {
		t.Error(err)
	}
}
