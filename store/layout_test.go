package store

import (
	"context"
	"encoding/binary"
	"errors"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

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

// TestLayout2 reads a base of the second layout, in which jobs were statements
// of their boards, and opens it for writing, which moves them out. Two of its
// jobs, on two boards, have the number 7. testdata/layout-2 was written by the
// program of then.
func TestLayout2(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("testdata/layout-2")); err != nil {
		t.Fatal(err)
	}
	b := open(t, dir, Options{ReadOnly: true})
	before := knownOf2(t, b)
	if lines, err := b.Jobs(t.Context()); err != nil || len(lines) != 4 || lines[0].ID != "7" || lines[3].Steps != 2 {
		t.Errorf("before: %+v, %v", lines, err)
	}
	if j, err := b.Job(t.Context(), "13"); err != nil || len(j.Steps) != 2 || j.Homes[0] != StackSubject("Birds") {
		t.Errorf("before: %+v, %v", j, err)
	}
	if _, err := b.Verify(t.Context(), nil); err != nil {
		t.Error(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	stopped, stop := context.WithCancel(t.Context())
	stop()
	if b, err := Open(stopped, dir, Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("moving the jobs was not stopped: %v, %v", b, err)
	}
	for range 2 { // the second time there is nothing to move
		b = open(t, dir, Options{})
		if d := cmp.Diff(before, knownOf2(t, b)); d != "" {
			t.Error(d)
		}
		if _, err := b.Verify(t.Context(), nil); err != nil || format(t, b) != formatNumber {
			t.Errorf("layout %d, %v", format(t, b), err)
		}
		if err := b.Close(); err != nil {
			t.Fatal(err)
		}
	}
	b = open(t, dir, Options{})
	defer b.Close()
	if lines, err := b.Jobs(t.Context()); err != nil || len(lines) != 3 || lines[0].Homes[0].Ref.Name != "Gull" {
		t.Errorf("after: %+v, %v", lines, err)
	}
	origins, err := b.Origins(t.Context(), board.Ref{Name: "Birds"}, []board.Statement{{Head: "job 13"}, {Head: "job 13", Member: "2"}})
	want := [][]board.Origin{
		{{Source: "birds.lore:8", Author: "bench-1", Time: time.Date(2026, 3, 16, 10, 0, 0, 0, time.UTC)}},
		{{Source: "step.lore:4", Author: "bench-2", Time: time.Date(2026, 3, 17, 11, 0, 0, 0, time.UTC)}},
	}
	if d := cmp.Diff(want, origins); d != "" || err != nil {
		t.Errorf("%v %s", err, d)
	}
	if events, err := b.History(StackSubject("Birds")); err != nil || len(events) != 3 || events[2].Kind != MovedOut || events[2].Withdrawn != 3 {
		t.Errorf("%+v, %v", events, err)
	}
	if j, err := b.Log(t.Context(), "13", "joined", "bench-1"); err != nil || len(j.Steps) != 3 {
		t.Errorf("%+v, %v", j, err)
	}
}

// TestLayout3 reads a base of the third layout, which knew of no meters, and
// states one. testdata/layout-3 was written by the program of then.
func TestLayout3(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("testdata/layout-3")); err != nil {
		t.Fatal(err)
	}
	for _, readOnly := range []bool{true, false} {
		b := open(t, dir, Options{ReadOnly: readOnly})
		all, err := b.Catalogue(t.Context())
		if err != nil || len(all.Boards) != 1 || all.Boards[0].Readings != 1 || len(all.Questions) != 1 || len(all.Meters) != 0 {
			t.Errorf("%+v, %v", all, err)
		}
		if j, err := b.Job(t.Context(), "13"); err != nil || len(j.Steps) != 2 || format(t, b) != 3 {
			t.Errorf("%+v, layout %d, %v", j, format(t, b), err)
		}
		if _, err := b.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
		if !readOnly {
			if _, err := b.StateMeter(t.Context(), board.Meter{Name: "M1"}, "bench-1"); err != nil || format(t, b) != formatNumber {
				t.Errorf("layout %d, %v", format(t, b), err)
			}
		}
		if err := b.Close(); err != nil {
			t.Fatal(err)
		}
	}
	b := open(t, dir, Options{ReadOnly: true})
	if all, err := b.Catalogue(t.Context()); err != nil || len(all.Meters) != 1 || len(all.Questions) != 1 {
		t.Errorf("%+v, %v", all, err)
	}
}

// TestLayout5 reads a base of the fifth layout, which knew of no chances, and states
// one. testdata/layout-5 was written by the program of then.
func TestLayout5(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("testdata/layout-5")); err != nil {
		t.Fatal(err)
	}
	for _, readOnly := range []bool{true, false} {
		b := open(t, dir, Options{ReadOnly: readOnly})
		all, err := b.Catalogue(t.Context())
		if err != nil || len(all.Boards) != 1 || len(all.Questions) != 1 || len(all.Meters) != 1 || len(all.Chances) != 0 {
			t.Errorf("%+v, %v", all, err)
		}
		if j, err := b.Job(t.Context(), "13"); err != nil || len(j.Steps) != 2 || format(t, b) != 5 {
			t.Errorf("%+v, layout %d, %v", j, format(t, b), err)
		}
		if _, err := b.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
		if !readOnly {
			if _, err := b.StateChance(t.Context(), board.Chance{Of: "tape", Miss: board.MustQuantity("3%")}, "bench-1"); err != nil || format(t, b) != formatNumber {
				t.Errorf("layout %d, %v", format(t, b), err)
			}
		}
		if err := b.Close(); err != nil {
			t.Fatal(err)
		}
	}
	b := open(t, dir, Options{ReadOnly: true})
	if all, err := b.Catalogue(t.Context()); err != nil || len(all.Meters) != 1 || len(all.Chances) != 1 {
		t.Errorf("%+v, %v", all, err)
	}
}

