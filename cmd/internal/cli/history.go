package cli

import (
	"context"
	"errors"
	"strings"

	"github.com/spf13/cobra"

	"netlore/store"
	"netlore/store/board"
)

// newHistory makes `netlore history`.
func newHistory(a *app) *cobra.Command {
	return &cobra.Command{
		Use:               "history BOARD|STACK [rev REVISION]",
		Short:             "list who added or withdrew what, and when",
		Args:              between(1, 3, "name the board or stack whose history to list"),
		ValidArgsFunction: a.completeSubject,
		RunE:              func(cmd *cobra.Command, args []string) error { return runHistory(cmd.Context(), a, args) },
	}
}

func runHistory(ctx context.Context, a *app, args []string) error {
	name, revision, err := named(args)
	if err != nil {
		return err
	}
	return a.reading(ctx, func(base *store.Base) error {
		// What was removed is no longer listed, but its history stays: ask for
		// the exact name too.
		events, err := base.History(store.BoardSubject(board.Ref{Name: name, Revision: revision}))
		if errors.Is(err, store.ErrUnknownSubject) {
			s, findErr := find(base, name, revision)
			if findErr != nil {
				return findErr
			}
			events, err = base.History(s)
		}
		if err != nil {
			return err
		}
		return a.events(events)
	})
}

func (a *app) events(events []store.Event) error {
	t := newText(a, "time", "author", "what", "new", "known", "withdrawn", "from")
	t.numbers(4, 6)
	for _, e := range events {
		if a.json {
			writeJSON(a.Out, map[string]any{"kind": e.Kind, "time": e.Time, "author": e.Author, "files": e.Files,
				"new": e.New, "known": e.Known, "withdrawn": e.Withdrawn, "hash": e.Hash})
			continue
		}
		t.row(e.Time.Format("2006-01-02 15:04"), e.Author, e.Kind, e.New, e.Known, e.Withdrawn, strings.Join(e.Files, ", "))
	}
	if a.json {
		return nil
	}
	return t.print()
}
