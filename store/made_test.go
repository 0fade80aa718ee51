package store

import (
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
