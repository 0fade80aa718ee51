package cli

import (
	"bytes"
	"strings"
	"testing"
	"testing/synctest"
	"time"
)

// A run is told of after a second, whether it says anything itself or not, and
// nothing is left of that.
func TestProgress(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var out bytes.Buffer
		p := newProgress(&app{Env: Env{Err: &out, ErrTerminal: true}}, "adding")
		time.Sleep(950 * time.Millisecond)
		p.mu.Lock()
		if out.Len() > 0 {
			t.Errorf("before a second it says %q", out.String())
		}
		p.mu.Unlock()
		time.Sleep(time.Second)
		p.bytes(2_500_000)
		time.Sleep(time.Second)
		p.done()
		lines := strings.Split(out.String(), "\r\x1b[K")
		if !strings.Contains(out.String(), "adding, 1 s") || !strings.Contains(out.String(), "reading: 2.5 MB, 2 s") || lines[len(lines)-1] != "" {
			t.Errorf("it says %q", lines)
		}
	})
}

// Where nobody looks, nothing is told.
func TestProgressWithoutTerminal(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var out bytes.Buffer
		p := newProgress(&app{Env: Env{Err: &out}}, "adding")
		time.Sleep(time.Minute)
		p.done()
		if out.Len() > 0 {
			t.Errorf("it says %q", out.String())
		}
	})
}
