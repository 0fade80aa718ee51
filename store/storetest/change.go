package storetest

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/query/diag"
	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

// testContradiction wants a complaint that names both places: who said the
// other thing, when, from which file, and the new line.
func testContradiction(t *testing.T, b *bench) {
	before := b.add(ploverSheet)
	b.clock = b.clock.AddDate(0, 1, 0)
	a := b.addition(ploverHead)
	a.Files[0] = b.parse("new.lore", ploverHead+"\npart C1 22uF\n")
	told := b.refused(a)
	for _, want := range []string{"new.lore:4:9", "plover.lore:9:", "held since 2026-03-02, from bench-1", "10uF", "22uF", "--correct"} {
		if !strings.Contains(told, want) {
			t.Errorf("%q is missing in\n%s", want, told)
		}
	}
	if b.hash(plover) != before.Hash {
		t.Error("the base has changed")
	}
}

// testContradictionLeadsWithNew wants every complaint to begin with the new
// place, whichever of the two comes first in canonical order, and one about a
// sheet that was made to name it without a line.
func testContradictionLeadsWithNew(t *testing.T, b *bench) {
	b.add(ploverSheet)
	for name, c := range map[string]struct{ text, lead, other string }{
		"net before the held one": {"net AUX\n  C2 1\n", "new.lore:5:6: error S302: pin C2.1 is on net VRF and on net AUX", "plover.lore:24:"},
		"net after the held one":  {"net ZZ\n  C2 1\n", "new.lore:5:6: error S302: pin C2.1 is on net ZZ and on net VRF", "plover.lore:24:"},
		"outline before":          {"outline box 0,0 30,20\n", "new.lore:4:1: error S305: the board has two different outlines", "plover.lore:4:"},
		"outline after":           {"outline box 0,0 50,60\n", "new.lore:4:1: error S305: the board has two different outlines", "plover.lore:4:"},
		"over nothing":            {"cover UF1\n  C10\n", "new.lore:5:3: error S301: cover UF1 is said to have nothing under it, and C10 as well", "plover.lore:7:"},
	} {
		t.Run(name, func(t *testing.T) {
			a := b.addition(ploverHead)
			a.Files[0] = b.parse("new.lore", ploverHead+"\n"+c.text)
			told := b.refused(a)
			if !strings.HasPrefix(told, c.lead) || !strings.Contains(told, "  "+c.other) {
				t.Errorf("want %q and %q in\n%s", c.lead, c.other, told)
			}
			a.Made = func(*sheet.File) bool { return true }
			at := strings.Index(c.lead, ": ")
			if told = b.refused(a); !strings.HasPrefix(told, "new.lore"+c.lead[at:]) || strings.Contains(told, "new.lore:5") {
				t.Errorf("a line is named of a sheet that was made:\n%s", told)
			}
		})
	}
}

// refused adds what contradicts the base, and returns the complaints as a user
// sees them.
func (b *bench) refused(a store.Addition) string {
	b.t.Helper()
	_, err := b.base.Add(context.Background(), a)
	var list diag.List
	if !errors.As(err, &list) || !list.HasErrors() {
		b.t.Fatalf("got %v, want a list of complaints", err)
	}
	var s strings.Builder
	diag.Write(&s, list, diag.Style{})
	return s.String()
}

func testCorrect(t *testing.T, b *bench) {
	b.add(ploverSheet)
	got, err := b.with(store.Correct, ploverHead+"\npart C1 22uF 6.3V 0402 top at 6,6\n")
	if err != nil {
		t.Fatal(err)
	}
	if got.New != 1 || got.Withdrawn != 1 {
		t.Errorf("got %+v, want 1 new and 1 withdrawn", got)
	}
	want := strings.Replace(ploverSheet, "part C1 10uF", "part C1 22uF", 1)
	if d := cmp.Diff(want, b.export(plover)); d != "" {
		t.Error(d)
	}
	b.sameAsNew(want)
}

// sameAsNew compares the base with an empty one that the sheet is added to.
func (b *bench) sameAsNew(text string) {
	b.t.Helper()
	if fresh := b.another().add(text); fresh.Hash != b.hash(plover) {
		b.t.Errorf("the content hash is not that of\n%s\nbut of\n%s", text, b.export(plover))
	}
}

// testCorrectMovesPin corrects the net of a pin: the statement that it
// contradicts is about another net.
func testCorrectMovesPin(t *testing.T, b *bench) {
	b.add(ploverSheet)
	if _, err := b.with(store.Correct, ploverHead+"\nnet VMAIN\n  C2 1\n"); err != nil {
		t.Fatal(err)
	}
	for _, c := range [][3]string{{"C2", "1", "VMAIN"}, {"L1", "2", "VRF"}, {"U1", "2", "VRF"}, {"C1", "1", "VMAIN"}} {
		if got := b.netOf(c[0], c[1]); got != c[2] {
			t.Errorf("%s.%s is on %q, want %q", c[0], c[1], got, c[2])
		}
	}
	brd := b.board()
	if n := brd.Nets[brd.FindNet("VRF")]; n.Kind != board.Power || !n.Volts.Known() || len(n.Functions) != 1 {
		t.Errorf("the net that lost a pin lost more: %+v", n)
	}
}

