package store

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"path/filepath"
	"testing"

	"github.com/dgraph-io/badger/v4"

	"netlore/store/board"
)

// change changes what lies under a key of a base.
func (b *Base) tamper(t *testing.T, key []byte, change func([]byte) []byte) {
	t.Helper()
	err := b.kv.update(func(w writer) error {
		value, err := w.get(key)
		if err != nil {
			return err
		}
		return w.put(key, change(value))
	})
	if err != nil {
		t.Fatal(err)
	}
}

func heronInMemory(t *testing.T) *Base {
	t.Helper()
	b := OpenMemory(fixed)
	if _, err := b.Add(t.Context(), heron(t)...); err != nil {
		t.Fatal(err)
	}
	return b
}

// recordOf is the record of a board that is held.
func (b *Base) recordOf(t *testing.T, ref board.Ref) subjectRecord {
	t.Helper()
	var rec subjectRecord
	err := b.kv.view(func(r reader) (err error) {
		rec, err = current(r, BoardSubject(ref))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

func swapACase(b []byte) []byte { b[len(b)/2] ^= 0x20; return b }

func TestVerifyFindsDamage(t *testing.T) {
	for name, key := range map[string]func(subjectRecord) []byte{
		"entry":     func(r subjectRecord) []byte { return entryKey(r.ID, r.View, 7) },
		"snapshot":  func(r subjectRecord) []byte { return viewKey(r.ID, r.View, partBoard) },
		"index":     func(r subjectRecord) []byte { return netKey("VMAIN", r.ID) },
		"knowledge": func(r subjectRecord) []byte { return viewKey(r.ID, r.View, partKnown) },
	} {
		b := heronInMemory(t)
		if _, err := b.Verify(t.Context(), nil); err != nil {
			t.Fatal(err)
		}
		b.tamper(t, key(b.recordOf(t, heronA)), swapACase)
		var damaged *DamagedError
		if _, err := b.Verify(t.Context(), nil); !errors.As(err, &damaged) {
			t.Errorf("%s: got %v, want a *DamagedError", name, err)
		}
	}
}

// TestSnapshotOfAnotherVersion asks a base whose snapshot this program cannot
// read: the entries say the same.
func TestSnapshotOfAnotherVersion(t *testing.T) {
	b := heronInMemory(t)
	want, err := b.Board(t.Context(), heronA)
	if err != nil {
		t.Fatal(err)
	}
	rec := b.recordOf(t, heronA)
	b.tamper(t, viewKey(rec.ID, rec.View, partBoard), func(s []byte) []byte {
		return sealed(append([]byte{snapshotVersion + 1}, s[1:len(s)-4]...))
	})
	got, err := b.Board(t.Context(), heronA)
	if err != nil {
		t.Fatal(err)
	}
	sameBoard(t, want, got)
	if _, err := b.Verify(t.Context(), nil); err != nil {
		t.Errorf("another version counts as damage: %v", err)
	}
}

func TestNewerLayoutIsRefused(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "base")
	b := open(t, dir, Options{})
	if _, err := b.Add(t.Context(), heron(t)...); err != nil {
		t.Fatal(err)
	}
	b.tamper(t, keyGeneration, func(v []byte) []byte {
		binary.BigEndian.PutUint64(v, formatNumber+1)
		return v
	})
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	for _, readOnly := range []bool{true, false} {
		_, err := Open(t.Context(), dir, Options{ReadOnly: readOnly})
		var newer *NewerError
		if !errors.As(err, &newer) || newer.Format != formatNumber+1 {
			t.Errorf("read only %t: got %v, want a *NewerError", readOnly, err)
		}
	}
}

// TestForeignStoreIsRefused opens a folder in which another program keeps its
// data with the same storage library.
func TestForeignStoreIsRefused(t *testing.T) {
	dir := t.TempDir()
	db, err := badger.Open(badger.DefaultOptions(dir).WithLogger(nil))
	if err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	for _, readOnly := range []bool{true, false} {
		_, err := Open(t.Context(), dir, Options{ReadOnly: readOnly})
		var notBase *NotBaseError
		if !errors.As(err, &notBase) {
			t.Errorf("read only %t: got %v, want a *NotBaseError", readOnly, err)
		}
	}
}

func TestReadOnlyBaseTakesNothing(t *testing.T) {
	dir := t.TempDir()
	if err := open(t, dir, Options{}).Close(); err != nil {
		t.Fatal(err)
	}
	b := open(t, dir, Options{ReadOnly: true})
	if _, err := b.Add(t.Context(), heron(t)...); err == nil {
		t.Error("something was added")
	}
	if r, err := b.Preview(t.Context(), heron(t)...); err != nil || len(r) != 3 {
		t.Errorf("preview: %v, %v", r, err)
	}
}

// TestEveryChangeSetsTheLowestKey: without it the tables of many small changes
// would never be merged.
func TestEveryChangeSetsTheLowestKey(t *testing.T) {
	dir := t.TempDir()
	ctx := context.Background()
	for i := range 12 {
		b := open(t, dir, Options{})
		a := heron(t)[2]
		a.Subject = StackSubject("Heron")
		a.Files = append(a.Files[:0:0], parse(t, "", "netlore 1\nstack Heron\n\nnote on Heron \"note "+string(rune('a'+i))+"\"\n"))
		if _, err := b.Add(ctx, a); err != nil {
			t.Fatal(err)
		}
		if err := b.Close(); err != nil {
			t.Fatal(err)
		}
	}
	if n := len(tableFiles(dir)); n > 3 {
		t.Errorf("after 12 sessions there are %d tables", n)
	}
	b := open(t, dir, Options{ReadOnly: true})
	first := []byte(nil)
	err := b.kv.view(func(r reader) error {
		return r.scan(nil, func(key, _ []byte) error {
			if first == nil {
				first = bytes.Clone(key)
			}
			return nil
		})
	})
	if err != nil || !bytes.Equal(first, keyGeneration) {
		t.Errorf("the first key is %x, %v", first, err)
	}
}
