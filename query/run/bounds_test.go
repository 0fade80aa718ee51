package run_test

import (
	"math/rand"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/store/board"
)

var exported = cmp.AllowUnexported(bounds{})

// The planned and indexed answer is that of nested loops, in both bounds.
func TestAgreesWithNestedLoops(t *testing.T) {
	questions(t, 1, 1500, func(_ *rand.Rand, b *board.Board, q *check.Question) {
		want := naively(b).answer(q)
		if d := cmp.Diff(want, boundsOf(q, plan.Options{}), exported); d != "" {
			t.Fatalf("%s\n%s", q.Text, d)
		}
	})
}

// Indexes and the order of conditions change nothing.
func TestPlanNeverChangesTheAnswer(t *testing.T) {
	questions(t, 2, 800, func(_ *rand.Rand, b *board.Board, q *check.Question) {
		planned, scanned := answerOf(q, plan.Options{}), answerOf(q, plan.Options{Scan: true})
		if d := cmp.Diff(scanned, planned); d != "" {
			t.Fatalf("%s\n%s", q.Text, d)
		}
	})
}

func answerOf(q *check.Question, opt plan.Options) string {
	return tableText(runStill(q, opt))
}

// What is certain stays so, and nothing that was impossible turns up, however
// the unknowns turn out. The rule of the two bounds is from Libkin, TODS 41(1),
// 2016.
func TestBoundsHoldForEveryCompletion(t *testing.T) {
	narrowed := 0
	questions(t, 3, 600, func(r *rand.Rand, b *board.Board, q *check.Question) {
		if epistemic(q.Text) {
			return
		}
		narrowed += holdsCompleted(t, "seed 3", r, b, q)
	})
	if narrowed < 200 {
		t.Errorf("only %d completions settled anything: the boards know too much to test with", narrowed)
	}
}

// holdsCompleted settles the unknowns of a board in four ways and holds the
// bounds to what comes of it. It returns how often they came closer.
func holdsCompleted(t *testing.T, seed string, r *rand.Rand, b *board.Board, q *check.Question) (narrowed int) {
	t.Helper()
	if strings.Contains(q.Text, "@") {
		return 0 // a piece that tracks leave has another name when all is known
	}
	open := boundsOf(q, plan.Options{})
	for range 4 {
		c := completed(r, b)
		if b.HasGround() {
			c = sameGround(b, c)
		}
		settled := boundsOf(typed(q.Text, c, nil), plan.Options{})
		if lost := missing(open.certain, settled.certain); lost != nil {
			t.Fatalf("%s: %s: %v were certain, and are not when all is known", seed, q.Text, lost)
		}
		if new := missing(settled.possible, open.possible); new != nil {
			t.Fatalf("%s: %s: %v were impossible, and are there when all is known", seed, q.Text, new)
		}
		if len(open.possible)-len(open.certain) > len(settled.possible)-len(settled.certain) {
			narrowed++
		}
	}
	return narrowed
}
