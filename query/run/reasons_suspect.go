package run

import (
	"fmt"
	"slices"

	"netlore/query/plan"
	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// askedFor are the things of a set that a name stands for. A suspect is asked for by
// the name of the part, pad or branch that it is: of those, it is what is made of
// least, so that a part is the part, and not the pairs that it is one of.
func (ev *evaluator) askedFor(n words.Noun, t thing) (ids []int32) {
	if n != words.Suspects || t.noun == words.Suspects {
		return []int32{t.id}
	}
	least := map[string]int{}
	all := ev.assembly.inquiry.of[memberThing{ev.member, t}]
	for _, id := range all {
		x := ev.suspect(id)
		if size, ok := least[x.job.ID]; !ok || len(x.pieces) < size {
			least[x.job.ID] = len(x.pieces)
		}
	}
	return slices.DeleteFunc(slices.Clone(all), func(id int32) bool {
		return len(ev.suspect(id).pieces) > least[ev.suspect(id).job.ID]
	})
}

// noSuspect tells of a thing that is no suspect at all.
func (p *Part) noSuspect(ev *evaluator, t thing) {
	name := ev.nameValue(t.noun, t.id)
	p.judged = append(p.judged, judged{name.String(), board.False})
	p.table.rows = append(p.table.rows, Row{Of: ev.self, ID: t.id, Cells: []value.Value{
		name, value.OfText("suspects"), value.OfTruth(board.False), value.OfText("it is not between the rail and ground, as far as is known"), value.Nothing(),
	}})
}

// suspicion tells how likely a suspect is, and below that what each step of the job
// says of it.
func (t *teller) suspicion(n *plan.Node, id int32, depth int) {
	x := t.ev.suspect(id)
	t.add(depth, n.Text(), known(slices.Contains(n.Jobs, x.job.ID)), fmt.Sprintf("%s, the %s of %d", percent(x.p), ordinal(x.rank), len(x.at.Suspects())))
	for o, step := range x.seen {
		bits := x.spoke(o, x.number)
		s := x.steps[step].step
		t.list = append(t.list, reason{depth: depth + 1, tells: true, at: x.site(0), rests: []board.Statement{stepOf(x.job.ID, s.Number)},
			condition: fmt.Sprintf("step %d: %s", s.Number, said(s)), because: fmt.Sprintf("%s, %+.2f bits", speaks(bits), bits)})
	}
}

// speaks is whether a step speaks for a suspect or against it.
func speaks(bits float64) string {
	switch {
	case bits > .05:
		return "for it"
	case bits < -.05:
		return "against it"
	}
	return "neither"
}

// ordinal is "1st", "2nd", "11th".
func ordinal(n int) string {
	end := "th"
	if n/10%10 != 1 {
		switch n % 10 {
		case 1:
			end = "st"
		case 2:
			end = "nd"
		case 3:
			end = "rd"
		}
	}
	return fmt.Sprint(n, end)
}
