package store_test

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netlore/store"
)

// purgeTask purges what says some words, and stands still with the base open.
func purgeTask(dir, words string) error {
	base, err := store.Open(context.Background(), dir, store.Options{})
	if err != nil {
		return err
	}
	found, err := base.Find(context.Background(), func(f *store.Found) bool { return strings.Contains(f.Text, words) })
	if err != nil {
		return err
	}
	if err := base.Purge(context.Background(), found, "bench-1"); err != nil {
		return err
	}
	waitForEnd()
	return base.Close()
}

// TestKilledWhilePurging kills a process that has purged a note and not closed the base:
// the next one knows that files may still hold it, and clears them.
func TestKilledWhilePurging(t *testing.T) {
	const words = "qvzkwxjyhf"
	dir := t.TempDir()
	base := openBase(t, dir, store.Options{})
	if _, err := base.Add(t.Context(), small(t, "part C1\nnote on C1 \"of "+words+"\"\n")); err != nil {
		t.Fatal(err)
	}
	if err := base.Close(); err != nil {
		t.Fatal(err)
	}
	startChild(t, "purge-"+words, dir).kill()
	if !stands(t, dir, words) {
		t.Fatal("it stands in no file, so nothing is tested")
	}
	base = openBase(t, dir, store.Options{})
	if p, err := base.Purging(); p == nil || err != nil {
		t.Errorf("%+v, %v, want the purge that was cut short", p, err)
	}
	if err := base.Close(); err != nil {
		t.Fatal(err)
	}
	base = openBase(t, dir, store.Options{})
	if err := base.Flatten(); err != nil {
		t.Fatal(err)
	}
	if err := base.Close(); err != nil {
		t.Fatal(err)
	}
	if stands(t, dir, words) {
		t.Error("it still stands in a file")
	}
}

// stands reports whether a text stands in a file of a base.
func stands(t *testing.T, dir, text string) bool {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(dir, "*"))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		if content, err := os.ReadFile(name); err == nil && bytes.Contains(content, []byte(text)) {
			return true
		}
	}
	return false
}
