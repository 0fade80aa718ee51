package storetest

import (
	"context"
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

// ploverChances is canonical, so that it comes back as it is.
const ploverChances = `netlore 1

chance capacitor "returns of 2025" often 250% short 40%
chance liquid bridge 10% zone 30% second 20% by bench-1
chance tape miss 3% alarm 2%
`

func (b *bench) chance(c board.Chance) store.Result {
	b.t.Helper()
	r, err := b.base.StateChance(context.Background(), c, "bench-1")
	if err != nil {
		b.t.Fatal(err)
	}
	return r
}

func testStateChances(t *testing.T, b *bench) {
	ctx := context.Background()
	tape := board.Chance{Of: "tape", Miss: board.MustQuantity("3%")}
	b.chance(tape)
	b.chance(board.Chance{Of: "capacitor", Often: board.MustQuantity("250%")})
	if r := b.chance(tape); r.New != 0 || r.Known != 1 {
		t.Errorf("stated again: %+v", r)
	}
	b.clock = b.clock.AddDate(0, 0, 1)
	if r := b.chance(board.Chance{Of: "tape", Miss: board.MustQuantity("4%"), Alarm: board.MustQuantity("1%")}); r.New != 1 || r.Withdrawn != 1 {
		t.Errorf("stated otherwise: %+v", r)
	}
	b.base = b.reopen()
	tape.Miss, tape.Alarm = board.MustQuantity("4%"), board.MustQuantity("1%")
	all, err := b.base.Chances(ctx)
	if err != nil || len(all) != 2 || cmp.Diff(tape, all[1].Chance) != "" || all[1].Author != "bench-1" || !all[1].Time.Equal(b.clock) {
		t.Errorf("%+v, %v", all, err)
	}
	for _, of := range []string{"tape", "capacitor"} {
		if r, err := b.base.ForgetChance(ctx, of, "bench-2"); err != nil || r.Withdrawn != 1 {
			t.Errorf("forgetting %s: %+v, %v", of, r, err)
		}
	}
	if _, err := b.base.ForgetChance(ctx, "tape", "bench-2"); !errors.Is(err, store.ErrUnknownChance) {
		t.Errorf("forgotten twice: %v", err)
	}
	if all, err := b.base.Chances(ctx); err != nil || len(all) > 0 {
		t.Errorf("left: %v, %v", all, err)
	}
	// What is stated of a board anew takes nothing from them.
	b.chance(tape)
	liquid := b.parse("liquid.lore", "netlore 1\n\nchance liquid zone 30%\n")
	if r, err := b.base.Add(ctx, store.Addition{Subject: store.ChancesSubject(), Files: []*sheet.File{liquid}, Author: "bench-1", Mode: store.Replace}); err != nil || r[0].New != 1 || r[0].Withdrawn != 0 {
		t.Errorf("%+v, %v", r, err)
	}
	if events, err := b.base.History(store.ChancesSubject()); err != nil || len(events) != 7 {
		t.Errorf("%+v, %v", events, err)
	}
	if _, err := b.base.Verify(ctx, nil); err != nil {
		t.Error(err)
	}
}

func testChancesOfASheet(t *testing.T, b *bench) {
	testOfASheet(t, b, store.ChancesSubject(), ploverChances, 3, func(all *board.Catalogue) bool {
		return len(all.Chances) == 3 && all.Chances[1].Zone == board.MustQuantity("30%")
	})
}

// testOfASheet adds a sheet that says something of a board beside one with statements
// that are about no board, which are kept apart, and come back as a sheet of their own.
func testOfASheet(t *testing.T, b *bench, of store.Subject, text string, blocks int, held func(*board.Catalogue) bool) {
	files := []*sheet.File{b.parse("plover.lore", ploverSheet), b.parse("shared.lore", text)}
	results := b.addAll(store.Addition{Subject: plover, Files: files, Author: "bench-1"}, store.Addition{Subject: of, Files: files, Author: "bench-1"})
	if results[0].New != ploverBlocks || results[1].New != blocks {
		t.Errorf("%+v", results)
	}
	if d := cmp.Diff(ploverSheet, b.export(plover)); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff(text, b.export(of)); d != "" {
		t.Error(d)
	}
	all, err := b.base.Catalogue(t.Context())
	if err != nil || !held(all) {
		t.Errorf("%+v, %v", all, err)
	}
	if _, err := b.base.Verify(t.Context(), nil); err != nil {
		t.Error(err)
	}
}
