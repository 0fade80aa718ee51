package cli

import (
	"context"

	"github.com/spf13/cobra"

	"netlore/store"
	"netlore/store/board"
)

// newDiff makes `netlore diff`.
func newDiff(a *app) *cobra.Command {
	return &cobra.Command{
		Use:               "diff BOARD REV REV",
		Short:             "list how two revisions of a board differ",
		Long:              "Diff lists what differs between two revisions of a board. The exit code is 1 if\nthey differ.",
		Args:              between(3, 3, "name the board and two of its revisions"),
		ValidArgsFunction: a.completeDiff,
		RunE:              func(cmd *cobra.Command, args []string) error { return runDiff(cmd.Context(), a, args) },
	}
}

func runDiff(ctx context.Context, a *app, args []string) error {
	return a.reading(ctx, func(base *store.Base) error {
		var boards [2]*board.Board
		for i, revision := range args[1:] {
			s, err := find(base, args[0], revision)
			if err != nil {
				return err
			}
			if boards[i], err = base.Board(ctx, s.Ref); err != nil {
				return err
			}
		}
		changes := store.Compare(boards[0], boards[1])
		for _, c := range changes {
			if a.json {
				writeJSON(a.Out, map[string]string{"kind": c.Kind, "name": c.Name, "what": c.What, "was": c.Was, "is": c.Is})
			} else if err := a.line("%s", c); err != nil {
				return err
			}
		}
		switch {
		case len(changes) > 0:
			return fail(exitFound, nil)
		case a.json:
			return nil
		}
		return a.line("%s and %s do not differ", boards[0].Ref, boards[1].Ref)
	})
}
