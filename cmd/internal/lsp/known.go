package lsp

import (
	"fmt"
	"slices"
	"time"

	"netlore/store/board"
	"netlore/store/sheet"
)

// A meaning tells what a target stands for.
type meaning func(t board.Target) thing

// meaning is how a document means its targets.
func (c *scope) meaning() meaning {
	return func(t board.Target) thing { return c.target(t, c.tell(t)) }
}

// target is the thing that a target stands for, given its kind.
func (c *scope) target(t board.Target, kind board.TargetKind) thing {
	m := sheet.Mention{Name: t.Name, Role: t.Role, Sort: sheet.SortOf(kind)}
	if kind == board.OnPin {
		m.Of, m.Name = sheet.SplitPin(t)
	}
	return c.thing(m)
}

// holds reports whether what is known of x is known of t: of the thing itself,
// or of a pin of the part.
func (t thing) holds(x thing) bool {
	return x == t || t.sort == sheet.PartSort && x.sort == sheet.PinSort && x.of == t.name && x.where == t.where
}

// knowledge says what is expected of a thing, what was measured and what was
// noted, in plain lines.
func (t thing) knowledge(k *board.Knowledge, mean meaning) []string {
	if k == nil {
		return nil
	}
	var all []string
	for _, e := range k.Expected {
		if t.holds(mean(e.On)) {
			all = append(all, expectedLine(e))
		}
	}
	var readings []string
	for _, r := range k.Readings {
		if t.holds(mean(r.On)) {
			readings = append(readings, readingLine(r))
		}
	}
	all = append(all, shortened(readings, "reading")...)
	var notes []string
	for _, n := range k.Notes {
		if slices.ContainsFunc(n.On, func(on board.Target) bool { return t.holds(mean(on)) }) {
			notes = append(notes, words("note:", n.Text, label("by", n.By)))
		}
	}
	return append(all, shortened(notes, "note")...)
}

// shortened keeps the last of many lines, which are the newest.
func shortened(lines []string, thing string) []string {
	if len(lines) <= most {
		return lines
	}
	return append([]string{fmt.Sprintf("%s, the last %d:", count(len(lines), thing), most)}, lines[len(lines)-most:]...)
}

func expectedLine(e board.Expected) string {
	value := e.Value.String()
	if e.Open {
		value = "open"
	}
	return words("expected", e.Mode.String(), value, e.Within.String(), label("by", e.By), date(e.When), e.Text)
}

func readingLine(r board.Reading) string {
	value := r.Value.String()
	if r.Outcome != board.Measured {
		value = r.Outcome.Word(r.Mode)
	}
	good := ""
	if r.Good {
		good = "on a good board"
	}
	to := ""
	if r.To != (board.Target{}) {
		to = "to " + board.QuoteName(r.To.Name)
	}
	return words("read", r.Mode.String(), value, to, good, label("job", r.Job), label("meter", r.Meter), label("by", r.By), date(r.When), r.Text)
}

func date(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}

// jobLines says what is known of a job.
func jobLines(k *board.Knowledge, id string) []string {
	for _, j := range k.Jobs {
		if j.ID != id {
			continue
		}
		culprits := make([]string, len(j.Culprits))
		for i, c := range j.Culprits {
			culprits[i] = board.QuoteName(c.Name)
			if c.Role != "" {
				culprits[i] = board.QuoteName(c.Role) + ":" + culprits[i]
			}
		}
		return said("job "+board.QuoteName(j.ID), label("of", j.Of), j.Symptom, label("opened", date(j.Opened)), label("closed", date(j.Closed)),
			label("culprit", list(culprits)), label("outcome", j.Outcome), j.Remark, count(len(j.Steps), "step"))
	}
	return nil
}

// meterLines is what is stated of a meter.
func meterLines(k *board.Knowledge, name string) []string {
	for _, m := range k.Meters {
		if m.Name == name {
			return append(said("meter "+board.QuoteName(m.Name), m.Title), m.Facts()...)
		}
	}
	return nil
}

// joined says to which pads of other boards a pad is soldered.
func (t thing) joined(s *board.Stack, c *scope) []string {
	if s == nil || t.sort != sheet.PadSort {
		return nil
	}
	var ends []string
	for _, j := range s.Joins {
		for _, e := range [][2]board.JoinEnd{{j.A, j.B}, {j.B, j.A}} {
			if e[0].Pad == t.name && c.meant(e[0].Role).where == t.where {
				ends = append(ends, board.QuoteName(e[1].Role)+":"+board.QuoteName(e[1].Pad))
			}
		}
	}
	return said(label("joined to", list(ends)))
}
