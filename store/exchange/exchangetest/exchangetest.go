// Package exchangetest makes shops and their benches for tests.
package exchangetest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"netlore/store/exchange"
)

// Shop makes a shop with one bench, and gives the folder of its identity.
func Shop(t testing.TB, name string) (identity *exchange.Identity, dir string) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "identity")
	if _, err := exchange.Make(dir, exchange.Making{Shop: name, Bench: "bench-1"}, nil); err != nil {
		t.Fatal(err)
	}
	return Open(t, dir), dir
}

// Further makes a further bench of the shop whose identity is in a folder.
func Further(t testing.TB, shop string) *exchange.Identity {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "identity")
	if _, err := exchange.Request(dir, exchange.Making{Bench: "bench-2"}, nil); err != nil {
		t.Fatal(err)
	}
	request, err := os.ReadFile(exchange.RequestFile(dir))
	if err != nil {
		t.Fatal(err)
	}
	line, _, err := exchange.Vouch(shop, request, nil)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := exchange.Accept(dir, line); err != nil {
		t.Fatal(err)
	}
	return Open(t, dir)
}

// Open opens the identity in a folder.
func Open(t testing.TB, dir string) *exchange.Identity {
	t.Helper()
	identity, err := exchange.Open(dir, nil)
	if err != nil {
		t.Fatal(err)
	}
	return identity
}

// Blocks are statements as a bench signs them. LABEL stands for who says them.
func Blocks(by *exchange.Identity, statements ...string) []string {
	blocks := make([]string, len(statements))
	for i, s := range statements {
		blocks[i] = strings.ReplaceAll(s, "LABEL", `"`+by.Label()+`"`) + "\n"
	}
	return blocks
}
