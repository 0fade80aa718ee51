package store_test

import (
	"context"
	"fmt"
	"sync"
	"testing"

	"netlore/store"
)

// TestKilledInMidImport kills a process with SIGKILL at many points of a large
// import. Whatever the point, readers see the base as it was, the next writer
// finds nothing half-added, and the import done again gives what an undisturbed
// one gives.
func TestKilledInMidImport(t *testing.T) {
	want := undisturbed(t)
	points := []int{1, 3, largeParts / 2, largeParts + 1, largeParts + 2, largeParts + 3}
	if testing.Short() {
		points = points[len(points)-1:] // all is written but what makes it count
	}
	for _, looks := range points {
		t.Run(fmt.Sprint(looks), func(t *testing.T) {
			dir := t.TempDir()
			filled(t, dir)
			before := hashOf(t, dir, true)
			startChild(t, fmt.Sprint("import-", looks), dir).kill()
			if got := hashOf(t, dir, true); got != before {
				t.Errorf("a reader sees %s, want %s", got, before)
			}
			if got := hashOf(t, dir, false); got != before {
				t.Errorf("a writer sees %s, want %s", got, before)
			}
			nothingLeft(t, dir)
			if got := importAgain(t, dir); got != want {
				t.Errorf("imported again it is %s, want %s", got, want)
			}
		})
	}
}

// undisturbed is the hash after the same import without a crash, into the twin
// in memory.
func undisturbed(t *testing.T) string {
	t.Helper()
	undisturbedOnce.Do(func() {
		base := store.OpenMemory(nil)
		for _, a := range []store.Addition{small(t, plainPart), largeAddition()} {
			results, err := base.Add(context.Background(), a)
			if err != nil {
				t.Fatal(err)
			}
			undisturbedHash = results[0].Hash
		}
	})
	return undisturbedHash
}

var (
	undisturbedOnce sync.Once
	undisturbedHash string
)

func importAgain(t *testing.T, dir string) string {
	t.Helper()
	base := openBase(t, dir, store.Options{})
	results, err := base.Add(context.Background(), largeAddition())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := base.Verify(context.Background(), nil); err != nil {
		t.Error(err)
	}
	if err := base.Close(); err != nil {
		t.Error(err)
	}
	return results[0].Hash
}

func hashOf(t *testing.T, dir string, readOnly bool) string {
	t.Helper()
	base := openBase(t, dir, store.Options{ReadOnly: readOnly})
	hash, err := base.Hash(plover)
	if err != nil {
		t.Fatal(err)
	}
	if err := base.Close(); err != nil {
		t.Error(err)
	}
	return hash
}

// nothingLeft counts entries: those of the unfinished addition must be gone.
func nothingLeft(t *testing.T, dir string) {
	t.Helper()
	base := openBase(t, dir, store.Options{ReadOnly: true})
	got, err := base.Verify(context.Background(), nil)
	if err != nil || got != (store.Check{Entries: 2, Subjects: 1}) {
		t.Errorf("the base holds %+v, %v; want 2 entries on 1 subject", got, err)
	}
	if err := base.Close(); err != nil {
		t.Error(err)
	}
}

// TestWhatWasAddedOutlivesACrash kills a process that has added and not
// closed: it was told that all is on disk.
func TestWhatWasAddedOutlivesACrash(t *testing.T) {
	want := undisturbed(t)
	dir := t.TempDir()
	filled(t, dir)
	startChild(t, "import--1", dir).kill()
	if got := hashOf(t, dir, true); got != want {
		t.Errorf("after the crash it is %s, want %s", got, want)
	}
	if got := hashOf(t, dir, false); got != want {
		t.Errorf("after opening again it is %s, want %s", got, want)
	}
}
