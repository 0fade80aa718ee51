package bench

import (
	"context"
	"fmt"
	"net/http"
	"sync"
	"time"
)

// watch looks at the base while somebody wants to know, and tells when it has
// changed.
type watch struct {
	stamp func() (uint64, error)

	mu     sync.Mutex
	seen   uint64
	told   map[chan struct{}]bool
	closed bool
}

const (
	lookEvery = 300 * time.Millisecond
	// beatEvery is how often a quiet stream says that it is there, so that the server
	// finds out who has gone or was sent away, and live.js from silence that nothing
	// comes through any more: the line alone does not tell.
	beatEvery = 15 * time.Second
	here      = "event: here\ndata:\n\n"
)

// noWaiting is the end of who does not wait.
var noWaiting = func() chan struct{} { c := make(chan struct{}); close(c); return c }()

// run looks until the context ends.
func (w *watch) run(ctx context.Context) {
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			w.look()
		}
	}
}

// look tells everybody if the base has changed since the last look.
func (w *watch) look() {
	w.mu.Lock()
	defer w.mu.Unlock()
	if len(w.told) == 0 {
		return
	}
	now, err := w.stamp()
	if err != nil || now == w.seen {
		return
	}
	w.seen = now
	for c := range w.told {
		select {
		case c <- struct{}{}:
		default: // it has not heard of the change before yet
		}
	}
}

// join is told of changes from now on; the channel is closed at the end.
func (w *watch) join() (c chan struct{}, leave func()) {
	c = make(chan struct{}, 1)
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.closed {
		close(c)
		return c, func() {}
	}
	if len(w.told) == 0 {
		w.told = map[chan struct{}]bool{}
		w.seen, _ = w.stamp() // it is looked at again soon
	}
	w.told[c] = true
	return c, func() {
		w.mu.Lock()
		defer w.mu.Unlock()
		delete(w.told, c)
	}
}

// close ends all streams.
func (w *watch) close() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.closed = true
	for c := range w.told {
		delete(w.told, c)
		close(c)
	}
}

// live is a stream of server-sent events: one for each change of the base.
func (s *Server) live(w http.ResponseWriter, r *http.Request) {
	v := visitorOf(r)
	if !s.listening.join(v.device) {
		http.Error(w, "too many pages are open on this device", http.StatusServiceUnavailable)
		return
	}
	defer s.listening.leave(v.device)
	leave, ok := s.streams.enter(v, noWaiting)
	if !ok {
		http.Error(w, "too many pages are open", http.StatusServiceUnavailable)
		return
	}
	defer leave()
	changed, forget := s.watch.join()
	defer forget()
	w.Header().Set("Content-Type", "text/event-stream")
	beat := time.NewTicker(beatEvery)
	defer beat.Stop()
	out := http.NewResponseController(w)
	for event := here; ; {
		if out.SetWriteDeadline(time.Now().Add(2*beatEvery)) != nil {
			return
		}
		if _, err := fmt.Fprint(w, event); err != nil || out.Flush() != nil {
			return
		}
		select {
		case _, open := <-changed:
			if !open {
				return
			}
			event = "event: changed\ndata:\n\n"
		case <-beat.C:
			event = here
		case <-r.Context().Done():
			return
		}
		if v.gate.visitor(r).may < toLook {
			return // who has been sent away hears nothing more
		}
	}
}

// crowd counts the streams of each device of the network.
type crowd struct {
	mu sync.Mutex
	of map[string]int
}

func (c *crowd) join(device string) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	if device == "" {
		return true
	}
	if c.of == nil {
		c.of = map[string]int{}
	}
	if c.of[device] >= mostStreamsEach {
		return false
	}
	c.of[device]++
	return true
}

func (c *crowd) leave(device string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if device == "" {
		return
	}
	if c.of[device]--; c.of[device] == 0 {
		delete(c.of, device)
	}
}
