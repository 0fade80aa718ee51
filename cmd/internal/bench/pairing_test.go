package bench

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"sync"
	"testing"
	"time"
)

// clock is a clock that stands still until it is set.
type clock struct{ at time.Time }

func (c *clock) now() time.Time { return c.at }

func newPairing() (*pairing, *clock) {
	c := &clock{time.Date(2026, 3, 16, 9, 0, 0, 0, time.UTC)}
	return &pairing{now: c.now, tries: map[string]tries{}}, c
}

// other is a code that is not this one.
func other(digits string) string {
	return strings.Map(func(r rune) rune { return '0' + (r-'0'+1)%10 }, digits)
}

func TestCodeCountsOnce(t *testing.T) {
	p, _ := newPairing()
	if _, err := p.take("a", "00000000"); !errors.Is(err, errWrongCode) {
		t.Errorf("a code is taken where none was made: %v", err)
	}
	c := p.fresh(true)
	taken, err := p.take("a", " "+c.Spaced()+"-")
	if err != nil || !taken.guest {
		t.Errorf("%v, %v", taken, err)
	}
	if _, err := p.take("a", c.digits); err == nil {
		t.Error("a code is taken twice")
	}
	p.giveBack(taken)
	if _, err := p.take("a", c.digits); err != nil {
		t.Errorf("a code that let nobody in counts no more: %v", err)
	}
	old := p.fresh(false)
	young := p.fresh(false)
	p.giveBack(old)
	if _, err := p.take("a", old.digits); err == nil {
		t.Error("a code is taken though there is a newer one")
	}
	if _, err := p.take("a", young.digits); err != nil {
		t.Errorf("the newer one: %v", err)
	}
}

func TestCodeRunsOut(t *testing.T) {
	p, clock := newPairing()
	c := p.fresh(false)
	clock.at = clock.at.Add(codeLasts - time.Second)
	if p.counts() == nil {
		t.Error("it has run out too early")
	}
	clock.at = clock.at.Add(time.Second)
	if p.counts() != nil {
		t.Error("it has not run out")
	}
	if _, err := p.take("a", c.digits); err == nil {
		t.Error("a code is taken that has run out")
	}
}

// Whoever guesses from one address is stopped before the code is: he cannot keep
// others from being let in. Whoever guesses from many ends the code.
func TestGuessing(t *testing.T) {
	p, clock := newPairing()
	c := p.fresh(false)
	for i := range 50 {
		if _, err := p.take("a", other(c.digits)); (err == errTooOften) != (i >= mostTries) {
			t.Fatalf("try %d: %v", i+1, err)
		}
	}
	if _, err := p.take("a", c.digits); err != errTooOften {
		t.Errorf("the right code after that: %v", err)
	}
	if _, err := p.take("a", p.fresh(false).digits); err != errTooOften {
		t.Errorf("a new code helps who has to wait: %v", err)
	}
	if _, err := p.take("b", p.counts().digits); err != nil {
		t.Errorf("another address: %v", err)
	}
	clock.at = clock.at.Add(triesLast)
	if _, err := p.take("a", p.fresh(false).digits); err != nil {
		t.Errorf("after waiting: %v", err)
	}

	c = p.fresh(false)
	for i := range mostWrong {
		if _, err := p.take(fmt.Sprint("from ", i), other(c.digits)); err != errWrongCode {
			t.Errorf("try %d: %v", i+1, err)
		}
	}
	if _, err := p.take("new", c.digits); err == nil || p.counts() != nil {
		t.Error("the code counts after so many wrong tries")
	}
}

// Many at once get no more tries, and many addresses no more room.
func TestGuessingAtOnce(t *testing.T) {
	p, _ := newPairing()
	c := p.fresh(false)
	var all sync.WaitGroup
	var mu sync.Mutex
	counted := 0
	for i := range 200 {
		all.Go(func() {
			if _, err := p.take(fmt.Sprint(i), other(c.digits)); err == errWrongCode {
				mu.Lock()
				counted++
				mu.Unlock()
			}
		})
	}
	all.Wait()
	if counted != mostWrong || p.counts() != nil {
		t.Errorf("%d tries were looked at", counted)
	}
	for i := range 3 * mostTriers {
		_, _ = p.take(fmt.Sprint("x", i), other(p.fresh(false).digits))
	}
	if len(p.tries) > mostTriers {
		t.Errorf("%d addresses are kept", len(p.tries))
	}
}

func TestPlaceOf(t *testing.T) {
	for addr, want := range map[string]string{
		"192.168.1.20:50000": "192.168.1.20", "[::ffff:192.168.1.20]:1": "192.168.1.20",
		"[fd00:0:0:1:aaaa::1]:1": "fd00::1:aaaa:0:0:1", "[fe80::1%eth0]:3": "fe80::1%eth0", "pipe": "pipe",
	} {
		if got := placeOf(addr); got != want {
			t.Errorf("%s: %s", addr, got)
		}
	}
}

// A device that is let in once more takes its own place, also where all are taken.
func TestDeviceAgain(t *testing.T) {
	write := func(path string, content []byte) error { return os.WriteFile(path, content, 0o600) }
	d := NewDevices(Keep{t.TempDir(), time.Now, write})
	first, _, err := d.letIn("", "tablet", false)
	for range mostDevices - 1 {
		if err == nil {
			_, _, err = d.letIn("", "", true)
		}
	}
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := d.letIn("", "another", false); err != errTooMany {
		t.Errorf("one too many: %v", err)
	}
	if again, _, err := d.letIn(first.id, "tablet", false); err != nil || again.Name != "tablet" {
		t.Errorf("the tablet once more: %q, %v", again.Name, err)
	}
}

func TestDeviceNames(t *testing.T) {
	long := strings.Repeat("ü", 100)
	for _, c := range []struct{ typed, want string }{
		{"", "tablet"}, {"  at the  microscope ", "at the microscope"}, {long, long[:2*mostDeviceName]}, {"a\x1b[31m\nb\xff", "a·[31m·b"},
	} {
		if got := named(c.typed, false); got != c.want {
			t.Errorf("%q: %q", c.typed, got)
		}
	}
	if got := ownName("tablet", []Device{{Name: "tablet"}, {Name: "tablet 2"}}); got != "tablet 3" {
		t.Error(got)
	}
}
