package link

import (
	"strings"
	"testing"
	"time"

	"github.com/nats-io/nats-server/v2/server"

	"netlore/store"
	"netlore/store/exchange"
)

// TestTakenBack takes back what came from the log. A link that goes on leaves it alone;
// one that is begun anew takes it again, and only that.
func TestTakenBack(t *testing.T) {
	t.Parallel()
	srv := serve(t, server.Options{JetStream: true, StoreDir: t.TempDir()})
	heron, wren := newBench(t, "Heron"), newBench(t, "Wren")
	trusts(heron, wren)
	once := func(all ...*bench) {
		t.Helper()
		for _, b := range all {
			if err := b.once(srv.ClientURL()); err != nil {
				t.Fatal(err)
			}
		}
	}
	heron.says("part C1 10uF", "part C2 1uF")
	once(heron, wren)
	agree(t, 2, heron, wren)
	first, err := wren.base.Link(DefaultLog)
	if err != nil {
		t.Fatal(err)
	}
	wren.ahead.Store(int64(24 * time.Hour)) // what comes now is under another receipt
	heron.says("part C3 1nF")
	once(heron, wren)
	agree(t, 3, heron, wren)

	wren.opt.Every = 20 * time.Millisecond
	wren.start(srv.ClientURL())
	looked := func() int { return count[UpToDate](wren, nil) }
	until(t, "a look", func() bool { return looked() > 3 })
	wren.mu.Lock()
	_, _, err = wren.base.UndoTake(t.Context(), first.Receipt, "bench")
	wren.mu.Unlock()
	if err != nil {
		t.Fatal(err)
	}
	heron.says("part C4 1nF")
	once(heron)
	until(t, "what is new", func() bool { return strings.HasPrefix(wren.holds(), "2 entries,") })
	for more := looked() + 3; looked() < more; {
		until(t, "some looks", func() bool { return looked() >= more })
	}
	if got := wren.holds(); !strings.HasPrefix(got, "2 entries,") {
		t.Errorf("what was taken back came again at once: %s", got)
	}
	wren.end()
	wren.events = nil
	once(wren)
	agree(t, 4, heron, wren)
	if n := count(wren, func(e Took) bool { return e.Taken.New != 2 || e.Taken.Known > 0 }); n > 0 || len(wren.events) == 0 {
		t.Errorf("more was taken than what was taken back: %+v", wren.events)
	}
	before := count[Took](wren, nil)
	once(wren)
	if after := count[Took](wren, nil); after != before {
		t.Error("it was taken twice")
	}
}

// TestLetInAgain purges what came from the log, and lets it in again.
func TestLetInAgain(t *testing.T) {
	t.Parallel()
	srv := serve(t, server.Options{JetStream: true, StoreDir: t.TempDir()})
	heron, wren := newBench(t, "Heron"), newBench(t, "Wren")
	trusts(heron, wren)
	heron.says("part C1 10uF", "note on VMAIN \"wrong\" by LABEL")
	heron.says("part C2 10uF")
	once := func() {
		t.Helper()
		for _, b := range []*bench{heron, wren} {
			if err := b.once(srv.ClientURL()); err != nil {
				t.Fatal(err)
			}
		}
	}
	once()
	agree(t, 3, heron, wren)
	wrong, err := wren.base.Find(t.Context(), func(f *store.Found) bool { return f.Shop.Known() && strings.Contains(f.Text, "wrong") })
	if err != nil || len(wrong) != 1 {
		t.Fatalf("%+v, %v", wrong, err)
	}
	if err := wren.base.Purge(t.Context(), wrong, "bench"); err != nil {
		t.Fatal(err)
	}
	once()
	if got := wren.holds(); !strings.HasPrefix(got, "2 entries,") {
		t.Errorf("what was purged came again: %s", got)
	}
	if _, err := wren.base.Unshun(t.Context(), exchange.ID(wrong[0].ID), "bench"); err != nil {
		t.Fatal(err)
	}
	once()
	agree(t, 3, heron, wren)
}
