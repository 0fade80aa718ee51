package link

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"netlore/store"
	"netlore/store/board"
	"netlore/store/exchange"
	"netlore/store/exchange/exchangetest"
)

var (
	noon        = time.Date(2026, 3, 16, 12, 0, 0, 0, time.UTC)
	wrenSubject = store.BoardSubject(board.Ref{Name: "Wren", Revision: "1"})
)

// bench is a bench of a shop of its own, with a base in memory.
type bench struct {
	t        testing.TB
	identity *exchange.Identity
	dir      string
	base     *store.Base
	opt      Options
	ahead    atomic.Int64 // nanoseconds by which its clock is ahead
	kinds    []exchange.Kind
	licence  string
	program  string

	mu     sync.Mutex // of what follows, and held while the base is open
	events []any
	stop   context.CancelFunc
	ended  chan error
}

func newBench(t testing.TB, shop string) *bench {
	t.Helper()
	b := &bench{t: t, kinds: exchange.Kinds(), licence: "CC0-1.0", opt: Options{Log: DefaultLog, Every: time.Minute, Patience: time.Minute}}
	b.identity, b.dir = exchangetest.Shop(t, shop)
	b.base = store.OpenMemory(b.now)
	return b
}

// now is what the clock of the bench shows.
func (b *bench) now() time.Time { return noon.Add(time.Duration(b.ahead.Load())) }

// says signs statements on Wren. LABEL stands for who says them.
func (b *bench) says(statements ...string) []*exchange.Batch {
	b.t.Helper()
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.keeps(exchangetest.Blocks(b.identity, statements...), nil)
}

// keeps signs blocks and keeps them as made here.
func (b *bench) keeps(blocks []string, retracts []exchange.ID) []*exchange.Batch {
	b.t.Helper()
	batches, err := b.identity.Batches(exchange.About{Of: wrenSubject.String(), Licence: b.licence}, blocks, retracts, b.now())
	if err == nil {
		err = b.base.KeepMade(b.t.Context(), batches, "bench", "link")
	}
	if err != nil {
		b.t.Fatal(err)
	}
	return batches
}

// withdraws takes back what the bench has signed and that begins so.
func (b *bench) withdraws(beginning string) {
	b.t.Helper()
	b.mu.Lock()
	defer b.mu.Unlock()
	made, err := b.base.Made(b.t.Context(), wrenSubject, store.Ours{})
	if err != nil {
		b.t.Fatal(err)
	}
	var ids []exchange.ID
	for _, m := range made {
		if strings.HasPrefix(m.Text, beginning) {
			ids = append(ids, m.ID)
		}
	}
	b.keeps(nil, ids)
}

// trusts makes benches trust each other.
func trusts(all ...*bench) {
	for _, b := range all {
		for _, other := range all {
			if b == other {
				continue
			}
			b.mu.Lock()
			_, err := b.base.Trust(b.t.Context(), other.identity.Shop, other.identity.Name, store.Trusted, exchange.Kinds(), "bench")
			b.mu.Unlock()
			if err != nil {
				b.t.Fatal(err)
			}
		}
	}
}

// link is the bench as it is linked.
func (b *bench) link() Bench {
	return Bench{Author: "bench", Program: b.program, Now: b.now, Tell: func(event any) {
		if took, ok := event.(Took); ok { // the base is open: mu is held
			b.events = append(b.events, took)
			return
		}
		b.mu.Lock()
		defer b.mu.Unlock()
		b.events = append(b.events, event)
	}, Change: func(_ context.Context, do func(*store.Base) error) error {
		b.mu.Lock()
		defer b.mu.Unlock()
		return do(b.base)
	}, Offer: Offer{Keys: b.identity.Keys(), Words: b.identity.Words, Licence: b.licence, Kinds: b.kinds}}
}

// once links the bench until both sides have all.
func (b *bench) once(url string) error { return b.onceWith(url, Credentials{}) }

func (b *bench) onceWith(url string, with Credentials) error {
	b.t.Helper()
	server, err := ParseServer(url, with)
	if err != nil {
		b.t.Fatal(err)
	}
	opt := b.opt
	opt.Once = true
	ctx, stop := context.WithTimeout(b.t.Context(), longest)
	defer stop()
	return Run(ctx, server, b.link(), opt)
}

// start links the bench until it is ended.
func (b *bench) start(url string) {
	b.t.Helper()
	server, err := ParseServer(url, Credentials{})
	if err != nil {
		b.t.Fatal(err)
	}
	ctx, stop := context.WithCancel(b.t.Context())
	b.stop, b.ended = stop, make(chan error, 1)
	go func() { b.ended <- Run(ctx, server, b.link(), b.opt) }()
	b.t.Cleanup(b.end)
}

// end ends a link that was started.
func (b *bench) end() {
	if b.stop == nil {
		return
	}
	b.stop()
	b.stop = nil
	<-b.ended
}

// holds is what the bench holds of what was on the log, as a hash and a number.
func (b *bench) holds() string {
	b.t.Helper()
	b.mu.Lock()
	defer b.mu.Unlock()
	sum, n, err := b.base.LinkSum(b.t.Context(), b.opt.Log)
	if err != nil {
		b.t.Fatal(err)
	}
	return fmt.Sprintf("%d entries, %.8s", n, sum)
}

// count is how many events of a sort the bench was told.
func count[E any](b *bench, fits func(E) bool) (n int) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, e := range b.events {
		if one, ok := e.(E); ok && (fits == nil || fits(one)) {
			n++
		}
	}
	return n
}

// refusals are the codes of what a bench did not take.
func (b *bench) refusals() (codes []string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, e := range b.events {
		if took, ok := e.(Took); ok {
			for _, why := range took.Taken.Refused {
				codes = append(codes, CodeOf(why))
			}
		}
	}
	slices.Sort(codes)
	return slices.Compact(codes)
}

// longest is how long anything may take that must come, on a machine that is slow and busy,
// under the race detector. No test is decided by it that goes well.
const longest = 5 * time.Minute

// until waits for something that must come.
func until(t testing.TB, what string, holds func() bool) {
	t.Helper()
	for end := time.Now().Add(longest); !holds(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("waited in vain for %s", what)
		}
	}
}

// agree waits until benches hold the same, so many entries.
func agree(t testing.TB, entries int, all ...*bench) {
	t.Helper()
	var said []string
	want := fmt.Sprintf("%d entries", entries)
	defer func() {
		if t.Failed() {
			t.Logf("they hold %q", said)
		}
	}()
	until(t, "benches to hold the same "+want, func() bool {
		said = nil
		for _, b := range all {
			said = append(said, b.holds())
		}
		return strings.HasPrefix(said[0], want+",") && len(slices.Compact(slices.Clone(said))) == 1
	})
}