// testCorrectKeepsMembers corrects an attribute of a net; its pins stay.
func testCorrectKeepsMembers(t *testing.T, b *bench) {
	b.add(ploverSheet)
	if _, err := b.with(store.Correct, ploverHead+"\nnet VMAIN power 4.2V\n"); err != nil {
		t.Fatal(err)
	}
	brd := b.board()
	n := brd.FindNet("VMAIN")
	if got := len(brd.PinsOn(n)); got != 3 {
		t.Errorf("VMAIN has %d pins, want 3", got)
	}
	if got := brd.Nets[n].Volts; got != board.MustQuantity("4.2V") {
		t.Errorf("VMAIN has %v", got)
	}
}

// testCorrectKeepsTheRest corrects one attribute in a line that says no more.
func testCorrectKeepsTheRest(t *testing.T, b *bench) {
	b.add(ploverSheet)
	got, err := b.with(store.Correct, `netlore 1
cover SH1 shield polygon 4,4 20,4 12,18
part C1 22uF
part C2 at 9,9
pad P1 on GND
board Plover-P rev 2 "the Plover's main board"
`)
	if err != nil {
		t.Fatal(err)
	}
	if got.New != 5 || got.Withdrawn != 5 {
		t.Errorf("got %+v, want 5 new and 5 withdrawn", got)
	}
	want := strings.NewReplacer(
		"main board of the Plover beacon", "the Plover's main board",
		"top box 4,4 20,18", "top polygon 4,4 20,4 12,18",
		"part C1 10uF", "part C1 22uF",
		"at 7,6 turned 90", "at 9,9",
		"pad P1 on VMAIN", "pad P1 on GND").Replace(ploverSheet)
	if d := cmp.Diff(want, b.export(plover)); d != "" {
		t.Error(d)
	}
}

// testCorrectNothing corrects with what is held already, and with less.
func testCorrectNothing(t *testing.T, b *bench) {
	before := b.add(ploverSheet)
	for _, text := range []string{ploverSheet, ploverHead + "\npart C1 10uF\nnet VMAIN\n  C1 1\n"} {
		got, err := b.with(store.Correct, text)
		if err != nil || got.New+got.Withdrawn > 0 || got.Hash != before.Hash {
			t.Errorf("got %+v, %v", got, err)
		}
	}
}

// testCorrectAJob corrects a step and an outcome of a job.
func testCorrectAJob(t *testing.T, b *bench) {
	job := "\njob 1042 \"draws amps at once\" draw 2.1A culprit C1 outcome open by bench-1\n  1 draw 2.1A\n  2 cold C1\n"
	b.add(ploverSheet + job)
	if _, err := b.with(store.Correct, ploverHead+"\njob 1042 outcome repaired\n  2 hot C1\n"); err != nil {
		t.Fatal(err)
	}
	want := ploverSheet + strings.NewReplacer("outcome open", "outcome repaired", "2 cold", "2 hot").Replace(job)
	if d := cmp.Diff(want, b.export(plover)); d != "" {
		t.Error(d)
	}
}

// testReplaceWithoutABoardLine replaces with a sheet that leaves it to the user
// to say what it is about.
func testReplaceWithoutABoardLine(t *testing.T, b *bench) {
	b.add(ploverSheet)
	a := b.addition(ploverHead)
	a.Mode, a.Files[0] = store.Replace, b.parse("bare.lore", "netlore 1\n\npart C7 1uF\n")
	b.addAll(a)
	brd := b.board()
	if len(brd.Parts) != 1 || brd.Ref != plover.Ref || brd.Title == "" {
		t.Errorf("got %v of %q, %q", brd.Parts, brd.Ref, brd.Title)
	}
}

// testAnotherBoard adds statements on one board to another.
func testAnotherBoard(t *testing.T, b *bench) {
	for _, head := range []string{"board Plover-Q rev 2", "board Plover-P rev 3", "stack Plover"} {
		for _, mode := range []store.Mode{store.Union, store.Correct, store.Replace} {
			a := b.addition(ploverHead)
			a.Mode, a.Files[0] = mode, b.parse("other.lore", "netlore 1\n"+head+"\n")
			if _, err := b.base.Add(context.Background(), a); err == nil {
				t.Errorf("%s was added to %s", head, plover)
			}
		}
	}
	a := b.addition(ploverHead)
	a.Files[0] = b.parse("norev.lore", "netlore 1\nboard Plover-P\n\npart C1\n")
	b.addAll(a)
	if got := b.board().Ref; got != plover.Ref {
		t.Errorf("the board is %s", got)
	}
}

