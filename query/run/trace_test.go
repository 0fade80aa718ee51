package run_test

import (
	"context"
	"fmt"
	"math/rand"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/run"
	"netlore/query/syntax"
	"netlore/store/board"
)

var tracePasses = []string{"", " through resistors", " through any", " through any below 5ohm", " through chips, beads or inductors",
	" through inductors, beads, fuses or 0ohm", " through resistors below 1kohm or beads"}

// traced is a question that is traced, about any noun.
func (a asker) traced() string {
	place := func() string {
		return pick(a.Rand, "VMAIN", "U1", "J7", "P1", "5V", "VBAT_1", "N$12", "branch VMAIN.a", "GND", "P1, J7", "VMAIN, U1", "branch *@*")
	}
	opened := func() string { return pick(a.Rand, "P1", "J7", "U1", "P1, P2", "P1, J7", "J7, U1", "P1..P3, U1") }
	through := pick(a.Rand, tracePasses...)
	switch a.Intn(4) {
	case 0:
		return pick(a.Rand, "nets", "pads", "pins") + " joined to " + place() + through
	case 1:
		return "pads leading to " + pick(a.Rand, "VMAIN", "U1", "J7", "5V", "branch VMAIN.b", "branch N$12@*") + through
	}
	return fmt.Sprintf("%s fed only by %s from %s%s", pick(a.Rand, "parts", "pins", "nets"), opened(), place(), through)
}

// traces calls f with traced questions about random boards with a few parts, so
// that much hangs on few of them.
func traces(t *testing.T, seed int64, n int, f func(r *rand.Rand, b *board.Board, q *check.Question)) {
	t.Helper()
	if testing.Short() {
		n /= 4
	}
	r := rand.New(rand.NewSource(seed))
	for asked := 0; asked < n; {
		b := randomBoard(r, 4+r.Intn(12), pick(r, 0, 15, 40))
		if chance(r, 30) {
			for i := range b.Nets {
				if b.Nets[i].Kind == board.Ground {
					b.Nets[i].Kind = board.NetUnknown
				}
			}
		}
		for range 5 {
			if q := typed(asker{r}.traced(), b, nil); q != nil {
				asked++
				f(r, b, q)
			}
		}
	}
}

// What is traced is what nested loops find, in both bounds.
func TestTracesAgreeWithNestedLoops(t *testing.T) {
	certain, possible := 0, 0
	traces(t, 21, 4000, func(_ *rand.Rand, b *board.Board, q *check.Question) {
		want := naively(b).answer(q)
		if d := cmp.Diff(want, boundsOf(q, plan.Options{}), exported); d != "" {
			t.Fatalf("seed 21: %s\n%s", q.Text, d)
		}
		certain += len(want.certain)
		possible += len(want.possible)
	})
	if certain < 500 || possible < 2*certain/3 {
		t.Errorf("%d certain, %d possible: too few to compare", certain, possible)
	}
}

// What is certain of a trace stays so, and nothing that was impossible turns up,
// however the unknowns turn out.
func TestTracesHoldForEveryCompletion(t *testing.T) {
	traces(t, 22, 1200, func(r *rand.Rand, b *board.Board, q *check.Question) {
		holdsCompleted(t, "seed 22", r, b, q)
	})
}

// A board cut in two, with every net on both halves and a joined pad for each,
// leads where the whole one does: a trace crosses from half to half.
func TestTracesCrossJoins(t *testing.T) {
	r := rand.New(rand.NewSource(23))
	for range 150 {
		b := copied(randomBoard(r, 4+r.Intn(20), pick(r, 0, 20, 40)))
		b.Branches, b.Pads, b.Covers, b.Tracks = nil, nil, nil, nil
		halves := cutInTwo(r, assembled(b))
		for _, through := range tracePasses {
			text := "nets joined to VMAIN" + through
			tree, _ := syntax.Parse(text)
			q, complaints := check.Check(text, tree, halves)
			if q == nil {
				t.Fatal(complaints)
			}
			want, got := boundsOf(typed(text, b, nil), plan.Options{}), boundsOf(q, plan.Options{})
			if d := cmp.Diff(want, got, exported); d != "" {
				t.Fatalf("seed 23: %s\n%s\n%s", text, d, boardText(b))
			}
		}
	}
}

// cutInTwo puts each part on one of two boards of a stack.
func cutInTwo(r *rand.Rand, b *board.Board) *check.Scope {
	scope := &check.Scope{Stack: "Plover"}
	builders := map[string]*board.Builder{}
	for _, role := range []string{"lower", "upper"} {
		builders[role] = board.NewBuilder(board.Ref{Name: "Plover-" + role})
		for _, n := range b.Nets {
			builders[role].NetAt(builders[role].Net(n.Name)).Kind = n.Kind
			builders[role].PadAt(builders[role].Pad("P:" + n.Name)).Net = builders[role].Net(n.Name)
		}
	}
	for i := range b.Parts {
		bu := builders[pick(r, "lower", "upper")]
		id := bu.Part(b.Parts[i].Name)
		*bu.PartAt(id) = b.Parts[i]
		first, last := b.PinsOf(board.PartID(i))
		for _, pin := range b.Pins[first:last] {
			if at := bu.Pin(id, pin.Name); pin.Net != board.None {
				bu.Connect(at, bu.Net(b.Nets[pin.Net].Name))
			}
		}
	}
	for _, n := range b.Nets {
		scope.Joins = append(scope.Joins, board.Join{A: board.JoinEnd{Role: "lower", Pad: "P:" + n.Name}, B: board.JoinEnd{Role: "upper", Pad: "P:" + n.Name}})
	}
	for _, role := range []string{"lower", "upper"} {
		scope.Members = append(scope.Members, check.Member{Role: role, Board: builders[role].Build()})
	}
	return scope
}

// Asked of many boards, not each of them says where its supply comes from.
func TestRemarksAreFew(t *testing.T) {
	r := run.New(run.Options{Now: stillClock})
	for i := range 30 {
		b := railBoard(40)
		b.Name = fmt.Sprintf("Plover-%d", i)
		tree, _ := syntax.Parse("parts fed only by L0")
		q, complaints := check.Check("parts fed only by L0", tree, &check.Scope{Members: []check.Member{{Board: b}}, Lenient: true})
		if q == nil {
			t.Fatal(complaints)
		}
		r.Add(context.Background(), q)
	}
	a := r.Finish()
	first, last := a.Remarks[0], a.Remarks[len(a.Remarks)-1]
	if len(a.Remarks) != 9 || first != "Plover-0: the supply is taken to come from U1 (charger) on VMAIN" || last != "and 22 more remarks of that sort" {
		t.Errorf("%q", a.Remarks)
	}
}
