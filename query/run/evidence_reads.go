package run

import (
	"strings"
	"time"

	"netlore/query/plan"
	"netlore/query/readings"
	"netlore/store/board"
)

// reads tells what was read, place by place, and what is expected there.
func (t *teller) reads(n *plan.Node, f finding, id int32, depth int) {
	all := t.ev.readsOf(thing{n.Noun, id}, n.Reads.Jobs)
	if len(all) == 0 {
		t.add(depth, n.Text(), f, "there is no reading of it that counts", t.ev.statement(thing{n.Noun, id}))
		return
	}
	for i := range all {
		x := &all[i]
		if one := x.fits(n.Reads); len(all) > 1 && one.Truth != f.Truth && i < len(all)-1 {
			continue // another place decides
		}
		for k, r := range x.newest {
			condition := n.Text()
			if k > 0 {
				condition = "or"
			}
			t.add(depth, condition, f, t.ev.readText(x, r), t.ev.readRests(x, r)...)
			t.list[len(t.list)-1].by = readBy(r)
		}
		return
	}
}

// readText is a reading and what is expected at its place.
func (ev *evaluator) readText(x *read, r *board.Reading) string {
	text := ev.nameValue(x.place.noun, x.place.id).String() + " read " + shownOf(r).String() + " in " + x.mode.String()
	expected := x.expects(r)
	if len(expected) == 0 {
		return text + "; nothing is expected there"
	}
	var all []string
	for i := range expected {
		all = append(all, expectedText(&expected[i], x.expected == nil))
	}
	text += "; expected " + strings.Join(all, ", or ")
	if readings.Reversed(r.Mode, r.BlackGround) {
		return text + " with red on ground; black was"
	}
	meter := ev.meter(r)
	if set, _ := readings.Judge(r, expected, meter); set == readings.Of(readings.Shorted) && r.Outcome == board.Measured {
		text += "; " + readings.ShortReason(r.Mode, meter)
	}
	return text
}

// expectedText is what is expected, and by whom or by what.
func expectedText(e *board.Expected, learned bool) string {
	text := "open"
	if !e.Open {
		text = strings.TrimSpace(e.Value.String() + " " + e.Within.String())
	}
	switch {
	case learned:
		text += " by " + e.Text
	case e.By != "":
		text += " by " + e.By
	}
	return text
}

// readRests are the statements of a reading and of what is expected.
func (ev *evaluator) readRests(x *read, r *board.Reading) []board.Statement {
	var rests []board.Statement
	if r.Step > 0 {
		rests = append(rests, stepOf(r.Job, r.Step))
	} else {
		rests = append(rests, board.Statement{Head: "reading " + r.Mode.String() + " " + r.On.Written()})
	}
	if x.expected == nil {
		return append(rests, x.site.learnedFrom(x.place, x.mode)...)
	}
	for i := range x.expected {
		rests = append(rests, board.Statement{Head: "expect " + x.mode.String() + " " + x.expected[i].On.Written()})
	}
	return rests
}

// readBy is what a reading says of itself: in which job, who took it, and when.
func readBy(r *board.Reading) string {
	var all []string
	if r.Job != "" {
		all = append(all, "job "+r.Job)
	}
	if r.By != "" {
		all = append(all, "read by "+r.By)
	}
	if !r.When.IsZero() {
		all = append(all, r.When.UTC().Format(time.DateOnly))
	}
	return strings.Join(all, ", ")
}
