package run_test

import (
	"context"
	"math/rand"
	"strings"
	"testing"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/run"
	"netlore/query/value"
	"netlore/store/board"
)

// why asks for the reasons of one thing: how true each condition is, without
// those of sub-questions.
func why(t *testing.T, text string, b *board.Board) (truths []string, conditions []string, a *run.Answer) {
	t.Helper()
	a = run.Run(context.Background(), asked(t, text, b, nil), run.Options{Now: stillClock})
	for _, row := range a.Rows {
		if condition := row.Cells[1].Raw(); !strings.HasPrefix(condition, " ") {
			truths, conditions = append(truths, row.Cells[2].String()), append(conditions, condition)
		}
	}
	return truths, conditions, a
}

// The reasons that are told agree with the answer: a thing is certainly in it if
// every condition holds, certainly not if one fails, and else possibly. Why not
// tells the first that fails, or else the first that is not known.
func TestReasonsAgreeWithTheAnswer(t *testing.T) {
	told := map[string]int{}
	questions(t, 31, 400, func(r *rand.Rand, b *board.Board, q *check.Question) {
		if _, one := q.Set.(*check.Select); !one || len(q.Text) == 0 {
			return
		}
		bounds := boundsOf(q, plan.Options{})
		noun := q.Set.Noun()
		n := naively(b)
		name := n.name(noun, r.Intn(n.count(noun)))
		quoted := value.OfName("", name, `"`+name+`"`).String()
		if strings.Contains(name, ".") {
			quoted = name // a pin
		}
		truths, conditions, a := why(t, "why "+quoted+" in ("+q.Text+")", b)
		want := "no"
		switch {
		case bounds.certain[name]:
			want = "yes"
		case bounds.possible[name]:
			want = "unknown"
		}
		got, first := "yes", ""
		for i, truth := range truths {
			if truth == "no" || truth == "unknown" && got == "yes" {
				if got != "no" {
					first = conditions[i]
				}
				got = truth
			}
		}
		if got != want {
			t.Fatalf("why %s in (%s): the reasons say %s, the answer %s\n%s", name, q.Text, got, want, tableText(a))
		}
		told[got]++
		_, conditions, a = why(t, "why not "+quoted+" in ("+q.Text+")", b)
		if strings.Join(conditions, "; ") != first {
			t.Fatalf("why not %s in (%s): %v, want %q\n%s", name, q.Text, conditions, first, tableText(a))
		}
	})
	if told["yes"] < 30 || told["no"] < 30 || told["unknown"] < 15 {
		t.Errorf("too few of a sort: %v", told)
	}
}
