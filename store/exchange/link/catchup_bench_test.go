package link

import (
	"context"
	"crypto/ed25519"
	"fmt"
	"testing"
	"time"

	"github.com/nats-io/nats-server/v2/server"

	"netlore/store"
	"netlore/store/exchange"
)

// BenchmarkCatchUp reads a log with many entries of one shop, on boards of 2,000, for
// the first time: into a base on disk, signatures verified, all synced. Once the shop is
// merely known, and once it is trusted, which makes boards of what it says. Beside it
// is the bare cost of the signatures: one Ed25519 verification for each message, of
// which the shop signs one and its certificate another, and one for each entry, had
// each been signed alone.
func BenchmarkCatchUp(b *testing.B) {
	const entries, onBoard = 50_000, 2000
	srv := serve(b, server.Options{JetStream: true, StoreDir: b.TempDir()})
	heron := newBench(b, "Heron")
	var all []*exchange.Batch
	for board := range entries / onBoard {
		all = append(all, boardOf(b, heron, fmt.Sprintf("board Wren-%d rev 1", board), onBoard)...)
	}
	if err := heron.base.KeepMade(b.Context(), all, "bench", "link"); err != nil {
		b.Fatal(err)
	}
	if err := heron.once(srv.ClientURL()); err != nil {
		b.Fatal(err)
	}
	for _, level := range []store.Level{store.Listed, store.Trusted} {
		b.Run(level.String(), func(b *testing.B) {
			for b.Loop() {
				b.StopTimer()
				wren := onDisk(b, "Wren")
				if _, err := wren.base.Trust(b.Context(), heron.identity.Shop, "Heron", level, exchange.Kinds(), "bench"); err != nil {
					b.Fatal(err)
				}
				b.StartTimer()
				if err := wren.once(srv.ClientURL()); err != nil {
					b.Fatal(err)
				}
				b.StopTimer()
				if sum, n, err := wren.base.LinkSum(b.Context(), DefaultLog); n != entries || err != nil {
					b.Fatalf("%d entries, %v, %v", n, sum, err)
				}
				if err := wren.base.Close(); err != nil {
					b.Fatal(err)
				}
				b.StartTimer()
			}
			b.ReportMetric(float64(entries*b.N)/b.Elapsed().Seconds(), "entries/s")
		})
	}
	public, key, err := ed25519.GenerateKey(nil)
	if err != nil {
		b.Fatal(err)
	}
	message := make([]byte, 128)
	signature := ed25519.Sign(key, message)
	for _, c := range []struct {
		name string
		n    int
	}{{"Ed25519 alone, two a message", 2 * len(all)}, {"Ed25519 alone, one an entry", entries}} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				for range c.n {
					if !ed25519.Verify(public, message, signature) {
						b.Fatal("does not verify")
					}
				}
			}
			b.ReportMetric(float64(entries*b.N)/b.Elapsed().Seconds(), "entries/s")
		})
	}
}

// boardOf is what a bench says of a board: half of it parts, half expected values.
func boardOf(t testing.TB, by *bench, of string, entries int) []*exchange.Batch {
	t.Helper()
	var blocks []string
	for i := range entries / 2 {
		blocks = append(blocks, fmt.Sprintf("part C%d %dnF 0402 top at %d.5,%d.25\n", i, 1+i%900, i%300, i/300),
			fmt.Sprintf("expect diode C%d.1 0.%03dV ±8%% by %q\n", i, 300+i%400, by.identity.Label()))
	}
	batches, err := by.identity.Batches(exchange.About{Of: of, Licence: "CC0-1.0"}, blocks, nil, by.now())
	if err != nil {
		t.Fatal(err)
	}
	return batches
}

// onDisk is a bench with its base on disk. Whoever asks for it closes the base.
func onDisk(t testing.TB, shop string) *bench {
	t.Helper()
	b := newBench(t, shop)
	base, err := store.Open(context.Background(), t.TempDir(), store.Options{Now: b.now, Wait: time.Minute})
	if err != nil {
		t.Fatal(err)
	}
	b.base = base
	return b
}
