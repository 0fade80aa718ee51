package query

import (
	"context"
	"errors"
	"slices"

	"netlore/query/check"
	"netlore/query/diag"
	"netlore/query/isolate"
	"netlore/query/run"
	"netlore/store/board"
)

// Isolating says what is asked of a job with a shorted rail.
type Isolating struct {
	Job   string
	Rail  string // a net, or a place on it; empty for the one that the job tells of
	Every bool   // also suspects that are hardly it
	More  string // how they are listed, told where they are left out
	Steps bool   // how the steps have narrowed what may be bad, instead of what is left
	// Suspect is a part of which is asked what has spoken for and against it.
	Suspect string
	// Tools are what there is to look for a short with; nil for run.UsualTools.
	Tools []string
	// If are steps that are taken to have been made, too.
	If []board.Step
}

// Suspects ranks what may be bad in a job, or tells what has spoken for and against
// one suspect. Complaints are a diag.List.
func Suspects(ctx context.Context, src run.Source, opt Options, what Isolating) (*run.Answer, error) {
	return isolating(ctx, src, opt, what, func(ctx context.Context, scope *check.Scope, i run.Isolation) (*run.Answer, error) {
		switch {
		case what.Steps:
			return run.Progress(ctx, scope, i)
		case what.Suspect == "":
			return run.Suspects(ctx, scope, i)
		}
		part, ok := placeOf(scope, what.Suspect)
		if !ok {
			return nil, noSource(what.Suspect, parts(scope), nil, "no part here is called")
		}
		return run.Suspicion(ctx, scope, i, part)
	})
}

func parts(scope *check.Scope) (all []string) {
	for _, m := range scope.Members {
		for i := range m.Board.Parts {
			all = append(all, m.Board.Parts[i].Name)
		}
	}
	return all
}

// Odds tells how likely what is in a job before anything is seen. Complaints are a
// diag.List.
func Odds(ctx context.Context, src run.Source, opt Options, what Isolating) (*run.Answer, error) {
	return isolating(ctx, src, opt, what, run.Odds)
}

// WhatIf tells how steps that are only supposed, those of what.If, would change what
// may be bad in a job. Complaints are a diag.List.
func WhatIf(ctx context.Context, src run.Source, opt Options, what Isolating) (*run.Answer, error) {
	return isolating(ctx, src, opt, what, func(ctx context.Context, scope *check.Scope, i run.Isolation) (*run.Answer, error) {
		return run.WhatIf(ctx, scope, i, len(what.If))
	})
}

// Tests proposes what to do next in a job. Complaints are a diag.List.
func Tests(ctx context.Context, src run.Source, opt Options, what Isolating) (*run.Answer, error) {
	return isolating(ctx, src, opt, what, run.Tests)
}

// Inject says how to feed the rail of a job so that its short becomes warm, and what
// would show. Complaints are a diag.List.
func Inject(ctx context.Context, src run.Source, opt Options, what Isolating, at string, f run.Feeding) (*run.Answer, error) {
	return isolating(ctx, src, opt, what, func(ctx context.Context, scope *check.Scope, i run.Isolation) (*run.Answer, error) {
		if at != "" {
			place, ok := placeOf(scope, at)
			if !ok {
				return nil, noSource(at, places(scope), nil, "no net, pad, pin or part here is called")
			}
			f.At = place
		}
		return run.Inject(ctx, scope, i, f)
	})
}

// orNoJob is the complaint that there is no such job, if that is why it is not known
// of which board it is.
func orNoJob(ctx context.Context, src run.Source, job string, err error) error {
	all, failed := src.Catalogue(ctx)
	if failed != nil {
		return err
	}
	if home, failed := homeOf(ctx, src, all, job); failed != nil || home != "" {
		return err
	}
	return noSource(job, nil, nil, "no job here is called")
}

func isolating(ctx context.Context, src run.Source, opt Options, what Isolating, ask func(context.Context, *check.Scope, run.Isolation) (*run.Answer, error)) (*run.Answer, error) {
	scope, err := comparing(ctx, src, opt, what.Job)
	if err != nil {
		return nil, orNoJob(ctx, src, what.Job, err)
	}
	job, ok := jobIn(scope, what.Job)
	if !ok {
		jobs, _ := sources(scope)
		return nil, noSource(what.Job, jobs, nil, "no job here is called")
	}
	i := run.Isolation{Job: &job, Every: what.Every, More: what.More, Tools: what.Tools}
	for _, step := range what.If {
		step.Number = 1
		if n := len(job.Steps); n > 0 {
			step.Number = job.Steps[n-1].Number + 1
		}
		job.Steps = append(slices.Clip(job.Steps), step)
	}
	if what.Rail != "" {
		if i.Rail, ok = placeOf(scope, what.Rail); !ok {
			return nil, noSource(what.Rail, places(scope), nil, "no net, pad, pin or part here is called")
		}
	}
	answer, err := ask(ctx, scope, i)
	if err != nil {
		return nil, cannotIsolate(job.ID, err)
	}
	answer.Cut(opt.Rows)
	return answer, nil
}

// cannotInquire says what to do about a job that suspects or tests are asked of. A
// question has no flag to say which rail it is.
func cannotInquire(err error) error {
	var bad *run.JobError
	var list diag.List
	if !errors.As(err, &bad) {
		return err
	}
	if err = cannotIsolate(bad.Job, bad.Err); errors.As(err, &list) && errors.Is(bad.Err, run.ErrNoRail) {
		list[0].Help[0] = "a rail that the job does not tell of is named so: netlore suspects " + board.QuoteName(bad.Job) + " --rail VMAIN"
	}
	return err
}

// cannotIsolate says what to do about what a job or its boards lack.
func cannotIsolate(job string, err error) error {
	d := diag.Diagnostic{Code: "Q90", Message: "job " + board.QuoteName(job) + ": " + err.Error()}
	var tooHigh *run.TooHighError
	switch {
	case errors.Is(err, run.ErrNoRail):
		d.Help = []string{"say which: --rail VMAIN", "or log a reading: netlore job log " + board.QuoteName(job) + " 'reading diode VMAIN 3mV'"}
	case errors.Is(err, run.ErrGround):
		d.Help = []string{"name the rail that is shorted: --rail VMAIN"}
	case errors.Is(err, isolate.ErrNoGround):
		d.Help = []string{"for example, in the sheet of the board: net GND ground"}
	case errors.As(err, &tooHigh):
		d.Code, d.Help = "Q95", []string{"leave --volts out for what is usual"}
	case errors.Is(err, run.ErrNoClamp):
		d.Code, d.Help = "Q95", []string{"log what comes off first: netlore job log " + board.QuoteName(job) + " 'cover-off SH1'", "or say where the lead goes: --at TP3"}
	case errors.Is(err, run.ErrNotFed):
		d.Code, d.Help = "Q95", []string{"leave --at out for the best place", "another rail is named with --rail"}
	case errors.Is(err, isolate.ErrNoSource), errors.Is(err, isolate.ErrNoFaults):
	default:
		return err
	}
	return diag.List{d}
}
