package cli

import (
	"fmt"
	"sync"
	"time"
)

// progress tells a person at a terminal how far a long run is, from one second
// on and whether the run tells anything itself or not. It writes to the error
// stream and leaves nothing behind; until done, nobody else may write there.
type progress struct {
	app   *app
	start time.Time

	mu     sync.Mutex
	text   string
	onLine bool

	stop, stopped chan struct{}
}

// newProgress begins to tell of a run. Somebody must call done.
func newProgress(a *app, what string) *progress {
	p := &progress{app: a, start: time.Now(), text: what, stop: make(chan struct{}), stopped: make(chan struct{})}
	if a.ErrTerminal {
		go p.run()
	} else {
		close(p.stopped)
	}
	return p
}

// bytes says how much has been read.
func (p *progress) bytes(n int64) { p.show("reading: %.1f MB", float64(n)/1e6) }

// show changes what is told.
func (p *progress) show(format string, args ...any) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.text = fmt.Sprintf(format, args...)
}

// run repaints the line until the end.
func (p *progress) run() {
	defer close(p.stopped)
	tick := time.NewTicker(100 * time.Millisecond)
	defer tick.Stop()
	for {
		select {
		case <-p.stop:
			return
		case now := <-tick.C:
			if spent := now.Sub(p.start); spent >= time.Second {
				p.paint(spent)
			}
		}
	}
}

func (p *progress) paint(spent time.Duration) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.onLine = true
	fmt.Fprintf(p.app.Err, "\r\x1b[K%s, %d s", p.text, int(spent.Seconds()))
}

// done ends the telling and clears the line.
func (p *progress) done() {
	close(p.stop)
	<-p.stopped
	if p.onLine {
		fmt.Fprint(p.app.Err, "\r\x1b[K")
	}
}
