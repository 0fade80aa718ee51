package bench

import (
	"slices"
	"strings"

	"netlore/query/run"
)

// card is a proposed test: what it takes, and a button for each way in which it may
// come out.
type card struct {
	Name  string
	Needs string
	Facts []string
	Ways  []way
}

// way is how a test may come out, and what its button logs in one line.
type way struct {
	run.Way
	Logs string
}

// Wants reports whether something has to be typed for it.
func (w way) Wants() bool {
	return slices.ContainsFunc(w.Steps, func(s run.Typed) bool { return s.Wants != "" })
}

// cards are the tests that are proposed, the best first.
func cards(a *run.Answer) (all []card) {
	for i, ways := range a.Ways[:min(len(a.Ways), len(a.Rows))] {
		r, c := &a.Rows[i], card{}
		for _, w := range ways {
			c.Ways = append(c.Ways, way{w, logs(&w)})
		}
		for k, column := range a.Columns {
			text := r.Cells[k].In(column.Unit)
			switch {
			case r.Cells[k].Missing():
			case column.Name == "test":
				c.Name = text
			case column.Name == "needs":
				c.Needs = text
			case column.Name == "minutes":
				c.Facts = append(c.Facts, text+column.Unit)
			case column.Name == "risk":
				c.Facts = append(c.Facts, "risk "+text+" "+column.Unit)
			case column.Name == "bits":
				c.Facts = append(c.Facts, "tells "+text+" bits")
			}
		}
		all = append(all, c)
	}
	return all
}

// remarksOf are the remarks of an answer, with cautions, which are wrapped for a
// terminal, as one.
func remarksOf(a *run.Answer) (remarks, cautions []string) {
	for _, lines := range [][]string{run.Cautions(), run.FreezerCautions} {
		if slices.Contains(a.Remarks, lines[0]) {
			cautions = append(cautions, strings.Join(lines, " "))
		}
	}
	for _, text := range a.Remarks {
		if !slices.Contains(run.Cautions(), text) && !slices.Contains(run.FreezerCautions, text) {
			remarks = append(remarks, text)
		}
	}
	return remarks, cautions
}

// logs are the steps that a way logs, in one line.
func logs(w *run.Way) string {
	var all []string
	for _, s := range w.Steps {
		text := s.Text
		if s.Wants != "" {
			text += "…" + s.After
		}
		all = append(all, text)
	}
	return strings.Join(all, ", then ")
}
