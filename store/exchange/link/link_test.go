package link

import (
	"io"
	"maps"
	"strings"
	"testing"

	"github.com/nats-io/nats-server/v2/server"

	"netlore/store"
	"netlore/store/exchange"
)

// TestTwoBenches has two benches of two shops over one server: what one says, the
// other has, once, and what is withdrawn is withdrawn there, too.
func TestTwoBenches(t *testing.T) {
	s := serve(t, server.Options{JetStream: true, StoreDir: t.TempDir()})
	heron, wren := newBench(t, "Heron Repair"), newBench(t, "Wren Works")
	trusts(heron, wren)
	heron.says("part C1 10uF", "part C2 1uF", "expect diode VMAIN 0.412V ±8% by LABEL")
	wren.says("note on VMAIN \"often shorted\" by LABEL")
	for _, b := range []*bench{heron, wren, heron} {
		if err := b.once(s.ClientURL()); err != nil {
			t.Fatal(err)
		}
	}
	agree(t, 4, heron, wren)
	heron.withdraws("part C2")
	for _, b := range []*bench{heron, wren} {
		if err := b.once(s.ClientURL()); err != nil {
			t.Fatal(err)
		}
	}
	agree(t, 3, heron, wren)
	if n := count(heron, func(Sent) bool { return true }); n != 2 {
		t.Errorf("heron has sent %d times, want 2: %v", n, heron.events)
	}
	state, err := wren.base.Link(DefaultLog)
	if err != nil || state.Last != 3 || state.Round != 1 {
		t.Errorf("%+v, %v", state, err)
	}
}

// handed takes batches from a pack.
func (b *bench) handed(batches []*exchange.Batch) {
	b.t.Helper()
	next := func() (exchange.Item, error) {
		if len(batches) == 0 {
			return exchange.Item{}, io.EOF
		}
		first := batches[0]
		batches = batches[1:]
		return exchange.Item{Batch: first}, nil
	}
	if _, err := b.base.Take(b.t.Context(), next, store.Taking{From: "a pack", Author: "bench"}); err != nil {
		b.t.Fatal(err)
	}
}

// TestKindsLast: of a batch with two kinds in it, of which one is shared, the other
// never comes to the log: not when the bench looks again, and not from a bench that was
// handed the whole batch.
func TestKindsLast(t *testing.T) {
	s := serve(t, server.Options{JetStream: true, StoreDir: t.TempDir()})
	heron, friend, wren := newBench(t, "Heron Repair"), newBench(t, "Friends"), newBench(t, "Wren Works")
	trusts(heron, friend, wren)
	batches := heron.says("part C1 10uF", "note on VMAIN \"for friends only\" by LABEL")
	heron.kinds = []exchange.Kind{exchange.Structure}
	for range 2 {
		if err := heron.once(s.ClientURL()); err != nil {
			t.Fatal(err)
		}
	}
	friend.handed(batches)
	for _, b := range []*bench{friend, friend, heron, wren} {
		if err := b.once(s.ClientURL()); err != nil {
			t.Fatal(err)
		}
	}
	if held := wren.holds(); !strings.HasPrefix(held, "1 entries") {
		t.Errorf("%s were on the log, want 1", held)
	}
}

// TestOtherLicence: what a shop has shared under another licence than the one it is linked
// under stays, and that is said; unless it has said the same under this one, too.
func TestOtherLicence(t *testing.T) {
	s := serve(t, server.Options{JetStream: true, StoreDir: t.TempDir()})
	heron := newBench(t, "Heron")
	heron.licence = "CC-BY-4.0"
	heron.says("part C1 10uF", "part C2 1uF", "part C3 1uF")
	heron.licence = "CC0-1.0"
	heron.says("part C1 10uF")
	for _, c := range []struct {
		licence string
		home    map[string]int
	}{{"CC0-1.0", map[string]int{"CC-BY-4.0": 2}}, {"CC0-1.0", map[string]int{"CC-BY-4.0": 2}}, {"CC-BY-4.0", map[string]int{}}, {"CC0-1.0", map[string]int{}}} {
		heron.licence, heron.events = c.licence, nil
		if err := heron.once(s.ClientURL()); err != nil {
			t.Fatal(err)
		}
		if n := count(heron, func(h Home) bool { return maps.Equal(h.Entries, c.home) }); n != 1 {
			t.Errorf("under %s: %v, want %v", c.licence, heron.events, c.home)
		}
	}
}
