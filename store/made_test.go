package store

import (
	"fmt"
	"testing"

	"netlore/store/exchange"
)

// TestWithdrawalLapses: what was withdrawn with a key that is revoked since is to be
// withdrawn again, whatever a stranger says he withdraws.
func TestWithdrawalLapses(t *testing.T) {
	_, heron := shopOf(t, "Heron Repair")
	_, cuckoo := shopOf(t, "Cuckoo Repair")
	b := OpenMemory(atNoon)
	said, err := heron.Batches(aboutWren, []string{"part C1 10uF\n"}, nil, noon)
	if err != nil {
		t.Fatal(err)
	}
	id := said[0].Entries[0].ID
	gone, err := heron.Batches(aboutWren, nil, []exchange.ID{id}, noon)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.KeepMade(t.Context(), append(said, gone...), "bench-1", "a.pack"); err != nil {
		t.Fatal(err)
	}
	made := func(revoked ...exchange.Key) MadeEntry {
		t.Helper()
		all, err := b.Made(t.Context(), wrenSubject, Ours{Keys: heron.Keys(), Revoked: revoked})
		if err != nil || len(all) != 1 || !all[0].Withdrawn {
			t.Fatalf("%+v, %v", all, err)
		}
		return all[0]
	}
	if made().Lapsed || !made(heron.Key).Lapsed {
		t.Error("it has lapsed if, and only if, its key was revoked")
	}
	take(t, b, packOf(t, cuckoo, []exchange.ID{id}), false)
	if !made(heron.Key).Lapsed {
		t.Error("a stranger's withdrawal stands for that of the shop")
	}
}

// lookedUp counts how often each manifest is looked up.
type lookedUp struct {
	kv
	manifests map[string]int
}

func (l *lookedUp) view(read func(reader) error) error {
	return l.kv.view(func(r reader) error { return read(countingReader{r, l}) })
}

type countingReader struct {
	reader
	l *lookedUp
}

func (c countingReader) get(key []byte) ([]byte, error) {
	if key[0] == keyManifest {
		c.l.manifests[string(key)]++
	}
	return c.reader.get(key)
}

// TestMadeLooksOnce: a manifest is parsed once, however much it lists, and also where keys
// were revoked.
func TestMadeLooksOnce(t *testing.T) {
	_, heron := shopOf(t, "Heron Repair")
	cuckooDir, cuckoo := shopOf(t, "Cuckoo Repair")
	b := OpenMemory(atNoon)
	var blocks []string
	for n := range 50 {
		blocks = append(blocks, fmt.Sprintf("part C%d 10uF\n", n))
	}
	said, err := heron.Batches(aboutWren, blocks, nil, noon)
	if err != nil {
		t.Fatal(err)
	}
	gone, err := heron.Batches(aboutWren, nil, said[0].Manifest.Entries[:20], noon)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.KeepMade(t.Context(), append(said, gone...), "bench-1", "a.pack"); err != nil {
		t.Fatal(err)
	}
	if _, err := exchange.Revoke(cuckooDir, cuckoo.Key, "", noon, nil); err != nil {
		t.Fatal(err)
	}
	if err := b.Hear(wordsOf(t, cuckooDir)); err != nil {
		t.Fatal(err)
	}
	looked := &lookedUp{b.kv, map[string]int{}}
	b.kv = looked
	if all, err := b.Made(t.Context(), wrenSubject, Ours{Keys: heron.Keys()}); err != nil || len(all) != 50 {
		t.Fatalf("%d, %v", len(all), err)
	}
	for key, n := range looked.manifests {
		if n != 1 {
			t.Errorf("the manifest %x was looked up %d times", key[1:], n)
		}
	}
	if len(looked.manifests) != 2 {
		t.Errorf("%d manifests were looked up, want 2", len(looked.manifests))
	}
}
