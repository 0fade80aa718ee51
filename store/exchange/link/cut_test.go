package link

import (
	"fmt"
	"os"
	"testing"
	"time"

	"github.com/nats-io/nats-server/v2/server"

	"netlore/store"
	"netlore/store/exchange"
)

// TestCuts cuts each connection after a few messages, in the middle of the next, be they
// taken one by one or as many as there are. Reading goes on where it was, and nothing is
// taken twice.
func TestCuts(t *testing.T) {
	t.Parallel()
	const messages, leastCuts = 60, 5
	srv := serve(t, server.Options{JetStream: true, StoreDir: t.TempDir()})
	heron := newBench(t, "Heron")
	for i := range messages {
		heron.says(fmt.Sprintf("part C%d 10uF", i))
	}
	if err := heron.once(srv.ClientURL()); err != nil {
		t.Fatal(err)
	}
	for name, window := range map[string]int{"one by one": 1, "many at once": windowBytes} {
		t.Run(name, func(t *testing.T) {
			n := newNetwork(t, srv.Addr().String(), 20_000)
			wren := newBench(t, "Wren")
			trusts(wren, heron)
			wren.opt.window, wren.opt.Patience = window, 2*time.Second
			wren.start("nats://" + n.address())
			agree(t, messages, heron, wren)
			wren.end()
			taken, known := 0, 0
			for _, e := range wren.events {
				if took, ok := e.(Took); ok {
					taken, known = taken+took.Taken.New, known+took.Taken.Known
				}
			}
			if taken != messages || known != 0 {
				t.Errorf("%d were taken and %d known, want %d and none", taken, known, messages)
			}
			if got := count[Connected](wren, nil); got < leastCuts+1 {
				t.Errorf("it connected %d times, want %d or more", got, leastCuts+1)
			}
			if got := count(wren, func(c Connected) bool { return c.Lost }); got > 0 {
				t.Errorf("the log was taken for another one %d times", got)
			}
		})
	}
}

// TestWiped deletes all that the server has while nobody is linked. The next two
// benches fill the log again, also with what a third has said that is gone for good,
// and with what shops have said about their keys.
func TestWiped(t *testing.T) {
	t.Parallel()
	opt := server.Options{JetStream: true, StoreDir: t.TempDir()}
	srv := serve(t, opt)
	heron, wren, finch := newBench(t, "Heron"), newBench(t, "Wren"), newBench(t, "Finch")
	trusts(heron, wren, finch)
	for _, b := range []*bench{heron, wren, finch} {
		b.says("part C1 10uF", "note on C1 \"odd\" by LABEL")
		if err := b.once(srv.ClientURL()); err != nil {
			t.Fatal(err)
		}
	}
	for _, b := range []*bench{heron, wren} {
		if err := b.once(srv.ClientURL()); err != nil {
			t.Fatal(err)
		}
	}
	agree(t, 6, heron, wren, finch)
	kill(srv)
	if err := os.RemoveAll(opt.StoreDir); err != nil {
		t.Fatal(err)
	}
	srv = serve(t, opt)
	for _, b := range []*bench{wren, heron} {
		if err := b.once(srv.ClientURL()); err != nil {
			t.Fatal(err)
		}
	}
	if n := count(wren, func(c Connected) bool { return c.Lost && c.Made }); n != 1 {
		t.Errorf("wren was told %d times that the log is gone, want once", n)
	}
	if n := count[Sent](heron, nil); n != 1 {
		t.Errorf("heron has sent %d times: what wren has put there already was put there again", n)
	}
	lark := newBench(t, "Lark")
	trusts(lark, heron, wren, finch)
	if err := lark.once(srv.ClientURL()); err != nil {
		t.Fatal(err)
	}
	agree(t, 6, lark, heron, wren, finch)
}

