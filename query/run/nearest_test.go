package run_test

import (
	"math/rand"
	"testing"

	"netlore/query/check"
	"netlore/query/plan"
)

// How far away a thing is and from which does not depend on how far was looked.
func TestNearestIsTheSameFromFar(t *testing.T) {
	r := rand.New(rand.NewSource(12))
	compared := 0
	for range 200 {
		b := randomBoard(r, 4+r.Intn(40), 30)
		a := asker{r}
		operand := pick(r, "("+a.parts(1)+")", "(parts)", "(top parts)", "(capacitors)", "(pads)", "(pins)", "any cover")
		for _, noun := range []string{"parts", "pads", "pins"} {
			near, far := placedBy(typed(noun+" on * or within 2mm of "+operand, b, nil)), placedBy(typed(noun+" on * or within 1m of "+operand, b, nil))
			for name, row := range near {
				if compared++; row != far[name] {
					t.Fatalf("%s within 2mm of %s: %s, and from far %s", noun, operand, row, far[name])
				}
			}
		}
	}
	if compared < 1000 {
		t.Errorf("only %d rows were compared", compared)
	}
}

// placedBy are the rows of an answer by their things.
func placedBy(q *check.Question) map[string]string {
	rows := map[string]string{}
	if q != nil {
		for _, row := range runStill(q, plan.Options{}).Rows {
			rows[row.Cells[0].String()] = rowText(row)
		}
	}
	return rows
}

// What it costs to tell how far away each of many things is, and from which of
// many, beside their names alone.
func BenchmarkNearestOfMany(b *testing.B) {
	large := largeBoard(5000)
	for _, show := range []string{"", " show name"} {
		q := ask(b, "parts within 3mm of (parts on VMAIN)"+show, large)
		b.Run(map[bool]string{true: "distances", false: "names"}[show == ""], func(b *testing.B) {
			for b.Loop() {
				if a := runStill(q, plan.Options{}); len(a.Rows) < 4000 {
					b.Fatal(len(a.Rows))
				}
			}
		})
	}
}
