package cli

import (
	"context"
	"errors"
	"strings"

	"github.com/spf13/cobra"

	"netlore/store"
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
		s, err := findAny(base, name, revision)
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

// findAny finds a board or stack, also one that was removed: its history stays.
func findAny(base *store.Base, name, revision string) (store.Subject, error) {
	s, err := find(base, name, revision)
	if err == nil {
		return s, nil
	}
	removed, gone := base.Removed()
	if s, ok := among(removed, name, revision); ok {
		return s, nil
	}
	return store.Subject{}, errors.Join(gone, err)
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
		t.row(e.Time.In(a.Now().Location()).Format("2006-01-02 15:04"), e.Author, e.Kind, e.New, e.Known, e.Withdrawn, strings.Join(e.Files, ", "))
	}
	if a.json {
		return nil
	}
	return t.print()
}
