package store

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// TestLogsOfNoSize opens a base in which a process was ended between making a
// log and giving it its size.
func TestLogsOfNoSize(t *testing.T) {
	for _, name := range []string{"00007.mem", "000007.vlog"} {
		for _, readOnly := range []bool{true, false} {
			dir := t.TempDir()
			b := open(t, dir, Options{})
			if _, err := b.Add(t.Context(), heron(t)...); err != nil {
				t.Fatal(err)
			}
			want, err := b.Verify(t.Context(), nil)
			if err != nil {
				t.Fatal(err)
			}
			if err := b.Close(); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(dir, name), nil, 0o644); err != nil {
				t.Fatal(err)
			}
			b, err = Open(t.Context(), dir, Options{ReadOnly: readOnly})
			if err != nil {
				t.Errorf("%s, read only %t: %v", name, readOnly, err)
				continue
			}
			if got, err := b.Verify(t.Context(), nil); err != nil || got != want {
				t.Errorf("%s, read only %t: it holds %+v, %v; want %+v", name, readOnly, got, err, want)
			}
			if err := b.Close(); err != nil {
				t.Error(err)
			}
		}
	}
}

// TestFolderOfABaseThatWasNotFinished opens a folder that a process left which
// was ended while it made a base there; a folder with more in it is no base.
func TestFolderOfABaseThatWasNotFinished(t *testing.T) {
	dir := t.TempDir()
	for _, name := range firstFiles {
		if err := os.WriteFile(filepath.Join(dir, name), []byte("4711"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := Open(t.Context(), dir, Options{ReadOnly: true}); err != ErrNoBase {
		t.Errorf("read only: got %v, want %v", err, ErrNoBase)
	}
	b := open(t, dir, Options{})
	if _, err := b.Add(t.Context(), heron(t)...); err != nil {
		t.Error(err)
	}
	if err := b.Close(); err != nil {
		t.Error(err)
	}
	other := t.TempDir()
	for _, name := range []string{"LOCK", "letter.txt"} {
		if err := os.WriteFile(filepath.Join(other, name), nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	var notBase *NotBaseError
	if _, err := Open(t.Context(), other, Options{}); !errors.As(err, &notBase) {
		t.Error("a folder with a letter in it was taken for a base")
	}
}
