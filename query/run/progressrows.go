package run

import (
	"context"
	"fmt"
	"strings"

	"netlore/query/check"
	"netlore/query/isolate"
	"netlore/query/value"
	"netlore/store/board"
)

// Progress tells, step by step, how a job has narrowed what may be bad.
func Progress(ctx context.Context, scope *check.Scope, i Isolation) (*Answer, error) {
	a := &Answer{listing: spokenRows, Columns: []Column{{Name: "step"}, {Name: "seen"}, {Name: "left"}, {Name: "bits"}, {Name: "likeliest"}, {Name: "chance"}}}
	x, err := isolating(ctx, scope, i, func(x *isolation, step int, c *isolate.Case) {
		a.Rows = append(a.Rows, x.progress(c, &x.steps[step]))
	})
	if err != nil {
		return nil, err
	}
	a.Things = len(x.seen)
	a.Remarks = x.remarks()
	a.setUnits()
	return a, nil
}

// progress is a row: a step and what is left after it.
func (x *isolation) progress(c *isolate.Case, t *told) Row {
	cells := []value.Value{value.OfCount(t.step.Number), value.OfText(said(t.step)), value.Nothing(), value.Nothing(), value.Nothing(), value.Nothing()}
	if t.about != nil {
		all := c.Suspects()
		cells[2] = value.OfCount(most(all))
		cells[3] = value.OfText(fmt.Sprintf("%.1f", c.Entropy()))
		cells[4] = value.OfText(x.named(c.Fault(all[0].Faults[0])))
		cells[5] = percent(all[0].P)
	}
	return Row{ID: board.None, Cells: cells}
}

// said is a step without who logged it and when: its words but those two, where
// what stands in quotation marks is one word.
func said(s *board.Step) string {
	var words []string
	quoted := false
	fields := strings.FieldsFunc(s.Text, func(r rune) bool {
		if r == '"' {
			quoted = !quoted
		}
		return r == ' ' && !quoted
	})
	for i := 0; i < len(fields); i++ {
		if w := fields[i]; w == "when" && !s.When.IsZero() || w == "by" && s.By != "" {
			i++
			continue
		}
		words = append(words, shortened(fields[i]))
	}
	return strings.Join(words, " ")
}

// shortened is a list of names on one board with ranges for successive ones:
// lower:P1..P40.
func shortened(list string) string {
	names := strings.Split(list, ",")
	role := names[0][:strings.IndexByte(names[0], ':')+1]
	for i, name := range names {
		if !strings.HasPrefix(name, role) || strings.ContainsAny(name[len(role):], `":`) {
			return list
		}
		names[i] = name[len(role):]
	}
	names = board.CompressRange(names)
	for i := range names {
		names[i] = role + names[i]
	}
	return strings.Join(names, ",")
}

// most is how many suspects share all but a twentieth.
func most(all []isolate.Suspect) int {
	sum := 0.0
	for n, s := range all {
		if sum += s.P; sum >= .95 {
			return n + 1
		}
	}
	return len(all)
}
