package cli

import (
	"context"
	"errors"
	"os"
	"sync"
	"time"

	"netlore/store"
)

// A held base stays open over a burst of changes, for to open and close it takes
// longer than a change. Who types gets it opened anew each time, and it is closed
// behind his back.
type held struct {
	app *app
	// Trouble, when set, is told at once that the base could not be closed. Else the next
	// change fails with that, before anything is changed, or end tells it.
	trouble func(error)

	mu    sync.Mutex
	base  *store.Base
	since time.Time // when it was opened
	until time.Time // when the turn of others ends
	idle  *time.Timer
	err   error // of closing it
}

const (
	// idleAfter is how long nothing has to come in until others get the base.
	idleAfter = 100 * time.Millisecond
	// heldAtMost is after how long others get it in between. It is shorter than
	// commands wait unless told otherwise.
	heldAtMost = time.Second
	// turnOf is how long they then get: longer than the pauses in which who waits
	// tries again.
	turnOf = 250 * time.Millisecond
)

// change makes a change to a base that is there.
func (h *held) change(ctx context.Context, do func(*store.Base) error) error {
	dir, err := h.app.where()
	if err != nil {
		return err
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if err := h.open(ctx, dir); err != nil {
		return err
	}
	h.idle.Stop()
	if err = do(h.base); store.IsBaseError(err) {
		err = baseError(dir, err)
	}
	if time.Since(h.since) < heldAtMost {
		h.idle.Reset(idleAfter)
		return err
	}
	h.close()
	h.until = time.Now().Add(turnOf)
	return err
}

// open opens the base unless it is open.
func (h *held) open(ctx context.Context, dir string) error {
	if err := h.told(); err != nil || h.base != nil {
		return err
	}
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-time.After(time.Until(h.until)):
	}
	if _, err := os.Stat(dir); err != nil {
		return baseError(dir, store.ErrNoBase)
	}
	base, err := h.app.openBase(ctx, dir, false)
	if err != nil {
		return err
	}
	h.base, h.since = base, time.Now()
	h.idle = time.AfterFunc(idleAfter, h.letGo)
	return nil
}

func (h *held) letGo() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.close()
}

func (h *held) close() {
	if h.base != nil {
		h.idle.Stop()
		h.closed(h.base.Close())
		h.base = nil
	}
}

// closed is told how closing the base went.
func (h *held) closed(err error) {
	if err == nil {
		return
	}
	if dir, where := h.app.where(); where == nil {
		err = baseError(dir, err)
	}
	if h.trouble != nil {
		h.trouble(err)
		return
	}
	h.err = errors.Join(h.err, err)
}

// told takes over what went wrong, to tell it.
func (h *held) told() error {
	err := h.err
	h.err = nil
	return err
}

// end lets go of the base for good, and tells what went wrong when it was closed and
// was not told yet.
func (h *held) end() error {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.close()
	return h.told()
}
