package run_test

import (
	"context"
	"fmt"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/run"
	"netlore/query/syntax"
	"netlore/query/words"
	"netlore/store/board"
)

// typed checks a question for one board. It is nil if the question is refused.
func typed(text string, b *board.Board, k *board.Knowledge) *check.Question {
	tree, complaints := syntax.Parse(text)
	if complaints.HasErrors() {
		return nil
	}
	scope := &check.Scope{Members: []check.Member{{Board: b, Knowledge: k}}}
	q, complaints := check.Check(text, tree, scope)
	if complaints.HasErrors() {
		return nil
	}
	return q
}

// bounds are the names of what is certainly and what is possibly in an answer.
type bounds struct{ certain, possible map[string]bool }

// boundsOf asks a question for both its bounds.
func boundsOf(q *check.Question, opt plan.Options) bounds {
	b := bounds{map[string]bool{}, map[string]bool{}}
	for _, possibly := range []bool{false, true} {
		asked := *q
		asked.Possibly = possibly
		for _, row := range run.Run(context.Background(), &asked, run.Options{Plan: opt}).Rows {
			name := row.Cells[0].Raw()
			b.possible[name] = true
			if !possibly {
				b.certain[name] = true
			}
		}
	}
	return b
}

func (b bounds) String() string {
	return fmt.Sprintf("certain %v, possible %v", names(b.certain), names(b.possible))
}

func names(set map[string]bool) []string {
	var all []string
	for name := range set {
		all = append(all, name)
	}
	slices.SortFunc(all, board.CompareNatural)
	return all
}

// missing is what is in a and not in b.
func missing(a, b map[string]bool) []string {
	less := map[string]bool{}
	for name := range a {
		if !b[name] {
			less[name] = true
		}
	}
	return names(less)
}

// asker makes up questions about random boards.
type asker struct{ *rand.Rand }

// parts is a question for parts, with sub-questions to a depth.
func (a asker) parts(depth int) string {
	if depth > 0 && chance(a.Rand, 15) {
		return fmt.Sprintf("(%s) %s (%s)", a.parts(depth-1), pick(a.Rand, "except", "and also", "shared with"), a.parts(depth-1))
	}
	head := pick(a.Rand, "parts", "parts", "parts", "capacitors", "hidden parts", "visible parts", "top parts", "transceivers", "chips", "hidden capacitors", "inductors, beads or 0ohm")
	return head + a.phrases(depth, a.partPhrase)
}

// phrases are up to three, with and without `not`, perhaps joined by `or`.
func (a asker) phrases(depth int, phrase func(int) string) string {
	var s strings.Builder
	for i := range a.Intn(4) {
		if i == 1 && chance(a.Rand, 20) {
			s.WriteString(" or")
		}
		s.WriteString(" ")
		if chance(a.Rand, 25) {
			s.WriteString("not ")
		}
		s.WriteString(phrase(depth))
	}
	return s.String()
}

func (a asker) partPhrase(depth int) string {
	if depth > 0 && chance(a.Rand, 20) {
		switch a.Intn(4) {
		case 0:
			return "under (" + a.covers(depth-1) + ")"
		case 1:
			return "on (" + a.nets(depth-1) + ")"
		case 2:
			return "behind (" + a.parts(depth-1) + ")"
		}
		return fmt.Sprintf("within %dmm of (%s)", 1+a.Intn(6), a.parts(depth-1))
	}
	return pick(a.Rand,
		"on VMAIN", "on VMAIN", "on GND, VMAIN", "on VBAT*", "on power nets", "on 5V", "on branch VMAIN.a", "on branch *@*",
		"under any cover", "under SH1", "under SH1, ST1", "under shield or connector", "under J7",
		"in bottom left", "in middle of Plover-A", "in right of Plover-A", "in box 5,5 20,25mm", "behind J7", "behind U1", "within 3mm of U1", "within 500um of J7", "within 2mm of any pad",
		"with value >= 10uF", "with value 10uF or 1uF", "with value below 10ohm", "with value != 1uF",
		"fed only by P1 from U1", "fed only by P1 from VMAIN through any", "fed only by J7, P1 from 5V through resistors or inductors",
		"fed only by U1 from N$12 through chips, resistors, beads or inductors", "fed only by U1, J7 from VMAIN through any below 5ohm",
		"with volts at least 10V", "with side = top", "with pins > 2", "with unknown value", "without volts", "with class = chip")
}