// TestSetBack sets the log back to an older copy of it, on which others go on writing, so
// that it is as long as it was: places mean other messages now.
func TestSetBack(t *testing.T) {
	t.Parallel()
	opt := server.Options{JetStream: true, StoreDir: t.TempDir()}
	srv := serve(t, opt)
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
	heron.says("part C1 10uF")
	once(heron)
	kill(srv)
	old := t.TempDir() + "/old"
	if err := os.CopyFS(old, os.DirFS(opt.StoreDir)); err != nil {
		t.Fatal(err)
	}
	srv = serve(t, opt)
	heron.says("part C2 10uF")
	once(heron)
	kill(srv)
	opt.StoreDir = old
	srv = serve(t, opt)
	wren.says("part C3 10uF")
	once(wren, heron, wren)
	agree(t, 3, heron, wren)
	if n := count(heron, func(c Connected) bool { return c.Lost && !c.Made }); n != 1 {
		t.Errorf("heron was told %d times that the log is another one, want once", n)
	}
}

// TestKeys has a shop say that a bench's key holds no more: others hear of it, and take
// nothing more that it has signed, and after a wipe it is said again.
func TestKeys(t *testing.T) {
	t.Parallel()
	srv := serve(t, server.Options{JetStream: true, StoreDir: t.TempDir()})
	heron, wren := newBench(t, "Heron"), newBench(t, "Wren")
	trusts(heron, wren)
	heron.says("part C1 10uF")
	for _, b := range []*bench{heron, wren} {
		if err := b.once(srv.ClientURL()); err != nil {
			t.Fatal(err)
		}
	}
	word, err := exchange.Revoke(heron.dir, heron.identity.Key, "the notebook is gone", heron.now(), nil)
	if err != nil {
		t.Fatal(err)
	}
	heron.identity.Words = []*exchange.Word{word}
	heron.says("part C2 10uF") // by who has the notebook now
	for _, b := range []*bench{heron, wren} {
		if err := b.once(srv.ClientURL()); err != nil {
			t.Fatal(err)
		}
	}
	gone, err := wren.base.Revocations(t.Context())
	if err != nil || len(gone) != 1 || gone[0].Key != heron.identity.Key {
		t.Errorf("wren knows of %+v, %v", gone, err)
	}
	if got := wren.refusals(); len(got) != 1 || got[0] != "X208" {
		t.Errorf("refused for %v, want X208", got)
	}
	if got := wren.holds(); got[:2] != "1 " {
		t.Errorf("wren holds %s", got)
	}
}

// TestStrangers fills what is kept of shops that nobody knows. What there was no room
// for comes once the shop is known, and no shop that nobody knows is passed on.
func TestStrangers(t *testing.T) {
	if testing.Short() {
		t.Skip("a hundred thousand entries: the run without -short has them")
	}
	t.Parallel()
	opt := server.Options{JetStream: true, StoreDir: t.TempDir()}
	srv := serve(t, opt)
	heron, wren := newBench(t, "Heron"), newBench(t, "Wren")
	const most, more = 100_000, 10 // as X212 says
	parts := make([]string, most+more)
	for i := range parts {
		parts[i] = fmt.Sprintf("part C%d 10uF", i)
	}
	heron.says(parts...)
	for _, b := range []*bench{heron, wren} {
		if err := b.once(srv.ClientURL()); err != nil {
			t.Fatal(err)
		}
	}
	if got := wren.refusals(); len(got) != 1 || got[0] != "X212" {
		t.Errorf("refused for %v, want X212", got)
	}
	if got := wren.holds(); got[:2] != "0 " {
		t.Errorf("of shops that it knows, wren holds %s", got)
	}
	if _, err := wren.base.Trust(t.Context(), heron.identity.Shop, "Heron", store.Listed, exchange.Kinds(), "bench"); err != nil {
		t.Fatal(err)
	}
	if err := wren.once(srv.ClientURL()); err != nil {
		t.Fatal(err)
	}
	agree(t, most+more, heron, wren)
}
