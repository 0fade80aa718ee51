package run

import (
	"strings"
	"time"

	"netlore/query/value"
	"netlore/store/board"
)

var planHeads = []string{"step", "expected", "found", "time"}

// indented is a text under what it is a part of.
func indented(depth int, text string) string { return strings.Repeat("  ", depth) + text }

// addPlan adds the steps of a plan that was run.
func (t *table) addPlan(ev *evaluator) {
	if q := ev.assembly.inquiry; q != nil && len(t.rows) == 0 {
		t.addStep(nil, "work out "+plural(len(q.remarks), "job")+" from what was seen", value.Nothing(), len(q.suspects)+len(q.tests), q.took)
	}
	for _, line := range ev.plan.Lines(ev.actual) {
		text := indented(line.Depth, line.Text)
		if ev.role != "" {
			text = ev.role + ": " + text
		}
		t.addStep(ev.self, text, value.OfCount(line.Expected), line.Out, line.Took)
	}
}

func (t *table) addStep(of *Member, text string, expected value.Value, found int, took time.Duration) {
	q, _ := board.NewQuantity(took.Microseconds(), -6, board.Second)
	t.rows = append(t.rows, Row{Of: of, ID: board.None, Cells: []value.Value{
		value.OfText(text), expected, value.OfCount(found), value.OfQuantity(q),
	}})
}
