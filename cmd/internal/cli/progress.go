package cli

import (
	"fmt"
	"time"
)

// progress tells a person at a terminal how far a long run is, from one second
// on. It writes to the error stream and leaves nothing behind.
type progress struct {
	app    *app
	what   string
	start  time.Time
	last   time.Time
	onLine bool
}

func newProgress(a *app, what string) *progress {
	return &progress{app: a, what: what, start: time.Now()}
}

func (p *progress) bytes(n int64) {
	p.show(func() string { return fmt.Sprintf("%s: %.1f MB", p.what, float64(n)/1e6) })
}

func (p *progress) show(text func() string) {
	now := time.Now()
	if !p.app.ErrTerminal || now.Sub(p.start) < time.Second || now.Sub(p.last) < 100*time.Millisecond {
		return
	}
	p.last, p.onLine = now, true
	fmt.Fprintf(p.app.Err, "\r\x1b[K%s", text())
}

func (p *progress) done() {
	if p.onLine {
		fmt.Fprint(p.app.Err, "\r\x1b[K")
	}
}