func testReplace(t *testing.T, b *bench) {
	b.add(ploverSheet)
	smaller := ploverHead + "\npart C1 22uF\n\nnet GND ground\n  C1 2\n"
	got, err := b.with(store.Replace, smaller)
	if err != nil {
		t.Fatal(err)
	}
	if got.New != 2 || got.Known != 1 || got.Withdrawn != ploverBlocks-5 {
		t.Errorf("got %+v", got)
	}
	_, known, _ := strings.Cut(ploverSheet, "\nexpect")
	want := smaller + "\nexpect" + known
	if d := cmp.Diff(want, b.export(plover)); d != "" {
		t.Error(d)
	}
}

func testWithdraw(t *testing.T, b *bench) {
	ctx := context.Background()
	link := "continuity C1.1 P1 by bench-1\n"
	b.add(ploverSheet)
	if _, err := b.base.Withdraw(ctx, plover, link, ""); err == nil {
		t.Error("nobody withdrew something")
	}
	got, err := b.base.Withdraw(ctx, plover, link, "bench-2")
	if err != nil || got.Withdrawn != 1 || got.New != 0 {
		t.Fatalf("got %+v, %v", got, err)
	}
	b.checkReads(strings.Replace(ploverSheet, link, "", 1))
	for _, text := range []string{link, "continuity C1.1 P1\n", "pad P2 on GND top at 2,1 in IP1\n", ""} {
		if _, err := b.base.Withdraw(ctx, plover, text, "bench-2"); !errors.Is(err, store.ErrNotStated) {
			t.Errorf("withdrawing %q: got %v, want ErrNotStated", text, err)
		}
	}
	events, err := b.base.History(plover)
	if err != nil || len(events) != 2 || events[1].Kind != store.Withdrawn || events[1].Author != "bench-2" {
		t.Errorf("history: %+v, %v", events, err)
	}
	if again := b.add(ploverSheet); again.New != 1 {
		t.Errorf("added again: %+v, want one new statement", again)
	}
	b.checkReads(ploverSheet)
}

func testRemove(t *testing.T, b *bench) {
	ctx := context.Background()
	b.add(ploverSheet)
	got, err := b.base.Remove(ctx, plover, "bench-2")
	if err != nil || got.Withdrawn != ploverBlocks {
		t.Fatalf("got %+v, %v", got, err)
	}
	if _, err := b.base.Board(ctx, plover.Ref); !errors.Is(err, store.ErrUnknownSubject) {
		t.Errorf("the board is still there: %v", err)
	}
	if all, err := b.base.Catalogue(ctx); len(all.Boards) > 0 || err != nil {
		t.Errorf("it is still listed: %v, %v", all, err)
	}
	if _, err := b.base.Remove(ctx, plover, "bench-2"); !errors.Is(err, store.ErrUnknownSubject) {
		t.Errorf("removed twice: %v", err)
	}
	if events, err := b.base.History(plover); len(events) != 2 || err != nil {
		t.Errorf("the history is %v, %v", events, err)
	}
}

func testRemoveAndAddAgain(t *testing.T, b *bench) {
	first := b.add(ploverSheet)
	for i := range 3 {
		if _, err := b.base.Remove(context.Background(), plover, "bench-1"); err != nil {
			t.Fatal(err)
		}
		again := b.add(ploverSheet) // at the same second, by the same author
		if again.New != ploverBlocks || again.Hash != first.Hash {
			t.Errorf("time %d: got %+v", i, again)
		}
		b.checkReads(ploverSheet)
	}
}

func testHistory(t *testing.T, b *bench) {
	b.add(ploverSheet)
	b.clock = b.clock.AddDate(0, 0, 1)
	corrected, err := b.with(store.Correct, ploverHead+"\npart C1 22uF 6.3V 0402 top at 6,6\n")
	if err != nil {
		t.Fatal(err)
	}
	b.clock = b.clock.AddDate(0, 0, 1)
	if _, err := b.base.Remove(context.Background(), plover, "bench-2"); err != nil {
		t.Fatal(err)
	}
	events, err := b.base.History(plover)
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, e := range events {
		lines = append(lines, fmt.Sprint(e.Kind, " ", e.Time.Format("2006-01-02"), " ", e.Author, " ", e.Files, " ", e.New, " ", e.Withdrawn))
	}
	want := []string{
		fmt.Sprintf("added 2026-03-02 bench-1 [plover.lore] %d 0", ploverBlocks),
		"corrected 2026-03-03 bench-1 [plover.lore] 1 1",
		fmt.Sprintf("removed 2026-03-04 bench-2 [] 0 %d", ploverBlocks),
	}
	if d := cmp.Diff(want, lines); d != "" || events[1].Hash != corrected.Hash {
		t.Error(d)
	}
}
