package query

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"netlore/query/check"
	"netlore/query/diag"
	"netlore/query/run"
	"netlore/store/board"
)

// Report is what there is to say of a job to whoever sent the device.
type Report struct {
	Job      board.Job
	Story    []string    // the steps, in plain words
	Before   *run.Answer // what was read until the last part was changed, beside what is expected
	After    *run.Answer // what was read since; the proof
	Culprits []Culprit
	Replaced []string
	LeftOff  []string // pads that are taped over and parts that are off at the end
	Lost     []string // functions that the device does without because of that
	LostToo  []string // and perhaps without these
	Unjudged bool     // what that costs is not known: the boards lack what is off
	Heat     bool     // parts were taken off, or heated to find one
	Injected bool
	Notes    []string // of the shop, if they were asked for
}

// Culprit is what was bad.
type Culprit struct {
	Name  string
	What  string   // "capacitor, 10uF, 0402"
	Where string   // "top of Heron-B rev 2"
	Under []string // the covers over it
}

// ReportOn gathers what there is to say of a job. The notes of the shop are left
// out, unless asked for. Complaints are a diag.List.
func ReportOn(ctx context.Context, src run.Source, opt Options, id string, notes bool) (*Report, error) {
	scope, err := comparing(ctx, src, opt, id)
	if err != nil {
		return nil, err
	}
	job, ok := jobIn(scope, id)
	if !ok {
		jobs, _ := sources(scope)
		return nil, noSource(id, jobs, nil, "no job here is called")
	}
	last := repaired(&job)
	of := run.Compared{Job: id}
	r := &Report{Job: job, Replaced: targetsOf(&job, board.StepReplaced)}
	r.Before, _ = run.Compare(ctx, withSteps(scope, id, func(s *board.Step) bool { return s.Number <= last }), of, run.Compared{})
	r.After, _ = run.Compare(ctx, withSteps(scope, id, func(s *board.Step) bool { return s.Number > last }), of, run.Compared{})
	for i := range job.Steps {
		r.tell(&job.Steps[i], notes)
	}
	for _, t := range job.Culprits {
		r.Culprits = append(r.Culprits, culprit(scope, t))
	}
	if notes {
		r.Notes = notesOn(scope, job.Culprits)
	}
	return r, r.lose(ctx, src, opt)
}

// lose adds what the device does without because of what was left off.
func (r *Report) lose(ctx context.Context, src run.Source, opt Options) error {
	if r.LeftOff = openIn(&r.Job); r.LeftOff == nil {
		return nil
	}
	a, err := Loss(ctx, src, opt, Losing{Job: r.Job.ID})
	if list := (diag.List)(nil); errors.As(err, &list) {
		r.Unjudged = true
		return nil
	}
	if err != nil {
		return err
	}
	for _, f := range a.Lost() {
		if f.Sure {
			r.Lost = append(r.Lost, f.Name)
		} else {
			r.LostToo = append(r.LostToo, f.Name)
		}
	}
	return nil
}

func jobIn(scope *check.Scope, id string) (board.Job, bool) {
	for _, m := range scope.Members {
		if m.Knowledge == nil {
			continue
		}
		for i := range m.Knowledge.Jobs {
			if m.Knowledge.Jobs[i].ID == id {
				return m.Knowledge.Jobs[i], true
			}
		}
	}
	return board.Job{}, false
}

// repaired is the number of the last step that changed a part. Without one, all
// that was read was read before.
func repaired(j *board.Job) int {
	last := math.MaxInt
	for i := range j.Steps {
		switch s := &j.Steps[i]; s.Kind {
		case board.StepRemoved, board.StepReplaced, board.StepLifted, board.StepFitted:
			last = s.Number
		}
	}
	return last
}

// withSteps is the scope without those readings of a job that are not wanted;
// what changed the state of the device stays.
func withSteps(scope *check.Scope, id string, want func(*board.Step) bool) *check.Scope {
	some := *scope
	some.Members = slices.Clone(scope.Members)
	for i := range some.Members {
		m := &some.Members[i]
		if m.Knowledge == nil {
			continue
		}
		k := *m.Knowledge
		k.Jobs = slices.Clone(k.Jobs)
		for n := range k.Jobs {
			if k.Jobs[n].ID == id {
				k.Jobs[n].Steps = slices.DeleteFunc(slices.Clone(k.Jobs[n].Steps), func(s board.Step) bool {
					return (s.Kind == board.StepReading || s.Kind == board.StepResistance) && !want(&s)
				})
			}
		}
		m.Knowledge = &k
	}
	return &some
}

func targetsOf(j *board.Job, kind board.StepKind) []string {
	var all []string
	for i := range j.Steps {
		if j.Steps[i].Kind == kind {
			for _, t := range j.Steps[i].On {
				all = append(all, t.String())
			}
		}
	}
	return all
}

// culprit describes what was bad, as far as it is known on a board.
func culprit(scope *check.Scope, t board.Target) Culprit {
	c := Culprit{Name: t.String()}
	if t.Kind != board.AnyTarget && t.Kind != board.OnPart {
		c.What = t.Kind.String()
	}
	for _, m := range scope.Members {
		if t.Role != "" && t.Role != m.Role {
			continue
		}
		id := m.Board.FindPart(t.Name)
		if id == board.None || t.Kind != board.AnyTarget && t.Kind != board.OnPart && t.Kind != board.OnPin {
			continue
		}
		p := &m.Board.Parts[id]
		c.What = strings.Join(slices.DeleteFunc([]string{p.Class.String(), known(p.Value), p.Package}, func(s string) bool { return s == "" }), ", ")
		c.Where = fmt.Sprintf("%s of %s", p.Side, m.Board.Ref)
		for _, h := range m.Board.Hiders(id) {
			if h.Truth == board.True {
				c.Under = append(c.Under, m.Board.Covers[h.Cover].Name)
			}
		}
		break
	}
	return c
}

func known(q board.Quantity) string {
	if !q.Known() {
		return ""
	}
	return q.String()
}

// notesOn are the shop's notes on some things.
func notesOn(scope *check.Scope, targets []board.Target) []string {
	var all []string
	for _, m := range scope.Members {
		if m.Knowledge == nil {
			continue
		}
		for _, n := range m.Knowledge.Notes {
			about := func(t board.Target) bool {
				return slices.ContainsFunc(targets, func(c board.Target) bool {
					return c.Name == t.Name && (t.Role == c.Role || t.Role == "" && m.Role == c.Role)
				})
			}
			if i := slices.IndexFunc(n.On, about); i >= 0 && !slices.Contains(all, n.On[i].String()+": "+n.Text) {
				all = append(all, n.On[i].String()+": "+n.Text)
			}
		}
	}
	return all
}
