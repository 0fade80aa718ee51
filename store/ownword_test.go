package store

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/store/exchange"
	"netlore/store/sheet"
)

// TestOwnWordStays: what the base says itself stays when another shop that said the same
// withdraws it, whichever came first and however it was added; also that it is about a
// board of that name.
func TestOwnWordStays(t *testing.T) {
	const own = "netlore 1\nboard Wren rev 1\n\npart C1 10uF\n\nnote on C1 \"mine\"\n"
	_, heron := shopOf(t, "Heron Repair")
	said := packOf(t, heron, nil, "board Wren rev 1", "part C1 10uF", "part C2 1uF")
	gone := func(b *Base) []byte {
		t.Helper()
		var ids []exchange.ID
		for _, f := range found(t, b, "") {
			if f.Shop == heron.Shop {
				ids = append(ids, exchange.ID(f.ID))
			}
		}
		if len(ids) != 3 {
			t.Fatalf("%d statements of the other shop", len(ids))
		}
		return packOf(t, heron, ids)
	}
	for name, mode := range map[string]Mode{"added": Union, "corrected": Correct, "replaced": Replace} {
		for _, ownFirst := range []bool{true, false} {
			b := OpenMemory(atNoon)
			trust(t, b, heron, Trusted)
			if !ownFirst {
				take(t, b, said, false)
			}
			file, list := sheet.Parse("own.lore", []byte(own))
			if err := list.Err(); err != nil {
				t.Fatal(err)
			}
			if _, err := b.Add(t.Context(), Addition{Subject: wrenSubject, Files: []*sheet.File{file}, Author: "bench-9", Mode: mode}); err != nil {
				t.Fatal(err)
			}
			if ownFirst {
				take(t, b, said, false)
			}
			take(t, b, gone(b), false)
			if d := cmp.Diff(own, holds(t, b)); d != "" {
				t.Errorf("%s, own word first %t (-want +got):\n%s", name, ownFirst, d)
			}
		}
	}
}

// TestOwnNoteOnTheBoardOfOthers withdraws what named a board, of which the base itself has
// said something without naming it, as earlier versions left it.
func TestOwnNoteOnTheBoardOfOthers(t *testing.T) {
	_, heron := shopOf(t, "Heron Repair")
	b := OpenMemory(atNoon)
	trust(t, b, heron, Trusted)
	take(t, b, packOf(t, heron, nil, "board Wren rev 1", "part C1 10uF"), false)
	addOwn(t, b, "netlore 1\nboard Wren rev 1\nnote on VMAIN \"mine\"\nnote on VMAIN \"too\"\n")
	all := found(t, b, "board Wren rev 1\n")
	if err := b.drop([][]byte{all[len(all)-1].key}); err != nil {
		t.Fatal(err)
	}
	if _, err := b.Withdraw(t.Context(), wrenSubject, "note on VMAIN \"too\"\n", "bench-9"); err != nil {
		t.Fatal(err)
	}
	trust(t, b, heron, Unknown)
	if text := holds(t, b); !strings.Contains(text, "board Wren rev 1\n") || !strings.Contains(text, "mine") || strings.Contains(text, "C1") {
		t.Errorf("%s", text)
	}
	if content, _, err := b.Said(t.Context(), wrenSubject, ""); err != nil || content.Board == nil {
		t.Errorf("%+v, %v", content, err)
	}
	if _, err := b.Withdraw(t.Context(), wrenSubject, "note on VMAIN \"mine\"\n", "bench-9"); err != nil {
		t.Fatal(err)
	}
}
