package cli

import (
	"context"
	"strings"

	"netlore/store"
	"netlore/store/board"
)

func (a *app) showStack(ctx context.Context, base *store.Base, s store.Subject) error {
	stack, known, err := base.Stack(ctx, s.Ref.Name)
	if err != nil {
		return err
	}
	hash, err := base.Hash(s)
	if err != nil {
		return err
	}
	if a.json {
		writeJSON(a.Out, map[string]any{"stack": stack.Name, "title": stack.Title, "members": memberNames(*stack), "joins": len(stack.Joins), "jobs": len(known.Jobs), "hash": hash})
		return nil
	}
	facts := []string{strings.Join(memberNames(*stack), "; "), plural(len(stack.Joins), "join") + ", " + plural(len(known.Notes), "note")}
	if err := a.headed(titled(stack.Name, stack.Title), facts); err != nil || len(known.Jobs) == 0 {
		return err
	}
	return a.jobs(known.Jobs)
}

// jobs lists jobs and what they came to.
func (a *app) jobs(jobs []board.Job) error {
	t := newText(a, "job", "symptom", "opened", "closed", "culprit")
	for _, j := range jobs {
		closed := "open"
		if !j.Closed.IsZero() {
			closed = j.Closed.Format("2006-01-02")
		}
		t.row(j.ID, j.Symptom, j.Opened.Format("2006-01-02"), closed, culprits(j))
	}
	if err := a.print("\n"); err != nil {
		return err
	}
	return t.print()
}

func culprits(j board.Job) string { return strings.Join(targets(j.Culprits), ", ") }

// targets are the names of what was at fault, or of what a step was done to.
func targets(list []board.Target) []string {
	all := []string{}
	for _, c := range list {
		all = append(all, c.String())
	}
	return all
}
