package board

import (
	"strconv"
	"time"
)

// Touch is what was found once of two places of one board: that they ring, or
// that they do not.
type Touch struct {
	A, B  Target // without a role; B is the zero Target for ground
	Rings bool
	Said  bool   // stated to be on one net, not only measured
	Job   string // of a reading on one device on the bench
	By    string
	When  time.Time
	Line  Statement // that says so
}

// String is a touch in words: "P11 rings to TP7".
func (t *Touch) String() string {
	b := "ground"
	if t.B != (Target{}) {
		b = t.B.String()
	}
	if t.Rings {
		return t.A.String() + " rings to " + b
	}
	return t.A.String() + " does not ring to " + b
}

// Touches are what is known of continuity between places of one board, which has
// the role in its stack: links, then readings, then steps of jobs, each in order.
// A value in ohms says neither that it rings nor that it does not.
func (k *Knowledge) Touches(role string) []Touch {
	g := touchGatherer{role: role}
	for i := range k.Links {
		l := &k.Links[i]
		g.add(l.A, l.B, Touch{Rings: true, Said: true, By: l.By, When: l.When, Line: l.statement()})
	}
	for i := range k.Readings {
		if r := &k.Readings[i]; r.touches() {
			g.add(r.On, r.To, Touch{Rings: r.Outcome == Closed, Job: r.Job, By: r.By, When: r.When, Line: r.touchStatement()})
		}
	}
	for i := range k.Jobs {
		g.job(&k.Jobs[i])
	}
	return g.all
}

type touchGatherer struct {
	role string
	all  []Touch
}

// add adds a touch if both places are on the board.
func (g *touchGatherer) add(a, b Target, t Touch) {
	for _, x := range []*Target{&a, &b} {
		if x.Role != "" && x.Role != g.role {
			return
		}
		x.Role = ""
	}
	t.A, t.B = a, b
	g.all = append(g.all, t)
}

func (g *touchGatherer) job(j *Job) {
	for i := range j.Steps {
		s := &j.Steps[i]
		if !s.touches() {
			continue
		}
		t := Touch{Rings: s.Outcome == Closed, Job: j.ID, By: s.By, When: s.When, Line: Statement{Head: "job " + QuoteName(j.ID), Member: strconv.Itoa(s.Number)}}
		if t.By == "" {
			t.By = j.By
		}
		g.add(s.On[0], s.To, t)
	}
}

func (s *Step) touches() bool {
	return s.Kind == StepReading && s.Mode == Continuity && len(s.On) > 0 && (s.Outcome == Closed || s.Outcome == NotClosed)
}

func (r *Reading) touches() bool {
	return r.Mode == Continuity && (r.Outcome == Closed || r.Outcome == NotClosed)
}

// HasTouches reports whether Touches would find any, of whatever role.
func (k *Knowledge) HasTouches() bool {
	if len(k.Links) > 0 {
		return true
	}
	for i := range k.Readings {
		if k.Readings[i].touches() {
			return true
		}
	}
	for i := range k.Jobs {
		for n := range k.Jobs[i].Steps {
			if k.Jobs[i].Steps[n].touches() {
				return true
			}
		}
	}
	return false
}

func (l *Link) statement() Statement {
	return Statement{Head: "continuity " + l.A.Written() + " " + l.B.Written()}
}

func (r *Reading) touchStatement() Statement {
	head := "reading continuity " + r.On.Written()
	if r.To != (Target{}) {
		head += " to " + r.To.Written()
	}
	return Statement{Head: head + " " + r.Outcome.Word(Continuity)}
}
