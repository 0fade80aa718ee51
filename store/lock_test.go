package store_test

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"strings"
	"testing"
	"time"

	"netlore/store"
)

// plainPart is what a base holds before something is done to it.
const plainPart = "part U1 transceiver\n"

// filled makes a base with one small board and closes it.
func filled(t testing.TB, dir string) {
	t.Helper()
	base := openBase(t, dir, store.Options{})
	if _, err := base.Add(context.Background(), small(t, plainPart)); err != nil {
		t.Fatal(err)
	}
	if err := base.Close(); err != nil {
		t.Fatal(err)
	}
}

func TestSecondProcessIsToldWhoHoldsTheBase(t *testing.T) {
	for _, readOnly := range []bool{false, true} {
		dir := t.TempDir()
		filled(t, dir)
		other := startChild(t, "write", dir)
		_, err := store.Open(context.Background(), dir, store.Options{ReadOnly: readOnly, Wait: 30 * time.Millisecond})
		var locked *store.LockedError
		if !errors.As(err, &locked) {
			t.Fatalf("got %v, want a *LockedError", err)
		}
		if locked.Dir != dir || locked.PID != other.pid() {
			t.Errorf("got %+v, want %s and %d", locked, dir, other.pid())
		}
		if ago := time.Since(locked.Since); ago < -time.Second || ago > time.Minute {
			t.Errorf("it is held since %s", locked.Since)
		}
		plain(t, err, dir, "in use by process", "since")
		other.end(t)
		if err := openBase(t, dir, store.Options{ReadOnly: readOnly}).Close(); err != nil {
			t.Errorf("after the other process ended: %v", err)
		}
	}
}

// TestWriterIsToldOfAReader is told the number of a process that only reads,
// where the system tells it.
func TestWriterIsToldOfAReader(t *testing.T) {
	dir := t.TempDir()
	filled(t, dir)
	other := startChild(t, "read", dir)
	_, err := store.Open(context.Background(), dir, store.Options{})
	var locked *store.LockedError
	if !errors.As(err, &locked) {
		t.Fatalf("got %v, want a *LockedError", err)
	}
	if locked.PID == 0 && runtime.GOOS != "linux" {
		t.Skip("this system does not tell who holds a lock; not tested")
	}
	plain(t, err, dir, fmt.Sprintf("in use by process %d", other.pid()))
	other.end(t)
}

// plain holds a message to the house rules: it has what is wanted and nothing
// of the libraries below.
func plain(t *testing.T, err error, want ...string) {
	t.Helper()
	for _, w := range want {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("%q is missing in %q", w, err)
		}
	}
	for _, raw := range []string{"badger", "flock", "LOCK", "MANIFEST", "resource temporarily", "Cannot", "manifest"} {
		if strings.Contains(err.Error(), raw) {
			t.Errorf("%q speaks of %q", err, raw)
		}
	}
}

func TestManyProcessesMayRead(t *testing.T) {
	dir := t.TempDir()
	filled(t, dir)
	startChild(t, "read", dir)
	startChild(t, "read", dir)
	base := openBase(t, dir, store.Options{ReadOnly: true})
	if _, err := base.Board(context.Background(), plover.Ref); err != nil {
		t.Error(err)
	}
	if err := base.Close(); err != nil {
		t.Error(err)
	}
}

func TestReadersKeepAWriterOut(t *testing.T) {
	dir := t.TempDir()
	filled(t, dir)
	startChild(t, "read", dir)
	_, err := store.Open(context.Background(), dir, store.Options{})
	var locked *store.LockedError
	if !errors.As(err, &locked) {
		t.Fatalf("got %v, want a *LockedError", err)
	}
	plain(t, err, dir, "in use by")
}

func TestOpenWaits(t *testing.T) {
	dir := t.TempDir()
	filled(t, dir)
	other := startChild(t, "write", dir)
	other.endLater(100 * time.Millisecond)
	told := 0
	base := openBase(t, dir, store.Options{Wait: 20 * time.Second, Waiting: func(e *store.LockedError) {
		if told++; e.PID != other.pid() {
			t.Errorf("waiting for %d, want %d", e.PID, other.pid())
		}
	}})
	if told != 1 {
		t.Errorf("told %d times that it waits, want once", told)
	}
	if err := base.Close(); err != nil {
		t.Error(err)
	}
}

func TestWaitingEndsWithItsContext(t *testing.T) {
	dir := t.TempDir()
	filled(t, dir)
	startChild(t, "write", dir)
	ctx, cancel := context.WithTimeout(context.Background(), 50*time.Millisecond)
	defer cancel()
	if _, err := store.Open(ctx, dir, store.Options{Wait: time.Hour}); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("got %v, want the end of the context", err)
	}
}

// TestDeadHolderHoldsNothing kills the process that holds a base: the next one
// opens it at once.
func TestDeadHolderHoldsNothing(t *testing.T) {
	for _, readOnly := range []bool{true, false} {
		dir := t.TempDir()
		filled(t, dir)
		startChild(t, "write", dir).kill()
		base := openBase(t, dir, store.Options{ReadOnly: readOnly})
		if _, err := base.Board(context.Background(), plover.Ref); err != nil {
			t.Error(err)
		}
		if err := base.Close(); err != nil {
			t.Error(err)
		}
	}
}
