package store

import (
	"bytes"
	"crypto/ed25519"
	"fmt"
	"strings"
	"testing"

	"netlore/store/exchange"
	"netlore/store/sheet"
)

// sharedBoard is a board of which one shop shares n statements, and the pack.
func sharedBoard(b *testing.B, n int) (i *exchange.Identity, pack []byte) {
	b.Helper()
	_, i = shopOf(b, "Heron Repair")
	var text strings.Builder
	text.WriteString("netlore 1\nboard Wren rev 1\n")
	for p := range n / 2 {
		fmt.Fprintf(&text, "part C%d %dnF 0402 top at %d.5,%d.25\n", p, 1+p%900, p%300, p/300)
	}
	for p := range n / 2 {
		fmt.Fprintf(&text, "reading diode C%d.1 0.%03dV red-on-ground good meter M1 specimen s%d when 2026-02-03\n", p, 300+p%400, p%40)
	}
	file, list := sheet.Parse("wren.lore", []byte(text.String()))
	content, more := sheet.Read(file)
	if err := append(list, more...).Err(); err != nil {
		b.Fatal(err)
	}
	batches, err := i.Batches(aboutWren, i.Blocks(content), nil, noon)
	if err != nil {
		b.Fatal(err)
	}
	return i, packOfBatches(b, batches)
}

func packOfBatches(b *testing.B, batches []*exchange.Batch) []byte { return pack(b, nil, batches...) }

// BenchmarkTake takes a pack of 100,000 entries into a base on disk, signatures
// verified, all synced: read and checked only, then of a stranger, then of a shop
// that is trusted, which makes a board of it. Beside it are the bare signatures: as
// many Ed25519 verifications as the pack has, and one for each entry, had each been
// signed alone.
func BenchmarkTake(b *testing.B) {
	const entries = 100_000
	i, p := sharedBoard(b, entries)
	batches := 0
	b.Run("read and verify", func(b *testing.B) {
		b.SetBytes(int64(len(p)))
		for b.Loop() {
			r, err := exchange.NewReader(bytes.NewReader(p), "a.pack", noon)
			batches = 0
			for err == nil {
				if _, err = r.Next(); err == nil {
					batches++
				}
			}
		}
	})
	for _, level := range []Level{Unknown + 1, Trusted} {
		b.Run("take "+level.String(), func(b *testing.B) {
			b.SetBytes(int64(len(p)))
			for b.Loop() {
				b.StopTimer()
				base := open(b, b.TempDir(), Options{Now: atNoon})
				trust(b, base, i, level)
				b.StartTimer()
				if taken := take(b, base, p, false); taken.New < entries {
					b.Fatalf("%+v", taken)
				}
				b.StopTimer()
				if err := base.Close(); err != nil {
					b.Fatal(err)
				}
				b.StartTimer()
			}
		})
	}
	public, key, err := ed25519.GenerateKey(nil)
	if err != nil {
		b.Fatal(err)
	}
	message := make([]byte, 128)
	signature := ed25519.Sign(key, message)
	for name, n := range map[string]int{"Ed25519 alone, one a batch": batches, "Ed25519 alone, one an entry": entries} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				for range n {
					if !ed25519.Verify(public, message, signature) {
						b.Fatal("does not verify")
					}
				}
			}
		})
	}
}
