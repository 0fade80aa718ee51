package store

import (
	"fmt"
	"io"
	"testing"

	"netlore/store/exchange"
	"netlore/store/exchange/exchangetest"
)

// TestEmptyBatchesCannotFillTheDisk: what a stranger's manifests list counts, however little
// of it is at hand, and withdrawals do; a manifest alone is not kept.
func TestEmptyBatchesCannotFillTheDisk(t *testing.T) {
	fewStrangers(t)
	_, stranger := shopOf(t, "Cuckoo Repair")
	b := OpenMemory(atNoon)
	var items []exchange.Item
	for n := range 20 {
		var say []string
		var gone []exchange.ID
		for i := range exchange.MostEntries {
			say = append(say, fmt.Sprintf("part C%d 10uF\n", n*exchange.MostEntries+i))
			gone = append(gone, exchange.ID{byte(n), byte(i), byte(i >> 8)})
		}
		parts, err := stranger.Batches(aboutWren, say, nil, noon)
		if err != nil {
			t.Fatal(err)
		}
		withdrawn, err := stranger.Batches(aboutWren, nil, gone, noon)
		if err != nil {
			t.Fatal(err)
		}
		first := parts[0].Entries[0].ID
		items = append(items, exchange.Item{Batch: parts[0].Only(func(exchange.ID) bool { return false })},
			exchange.Item{Batch: parts[0].Only(func(id exchange.ID) bool { return id == first })}, exchange.Item{Batch: withdrawn[0]})
	}
	next := func() (exchange.Item, error) {
		if len(items) == 0 {
			return exchange.Item{}, io.EOF
		}
		item := items[0]
		items = items[1:]
		return item, nil
	}
	got, err := b.Take(t.Context(), next, Taking{From: "a.pack", Author: "anna"})
	if err != nil || got.Batches != mostUnknown/exchange.MostEntries || got.More+len(got.Refused) != 40-got.Batches {
		t.Errorf("%+v, %v", got, err)
	}
	manifests := 0
	b.kv.view(func(r reader) error {
		return r.scan([]byte{keyManifest}, func(_, _ []byte) error { manifests++; return nil })
	})
	if manifests != got.Batches {
		t.Errorf("%d manifests are kept of %d batches", manifests, got.Batches)
	}
	if _, _, err := b.UndoTake(t.Context(), got.Receipt, "anna"); err != nil {
		t.Fatal(err)
	}
	if shops, err := b.Shops(t.Context()); err != nil || len(shops) != 1 || shops[0].kept() != 0 {
		t.Errorf("%+v, %v", shops, err)
	}
}

// TestManyShopsAreTold tells of a thousand shops, and of how much the others say.
func TestManyShopsAreTold(t *testing.T) {
	few := mostSaid
	mostSaid = 3
	t.Cleanup(func() { mostSaid = few })
	b := OpenMemory(atNoon)
	var batches []*exchange.Batch
	for n := range 5 {
		_, i := shopOf(t, fmt.Sprintf("Cuckoo %d", n))
		some, err := i.Batches(aboutWren, []string{fmt.Sprintf("part C%d 10uF\n", n)}, nil, noon)
		if err != nil {
			t.Fatal(err)
		}
		batches = append(batches, some...)
	}
	got := take(t, b, pack(t, nil, batches...), false)
	if got.New != 5 || len(got.Shops) != 3 || got.Further != 2 {
		t.Errorf("%+v", got)
	}
	if shops, err := b.Shops(t.Context()); err != nil || len(shops) != 5 {
		t.Errorf("%+v, %v", shops, err)
	}
}

// fewWords is a base that has heard of a shop, and keeps two words at most about the keys
// of shops that nobody knows.
func fewWords(t *testing.T) (b *Base, dir string, cuckoo *exchange.Identity) {
	t.Helper()
	few := mostWords
	mostWords = 2
	t.Cleanup(func() { mostWords = few })
	dir, cuckoo = shopOf(t, "Cuckoo Repair")
	b = OpenMemory(atNoon)
	take(t, b, packOf(t, cuckoo, nil, "part C1 10uF"), false)
	return b, dir, cuckoo
}

// TestManyRevokedAreNotKept: a shop that nobody here knows does not get around the bound by
// having been heard of; what was heard of a key before is no more of it, and of a shop that
// is known, all is heard.
func TestManyRevokedAreNotKept(t *testing.T) {
	b, dir, cuckoo := fewWords(t)
	for range mostWords + 1 {
		bench := exchangetest.Further(t, dir)
		if _, err := exchange.Revoke(dir, bench.Key, "", noon, nil); err != nil {
			t.Fatal(err)
		}
	}
	words := wordsOf(t, dir)
	if got := take(t, b, pack(t, words), false); len(got.Said) != 2 || len(got.Refused) != 1 {
		t.Errorf("%+v, want two words heard and one refused", got)
	}
	if got := take(t, b, pack(t, words[:2]), false); len(got.Said)+len(got.Refused) != 0 {
		t.Errorf("what is known is heard or refused: %+v", got)
	}
	trust(t, b, cuckoo, Listed)
	if got := take(t, b, pack(t, words), false); len(got.Said) != 1 || len(got.Refused) != 0 {
		t.Errorf("%+v, want the word that was refused", got)
	}
}

// TestManyChangesAreNotKept: nor does such a shop get around it with one key in place of
// the other, each of which would be a shop that was heard of.
func TestManyChangesAreNotKept(t *testing.T) {
	b, dir, _ := fewWords(t)
	for range mostWords + 2 {
		if _, err := exchange.Change(dir, nil, noon, nil); err != nil {
			t.Fatal(err)
		}
	}
	words := wordsOf(t, dir)
	// The one behind that which was refused is of a shop that was never heard of.
	if got := take(t, b, pack(t, words), false); len(got.Said) != 2 || len(got.Refused) != 1 {
		t.Errorf("%+v, want two words heard and one refused", got)
	}
	if got := take(t, b, pack(t, words[:2]), false); len(got.Said)+len(got.Refused) != 0 {
		t.Errorf("what is known is heard or refused: %+v", got)
	}
	if got := take(t, b, pack(t, words), false); len(got.Said) != 0 || len(got.Refused) != 1 {
		t.Errorf("%+v, want the one refused once more", got)
	}
	if shops, err := b.Shops(t.Context()); err != nil || len(shops) != 3 {
		t.Errorf("%d shops, %v, want the first and two more", len(shops), err)
	}
}
