package storetest

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

// testRevisions holds revisions of one board apart, and lists them naturally.
func testRevisions(t *testing.T, b *bench) {
	for _, rev := range []string{"10", "2", "", "9a"} {
		ref := board.Ref{Name: "Plover-P", Revision: rev}
		text := "netlore 1\n" + store.BoardSubject(ref).String() + "\n\npart C" + fmt.Sprint(len(rev)+1) + "\n"
		b.addAll(store.Addition{Subject: store.BoardSubject(ref), Files: []*sheet.File{b.parse("", text)}, Author: "bench-1"})
	}
	all, err := b.base.Catalogue(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	var revisions []string
	for _, s := range all.Boards {
		revisions = append(revisions, s.Revision)
	}
	if d := cmp.Diff([]string{"", "2", "9a", "10"}, revisions); d != "" {
		t.Error(d)
	}
	if brd := b.board(); len(brd.Parts) != 1 || brd.Parts[0].Name != "C2" {
		t.Errorf("rev 2 has %v", brd.Parts)
	}
}

func testStack(t *testing.T, b *bench) {
	b.addAll(store.Addition{Subject: store.StackSubject("Plover"), Files: []*sheet.File{b.parse("", ploverStack)}, Author: "bench-1"})
	got, known, err := b.base.Stack(context.Background(), "Plover")
	if err != nil || known == nil {
		t.Fatal(known, err)
	}
	lower, upper := board.Ref{Name: "Plover-B", Revision: "1"}, plover.Ref
	want := &board.Stack{Name: "Plover", Title: "Plover beacon",
		Members: []board.Member{{Role: "lower", Board: lower}, {Role: "upper", Board: upper}}}
	for _, pad := range []string{"P1", "P2"} {
		want.Joins = append(want.Joins, board.Join{A: board.JoinEnd{Role: "lower", Pad: pad}, B: board.JoinEnd{Role: "upper", Pad: pad}, Via: "IP1"})
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff(ploverStack, b.export(store.StackSubject("Plover"))); d != "" {
		t.Error(d)
	}
}

// testOddNames adds boards whose names have what keys and heads of entries
// are made of.
func testOddNames(t *testing.T, b *bench) {
	names := []string{"rev", "board", "a b", "Ünit", `q"uote\`, "x rev 1", "1", strings.Repeat("long", 200)}
	for _, name := range names {
		for _, rev := range []string{"", "rev 1", `"`} {
			s := store.BoardSubject(board.Ref{Name: name, Revision: rev})
			text := "netlore 1\n" + s.String() + "\n\npart C1 1uF\n"
			b.addAll(store.Addition{Subject: s, Files: []*sheet.File{b.parse("", text)}, Author: `a "b" ` + name, Licence: "CC0-1.0"})
			if got := b.export(s); got != text {
				t.Errorf("got %s, want %s", got, text)
			}
		}
	}
	if c, err := b.base.Verify(context.Background(), nil); err != nil || c.Subjects != 3*len(names) {
		t.Errorf("verify: %+v, %v", c, err)
	}
}

// testExportImport carries a base to an empty one by its sheets.
func testExportImport(t *testing.T, b *bench) {
	b.add(ploverSheet)
	if _, err := b.with(store.Correct, ploverHead+"\npart C1 22uF 6.3V 0402 top at 6,6\n"); err != nil {
		t.Fatal(err)
	}
	other := b.another()
	other.clock = b.clock.AddDate(1, 0, 0)
	a := other.addition(b.export(plover))
	a.Author = "somebody else"
	if got := other.addAll(a)[0]; got.Hash != b.hash(plover) {
		t.Errorf("hash %s here, %s there", b.hash(plover), got.Hash)
	}
	if d := cmp.Diff(b.export(plover), other.export(plover)); d != "" {
		t.Error(d)
	}
}

func testExportIsCanonical(t *testing.T, b *bench) {
	b.add(ploverSheet)
	got := b.export(plover)
	if d := cmp.Diff(ploverSheet, got); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff(string(b.parse("", got).Canonical()), got); d != "" {
		t.Error(d)
	}
}

// testOrderAndSplitting adds one board's statements in files cut and mixed in
// many ways. What is known after that must always be the same.
func testOrderAndSplitting(t *testing.T, b *bench) {
	want := b.add(ploverSheet).Hash
	for seed := range uint64(12) {
		r := rand.New(rand.NewPCG(seed, 7))
		other := b.another()
		for _, text := range shuffled(r) {
			other.add(ploverHead + "\n" + text)
		}
		if got := other.hash(plover); got != want {
			t.Fatalf("seed %d: the hash is another one; the base says\n%s", seed, other.export(plover))
		}
		other.checkReads(ploverSheet)
	}
}

// shuffled cuts the Plover's sheet into one to six files at random.
func shuffled(r *rand.Rand) []string {
	var pieces []string
	for _, s := range statements(ploverSheet) {
		if r.IntN(2) == 0 {
			pieces = append(pieces, s)
			continue
		}
		pieces = append(pieces, members(s)...)
	}
	r.Shuffle(len(pieces), func(i, j int) { pieces[i], pieces[j] = pieces[j], pieces[i] })
	files := make([]string, 1+r.IntN(6))
	for _, p := range pieces {
		files[r.IntN(len(files))] += p
	}
	return files
}

func testUnionIdempotent(t *testing.T, b *bench) {
	half, rest := ploverHead, ploverHead
	for i, s := range statements(ploverSheet) {
		if i%2 == 0 {
			half += s
		} else {
			rest += s
		}
	}
	one, other := b.another(), b.another()
	for _, text := range []string{half, rest, half, rest} {
		one.add(text)
	}
	for _, text := range []string{rest, half, ploverSheet} {
		other.add(text)
	}
	want := b.add(ploverSheet).Hash
	if one.hash(plover) != want || other.hash(plover) != want {
		t.Errorf("want %s, got %s and %s", want, one.hash(plover), other.hash(plover))
	}
}

// testHashTellsApart leaves out, in turn, each statement and each member: no
// two of the boards that remain are one.
func testHashTellsApart(t *testing.T, b *bench) {
	all := statements(ploverSheet)
	seen := map[string]int{b.add(ploverSheet).Hash: -1}
	for i := range all {
		text := ploverHead + strings.Join(all[:i], "") + strings.Join(all[i+1:], "")
		hash := b.another().add(text).Hash
		if j, ok := seen[hash]; ok {
			t.Errorf("without statement %d the hash is that without statement %d", i, j)
		}
		seen[hash] = i
	}
}

func testReopen(t *testing.T, b *bench) {
	b.add(ploverSheet)
	before := b.export(plover)
	b.base = b.reopen()
	if d := cmp.Diff(before, b.export(plover)); d != "" {
		t.Error(d)
	}
	b.checkReads(ploverSheet)
	if got := b.add(ploverSheet); got.New != 0 {
		t.Errorf("after opening again %d statements are new", got.New)
	}
}

func testVerify(t *testing.T, b *bench) {
	b.add(ploverSheet)
	if _, err := b.with(store.Correct, ploverHead+"\npart C1 22uF 6.3V 0402 top at 6,6\n"); err != nil {
		t.Fatal(err)
	}
	got, err := b.base.Verify(context.Background(), nil)
	if err != nil || got != (store.Check{Entries: ploverBlocks + 1, Subjects: 1}) {
		t.Errorf("got %+v, %v", got, err)
	}
}

// testManyStatements adds more than one transaction of the store can hold.
func testManyStatements(t *testing.T, b *bench) {
	const parts = 16_000
	got := b.add(wide(parts))
	if want := 1 + parts + parts/4; got.New != want {
		t.Errorf("%d new, want %d", got.New, want)
	}
	if brd := b.board(); len(brd.Parts) != parts || len(brd.Pins) != parts {
		t.Errorf("%d parts, %d pins, want %d", len(brd.Parts), len(brd.Pins), parts)
	}
	removed, err := b.base.Remove(context.Background(), plover, "bench-1")
	if err != nil || removed.Withdrawn != got.New {
		t.Errorf("removed %d of %d: %v", removed.Withdrawn, got.New, err)
	}
}

// testManyAtOnce adds to one new subject from many goroutines.
func testManyAtOnce(t *testing.T, b *bench) {
	const n = 8
	errs := make([]error, n)
	var all sync.WaitGroup
	for i := range n {
		a := b.addition(fmt.Sprintf("%s\npart C%d 1uF\n", ploverHead, i+1))
		all.Go(func() { _, errs[i] = b.base.Add(context.Background(), a) })
	}
	all.Wait()
	for _, err := range errs {
		if err != nil {
			t.Error(err)
		}
	}
	if got := len(b.board().Parts); got != n {
		t.Errorf("%d parts, want %d", got, n)
	}
	if _, err := b.base.Verify(context.Background(), nil); err != nil {
		t.Error(err)
	}
}
