package cli

import (
	"context"
	"errors"
	"fmt"

	"netlore/query/diag"
	"netlore/store"
	"netlore/store/board"
)

// jobError says what to do about what cannot be done with a job.
func jobError(ctx context.Context, base *store.Base, id string, err error) error {
	at := shellWord(id)
	switch {
	case errors.Is(err, store.ErrUnknownJob):
		return unknownJob(ctx, base, id)
	case errors.Is(err, store.ErrJobClosed):
		return fail(exitUsage, hint(err, "netlore job reopen "+at+" opens it again"))
	case errors.Is(err, store.ErrJobThere):
		return fail(exitUsage, hint(err, "netlore job show "+at+" shows it", "leave the number out to get the next free one"))
	case errors.Is(err, store.ErrJobOpen), errors.Is(err, store.ErrNoStep):
		return fail(exitUsage, hint(err, "netlore job show "+at+" shows it"))
	}
	return err
}

// unknownJob words a number that no job has.
func unknownJob(ctx context.Context, base *store.Base, id string) error {
	all, err := base.Jobs(ctx)
	if err != nil {
		return err
	}
	if len(all) == 0 {
		return fail(exitUsage, hint(errors.New("the knowledge base holds no job yet"), "netlore job open 'SYMPTOM' opens one"))
	}
	var ids, help []string
	for _, j := range openFirst(all) {
		ids = append(ids, j.ID)
	}
	for _, near := range diag.Closest(id, ids) {
		help = append(help, "did you mean "+near+"?")
	}
	if help == nil {
		help = []string{"it holds " + few(ids)}
	}
	return fail(exitUsage, hint(fmt.Errorf("no job has the number %s", diag.Printable(board.QuoteName(id))), append(help, "netlore job lists them")...))
}

// jobIDs are the numbers of jobs, open ones first, each with its symptom behind a
// tab.
func (a *app) jobIDs(ctx context.Context) (ids []string) {
	a.completing(ctx, func(base *store.Base) error {
		all, err := base.Jobs(ctx)
		for _, j := range openFirst(all) {
			ids = append(ids, j.ID+"\t"+j.Symptom)
		}
		return err
	})
	return ids
}
