package sheet_test

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"netlore/store/board"
)

func (f facts) stack(s *board.Stack) {
	if s.Name != "" {
		f.add("stack "+s.Name, "text", s.Title)
	}
	for _, m := range s.Members {
		f.add("role "+m.Role, "board", m.Board.Name)
		f.add("role "+m.Role, "rev", m.Board.Revision)
	}
	for _, j := range s.Joins {
		f.add("join "+j.A.Role+":"+j.A.Pad+" "+j.B.Role+":"+j.B.Pad, "in", j.Via)
	}
}

func (f facts) knowledge(k *board.Knowledge) {
	for _, e := range k.Expected {
		value := e.Value.String()
		if e.Open {
			value = "open"
		}
		f.nameless("expect", said{"mode": {e.Mode.String()}, "on": {target(e.On)}, "value": {value},
			"tolerance": {e.Within.String()}, "by": {e.By}, "when": {when(e.When)}, "text": {e.Text}}.said())
	}
	for _, r := range k.Readings {
		f.nameless("reading", said{"mode": {r.Mode.String()}, "on": {target(r.On)}, "to": {target(r.To)},
			"value": {r.Value.String() + r.Outcome.Word(r.Mode)}, "red-on-ground": {yes(r.RedGround)}, "black-on-ground": {yes(r.BlackGround)}, "meter": {r.Meter},
			"state": r.State, "good": {yes(r.Good)}, "job": {r.Job}, "specimen": {r.Specimen}, "by": {r.By},
			"when": {when(r.When)}, "text": {r.Text}}.said())
	}
	for _, n := range k.Notes {
		f.nameless("note", said{"on": targetsOf(n.On), "text": {n.Text}, "tagged": n.Tags, "by": {n.By}, "when": {when(n.When)}}.said())
	}
	for _, l := range k.Links {
		f.nameless("continuity", said{"of": {target(l.A), target(l.B)}, "by": {l.By}, "when": {when(l.When)}}.said())
	}
	for _, m := range k.Meters {
		for attr, values := range (said{"text": {m.Title}, "test": {m.Test.String()}, "open": {m.Open.String()}, "shows": {m.Shows}, "leads": {m.Leads.String()},
			"red-on-ground": {yes(m.RedGround)}, "black-on-ground": {yes(m.BlackGround)}, "address": {m.Address}, "by": {m.By}, "when": {when(m.When)}}) {
			f.add("meter "+m.Name, attr, values...)
		}
	}
	for _, c := range k.Chances {
		for attr, values := range (said{"text": {c.Text}, "often": {c.Often.String()}, "short": {c.Short.String()}, "part": {c.Part.String()}, "bridge": {c.Bridge.String()},
			"zone": {c.Zone.String()}, "several": {c.Several.String()}, "else": {c.Else.String()}, "second": {c.Second.String()},
			"miss": {c.Miss.String()}, "alarm": {c.Alarm.String()}, "by": {c.By}, "when": {when(c.When)}}) {
			f.add("chance "+c.Of, attr, values...)
		}
	}
	for _, q := range k.Questions {
		f.add("question "+q.Name, "text", q.Text)
		f.add("question "+q.Name, "parameters", strings.Join(q.Parameters, " "))
	}
	for _, j := range k.Jobs {
		t := "job " + j.ID
		for attr, values := range (said{"of": {j.Of}, "text": {j.Symptom}, "supply": {j.Supply.String()}, "limit": {j.Limit.String()},
			"draw": {j.Draw.String()}, "opened": {when(j.Opened)}, "closed": {when(j.Closed)}, "culprit": targetsOf(j.Culprits),
			"outcome": {j.Outcome}, "remark": {j.Remark}, "by": {j.By}}) {
			f.add(t, attr, values...)
		}
		for _, s := range j.Steps {
			step := fmt.Sprintf("step %s.%d", j.ID, s.Number)
			for attr, values := range tinyStep(s.Text) {
				f.add(step, attr, values...)
			}
		}
	}
}

type said map[string][]string

// said leaves out what is not said.
func (s said) said() map[string][]string {
	f := facts{}
	for attr, values := range s {
		f.add("", attr, values...)
	}
	return f[""]
}

func netName(b *board.Board, n board.NetID) string {
	if n == board.None {
		return ""
	}
	return b.Nets[n].Name
}

func number(n int32) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(int(n))
}

func size(w, h int32) string {
	if w == 0 && h == 0 {
		return ""
	}
	return fmt.Sprintf("%dx%d", w, h)
}

func place(known bool, p board.Point) string {
	if !known {
		return ""
	}
	return fmt.Sprintf("%d,%d", p.X, p.Y)
}

func points(all []board.Point) string {
	var texts []string
	for _, p := range all {
		texts = append(texts, place(true, p))
	}
	return strings.Join(texts, " ")
}

func yes(on bool) string {
	if on {
		return "yes"
	}
	return ""
}

func when(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339)
}

func target(t board.Target) string {
	s := t.Name
	if t.Role != "" {
		s = t.Role + ":" + s
	}
	if t.Pin != "" {
		s += "." + t.Pin
	}
	if t.Kind != board.AnyTarget {
		s = t.Kind.String() + " " + s
	}
	return s
}

func targetsOf(all []board.Target) (texts []string) {
	for _, t := range all {
		texts = append(texts, target(t))
	}
	return texts
}
