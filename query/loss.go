package query

import (
	"context"
	"slices"
	"strings"

	"netlore/query/run"
	"netlore/query/words"
	"netlore/store/board"
)

// Losing says what stays open or off.
type Losing struct {
	// Things are pads and parts, as a question names them: "lower:P62..P65".
	Things []string
	// Job is one in which pads are taped over and parts are off now; empty for none.
	Job string
}

// Loss tells what a device does without while some pads stay open and parts are
// off: functions, copper, nets and parts without supply. Complaints are a
// diag.List.
func Loss(ctx context.Context, src run.Source, opt Options, what Losing) (*run.Answer, error) {
	if what.Job != "" {
		scope, err := comparing(ctx, src, opt, what.Job)
		if err != nil {
			return nil, err
		}
		job, ok := jobIn(scope, what.Job)
		if !ok {
			jobs, _ := sources(scope)
			return nil, noSource(what.Job, jobs, nil, "no job here is called")
		}
		what.Things = append(slices.Clip(what.Things), openIn(&job)...)
		opt.On = job.Of
	}
	if len(what.Things) == 0 {
		return run.NoLoss(), nil
	}
	q, err := Compile(ctx, src, opt, "functions lost without "+strings.Join(what.Things, ", "))
	if err != nil {
		return nil, err
	}
	answer, err := run.Loss(ctx, q.typed, run.Options{Rows: opt.Rows, Time: opt.Time, Now: opt.Now})
	if err != nil {
		return nil, err
	}
	answer.Cut(opt.Rows)
	return answer, nil
}

// openIn are the pads that are taped over and the parts that are off after the
// steps of a job, as a question names them.
func openIn(j *board.Job) []string {
	var all []string
	for i := range j.Steps {
		s := &j.Steps[i]
		var named []string
		for _, t := range s.On {
			named = append(named, asked(t))
		}
		switch s.Kind {
		case board.StepTape, board.StepLifted, board.StepRemoved:
			all = append(all, named...)
		case board.StepUntape, board.StepFitted, board.StepReplaced:
			all = slices.DeleteFunc(all, func(name string) bool { return slices.Contains(named, name) })
		}
	}
	slices.SortFunc(all, board.CompareNatural)
	return slices.Compact(all)
}

// asked is what a question calls the target of a step.
func asked(t board.Target) string {
	name := words.QuoteName(t.Name)
	if t.Role != "" {
		return t.Role + ":" + name
	}
	return name
}