// TestLayout6 reads a base of the sixth layout, in which nothing was shunned, and shuns
// what another shop says. testdata/layout-6 was written by the program of then.
func TestLayout6(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("testdata/layout-6")); err != nil {
		t.Fatal(err)
	}
	for _, readOnly := range []bool{true, false} {
		b := open(t, dir, Options{ReadOnly: readOnly, Now: atNoon})
		all, err := b.Catalogue(t.Context())
		if err != nil || len(all.Boards) != 1 || len(all.Questions) != 1 || len(all.Meters) != 1 || len(all.Chances) != 1 {
			t.Errorf("%+v, %v", all, err)
		}
		if shunned, err := b.Shunned(t.Context()); err != nil || len(shunned) != 0 || format(t, b) != 6 {
			t.Errorf("%+v, layout %d, %v", shunned, format(t, b), err)
		}
		if _, err := b.Verify(t.Context(), nil); err != nil {
			t.Error(err)
		}
		if !readOnly {
			_, shop := shopOf(t, "Second")
			take(t, b, packOf(t, shop, nil, `note on C1 "wrong" by LABEL`), false)
			if _, err := b.Shun(t.Context(), found(t, b, `"wrong"`), "bench-1", ""); err != nil || format(t, b) != formatNumber {
				t.Errorf("layout %d, %v", format(t, b), err)
			}
		}
		if err := b.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// knownOf2 is all that is known of the boards and the stack of layout 2, as
// sheets.
func knownOf2(t *testing.T, b *Base) string {
	t.Helper()
	var s strings.Builder
	for _, of := range []Subject{BoardSubject(board.Ref{Name: "Gull", Revision: "1"}), BoardSubject(board.Ref{Name: "Wren", Revision: "1"}), StackSubject("Birds")} {
		if err := b.Export(t.Context(), of, &s); err != nil {
			t.Fatal(err)
		}
	}
	return s.String()
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