func (a asker) nets(depth int) string {
	head := pick(a.Rand, "nets", "nets", "power nets", "ground nets")
	return head + a.phrases(depth, func(depth int) string {
		if depth > 0 && chance(a.Rand, 30) {
			return "of (" + a.parts(depth-1) + ")"
		}
		return pick(a.Rand, "of U1", "of J7", "of P1, P2", "with volts = 3.8V", "with parts > 4", "of branch VMAIN.a", "with kind = power",
			"joined to VMAIN", "joined to U1 through resistors below 1kohm", "joined to J7, P1 through any", "joined to 5V through chips, beads or inductors", "fed only by J7 from VMAIN through any")
	})
}

func (a asker) covers(depth int) string {
	return "covers" + a.phrases(depth, func(depth int) string {
		if depth > 0 && chance(a.Rand, 50) {
			return "over (" + a.parts(depth-1) + ")"
		}
		return pick(a.Rand, "in top right", "over U1", "over P1..P3", "with risk = high", "with minutes below 6min", "with kind = shield", "with side = top", "with parts > 3")
	})
}

func (a asker) pads(depth int) string {
	return pick(a.Rand, "pads", "hidden pads", "visible pads", "bottom pads") + a.phrases(depth, func(depth int) string {
		if depth > 0 && chance(a.Rand, 30) {
			return "on (" + a.nets(depth-1) + ")"
		}
		return pick(a.Rand, "on VMAIN", "in IP1", "under SH1", "under any cover", "in top middle", "within 4mm of U1", "behind J7", "on branch VMAIN.b", "with group = IP2", "without net",
			"leading to U1", "leading to VMAIN through beads or resistors", "joined to N$12 through any below 5ohm", "joined to branch VMAIN.a through resistors")
	})
}

func (a asker) pins(depth int) string {
	return "pins" + a.phrases(depth, func(depth int) string {
		if depth > 0 && chance(a.Rand, 40) {
			return "of (" + a.parts(depth-1) + ")"
		}
		return pick(a.Rand, "of U1", "on VMAIN", "on power nets", "under SH1", "on branch VMAIN.a", "not on branch *@*", "without net", "with side = bottom",
			"joined to VMAIN through resistors or 0ohm", "fed only by P1, J7 from U1 through resistors", "joined to U1 through any")
	})
}

// any is a question for anything.
func (a asker) any(depth int) string {
	return pick(a.Rand, a.parts, a.parts, a.parts, a.nets, a.covers, a.pads, a.pins)(depth)
}

// questions calls f with so many random questions that are accepted, each about
// a random board.
func questions(t *testing.T, seed int64, n int, f func(r *rand.Rand, b *board.Board, q *check.Question)) {
	t.Helper()
	r := rand.New(rand.NewSource(seed))
	var b *board.Board
	refused := 0
	for asked := 0; asked < n; {
		if asked%10 == 0 {
			b = randomBoard(r, 4+r.Intn(30), pick(r, 0, 20, 40))
		}
		q := typed(asker{r}.any(2), b, nil)
		if q == nil {
			if refused++; refused > 10*n+100 {
				t.Fatal("nearly all questions are refused")
			}
			continue
		}
		asked++
		f(r, b, q)
	}
	if refused > n/2 {
		t.Errorf("%d questions were refused, %d asked: the generator does not speak the language", refused, n)
	}
}

// epistemic reports whether a question asks what is known, not what is so.
func epistemic(text string) bool {
	return strings.Contains(text, "with unknown") || strings.Contains(text, "without volts")
}

// runStill answers with the clock standing still.
func runStill(q *check.Question, opt plan.Options) *run.Answer {
	return run.Run(context.Background(), q, run.Options{Plan: opt, Now: stillClock})
}

// runBoth asks two boards the same question.
func runBoth(a, b *check.Question) *run.Answer {
	r := run.New(run.Options{Now: stillClock})
	r.Add(context.Background(), a)
	r.Add(context.Background(), b)
	return r.Finish()
}

// withinOf is the relation of things that are no further apart than that.
func withinOf(distance string) check.Related {
	return check.Related{Relation: words.Within, Distance: board.MustQuantity(distance)}
}
