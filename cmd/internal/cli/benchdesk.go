package cli

import (
	"context"
	"errors"
	"io"
	"strings"

	"netlore/cmd/internal/bench"
	"netlore/store"
	"netlore/store/board"
)

// desk lets the bench page do what the commands do, in the way that they do it.
type desk struct{ app *app }

// quiet is the command line without its streams: the page tells what happened.
func (d desk) quiet() *app {
	a := *d.app
	a.Out, a.Err, a.In, a.json = io.Discard, io.Discard, nil, false
	a.InTerminal, a.OutTerminal, a.ErrTerminal = false, false, false
	a.output = &output{to: io.Discard}
	return &a
}

func (d desk) Stamp() (uint64, error) {
	dir, err := d.app.where()
	if err != nil {
		return 0, err
	}
	return store.Stamp(dir)
}

func (d desk) Reading(ctx context.Context, use func(*store.Base) error) error {
	return d.quiet().reading(ctx, use)
}

func (d desk) Log(ctx context.Context, job string, steps ...string) error {
	return d.quiet().logStep(ctx, jobLogOptions{}, job, steps...)
}

// Undo takes back steps that are still the last of their job, all of them or none.
func (d desk) Undo(ctx context.Context, job string, from, to int) error {
	a := d.quiet()
	return a.withdrawing(ctx, func(base *store.Base) error {
		j, err := base.Job(ctx, job)
		if err == nil {
			if err := notLast(j, to, ""); err != nil {
				return err
			}
			_, err = base.UndoFrom(ctx, job, from, a.author())
		}
		return jobError(ctx, base, job, err)
	})
}

// Open opens a job.
func (d desk) Open(ctx context.Context, o bench.Opening) (string, error) {
	a, opt := d.quiet(), jobOpenOptions{of: o.Of}
	j := board.Job{Symptom: o.Symptom, Opened: a.today(), By: a.author()}
	settings := []option{quantity("the supply", board.Volt, "4V", &j.Supply), quantity("the limit", board.Ampere, "2.5A", &j.Limit), quantity("the draw", board.Ampere, "2.4A", &j.Draw)}
	for i, typed := range []string{o.Supply, o.Limit, o.Draw} {
		if typed != "" {
			if err := settings[i].Set(typed); err != nil {
				return "", err
			}
		}
	}
	id, _, err := a.openJob(ctx, j, opt)
	return id, err
}

// Close closes a job.
func (d desk) Close(ctx context.Context, job string, e bench.Ending) error {
	opt := jobCloseOptions{outcome: e.Outcome, remark: e.Remark}
	if e.Culprit != "" {
		opt.culprits = []string{e.Culprit}
	}
	return runJobClose(ctx, d.quiet(), opt, job)
}

func (d desk) Reopen(ctx context.Context, job string) error { return runJobReopen(ctx, d.quiet(), job) }

// entry is netlore read, for one list of places.
func (d desk) entry(r bench.Measuring) (*entry, error) {
	return newEntry(d.quiet(), enterOptions{job: r.Job, mode: r.Mode, meter: r.Meter}, r.Places)
}

// Places are those that a question gives, with what helps to find each.
func (d desk) Places(ctx context.Context, base *store.Base, r bench.Measuring) ([]bench.Place, error) {
	e, err := d.entry(r)
	if err != nil {
		return nil, err
	}
	err = e.prepare(ctx, base, r.Places)
	var coded exitError
	if errors.As(err, &coded) && coded.err == nil {
		return nil, nil // the list is empty
	}
	var all []bench.Place
	for _, l := range e.list {
		var facts []string
		for _, line := range l.facts {
			facts = append(facts, strings.Split(line, "  ")...) // which the terminal has in one line
		}
		all = append(all, bench.Place{Name: l.on.Written(), Label: l.on.String(), Facts: facts, Expected: expectedText(e.expected(l.on))})
	}
	return all, err
}

// Enter takes a reading at a place.
func (d desk) Enter(ctx context.Context, r bench.Measuring, place, value string) error {
	r.Places = ""
	e, err := d.entry(r)
	if err != nil {
		return err
	}
	if err := e.app.reading(ctx, func(base *store.Base) error { return e.prepare(ctx, base, "") }); err != nil {
		return err
	}
	err = e.readAt(ctx, value, place, value)
	return errors.Join(err, e.hold.end())
}

// Sheet is the story of a job.
func (d desk) Sheet(ctx context.Context, base *store.Base, id string) (*bench.Sheet, error) {
	j, boards, err := jobOn(ctx, base, id)
	if err != nil {
		return nil, err
	}
	s := &bench.Sheet{ID: j.ID, Device: deviceOf(j.Of, j.Homes), Symptom: j.Symptom, Facts: benchSettings(&j.Job), State: deviceState(j.State()), States: j.State()}
	s.Facts = append(s.Facts, "opened "+since(j.Opened)+byWhom(j.By))
	if s.Closed = !j.Closed.IsZero(); s.Closed {
		s.Facts = append(s.Facts, jobState(j.Closed, j.Outcome))
	}
	if len(j.Culprits) > 0 {
		s.Facts = append(s.Facts, "at fault: "+culprits(j.Job))
	}
	cannot := cannotBe(ctx, boards, j)
	for i := range j.Steps {
		told := d.told(j, boards, &j.Steps[i])
		if cannot[i] != "" {
			told.Notes = append(told.Notes, "this cannot be: "+cannot[i])
		}
		s.Steps = append(s.Steps, told)
	}
	for _, m := range boards {
		for _, c := range m.b.Covers {
			s.Covers = append(s.Covers, board.Target{Role: m.role, Kind: board.OnCover, Name: c.Name}.String())
		}
		s.Halves = s.Halves || m.role != ""
	}
	return s, nil
}

func (d desk) told(j *store.HeldJob, boards []benchBoard, s *board.Step) bench.Step {
	verdict, expected := judged(boards, s)
	by := s.By
	if by == j.By {
		by = ""
	}
	when := ""
	if !s.When.IsZero() {
		when = d.app.clock(s.When)
	}
	return bench.Step{Number: s.Number, Words: stepWords(s), Verdict: verdict, Expected: expected, By: by, When: when, Notes: cautions(boards, s)}
}
