package link

import (
	"testing"

	"github.com/nats-io/nats-server/v2/server"
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
