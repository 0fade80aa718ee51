package cli

import (
	"context"
	"errors"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"netlore/store"
)

// newHistory makes `netlore history`.
func newHistory(a *app) *cobra.Command {
	return &cobra.Command{
		Use:               "history BOARD|STACK|job ID [rev REVISION]",
		Short:             "list who added or withdrew what, and when",
		Args:              between(1, 3, "name the board, stack or job whose history to list"),
		ValidArgsFunction: a.completeSubject,
		RunE:              func(cmd *cobra.Command, args []string) error { return runHistory(cmd.Context(), a, args) },
	}
}

func runHistory(ctx context.Context, a *app, args []string) error {
	return a.reading(ctx, func(base *store.Base) error {
		s, err := findAny(ctx, base, args)
		if err != nil {
			return err
		}
		events, err := base.History(s)
		if err != nil {
			return err
		}
		return a.events(events)
	})
}

// findAny finds a board, stack or job, also one that was removed: its history
// stays.
func findAny(ctx context.Context, base *store.Base, args []string) (store.Subject, error) {
	s, err := findNamed(ctx, base, args)
	if err == nil {
		return s, nil
	}
	removed, gone := base.Removed()
	if id, ok := jobNamed(args); ok {
		if slices.Contains(removed, store.JobSubject(id)) {
			return store.JobSubject(id), nil
		}
		return s, errors.Join(gone, err)
	}
	name, revision, bad := named(args)
	if bad != nil {
		return s, bad
	}
	if s, ok := among(removed, name, revision); ok {
		return s, nil
	}
	return store.Subject{}, errors.Join(gone, err)
}

func (a *app) events(events []store.Event) error {
	from := "from"
	if slices.ContainsFunc(events, func(e store.Event) bool { return e.Step != "" }) {
		from = "step, or file"
	}
	t := newText(a, "time", "author", "what", "new", "known", "withdrawn", from)
	t.numbers(4, 6)
	for _, e := range events {
		step := strings.ReplaceAll(e.Step, "\n", "; ")
		if a.json {
			event := map[string]any{"kind": e.Kind, "time": e.Time, "author": e.Author, "files": e.Files,
				"new": e.New, "known": e.Known, "withdrawn": e.Withdrawn, "hash": e.Hash}
			if step != "" {
				event["step"] = step
			}
			writeJSON(a.Out, event)
			continue
		}
		t.row(e.Time.In(a.Now().Location()).Format("2006-01-02 15:04"), e.Author, e.Kind, e.New, e.Known, e.Withdrawn, step+strings.Join(e.Files, ", "))
	}
	if a.json {
		return nil
	}
	return t.print()
}
