package cli

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"strings"
	"testing"
	"time"

	"netlore/store"
)

// TestHeldTrouble has closing the base go wrong: whoever listens is told at once, and once;
// else the next change fails with it, before anything is changed.
func TestHeldTrouble(t *testing.T) {
	benchWithBase(t)
	broken := errors.New("the disk is gone")
	a := &app{Env: Env{Now: time.Now, Getenv: os.Getenv}, baseDir: "base"}
	var told []error
	h := held{app: a, trouble: func(err error) { told = append(told, err) }}
	h.closed(nil)
	if len(told) > 0 {
		t.Errorf("%v was told of what went well", told)
	}
	h.closed(broken)
	if err := h.end(); len(told) != 1 || !errors.Is(told[0], broken) || err != nil {
		t.Errorf("told %v, and in the end %v", told, err)
	}

	h = held{app: a}
	changes := 0
	change := func() error {
		return h.change(t.Context(), func(*store.Base) error {
			changes++
			return nil
		})
	}
	h.closed(broken)
	if err := change(); !errors.Is(err, broken) || changes > 0 {
		t.Errorf("the next change ends with %v, after %d", err, changes)
	}
	if err := errors.Join(change(), h.end()); err != nil || changes != 1 {
		t.Errorf("the one after that ends with %v, after %d", err, changes)
	}
}

// TestLinkTrouble tells an error of closing the base when it comes up, between other lines.
func TestLinkTrouble(t *testing.T) {
	var complaints bytes.Buffer
	l := linking{app: &app{Env: Env{Out: io.Discard, Err: &complaints}}}
	l.begin()
	l.trouble(errors.New("the disk is gone"))
	if got := complaints.String(); got != "netlore: the disk is gone\n" {
		t.Errorf("told %q", got)
	}
	if err := l.end(context.Canceled); exitCode(err) != exitInterrupted || strings.Count(complaints.String(), "gone") != 1 {
		t.Errorf("%v, %s", err, &complaints)
	}
}
