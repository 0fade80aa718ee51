package cli

import (
	"context"

	"github.com/spf13/cobra"

	"netlore/store"
)

// newRemove makes `netlore remove`.
func newRemove(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "remove BOARD|STACK [rev REVISION]",
		Short: "withdraw a board or stack from the base",
		Long: `Remove withdraws everything that the base holds of a board or stack. It is an
entry like any other: the history stays, and adding the board again brings it
back.`,
		Args:              between(1, 3, "name the board or stack to remove"),
		ValidArgsFunction: a.completeSubject,
		RunE:              func(cmd *cobra.Command, args []string) error { return runRemove(cmd.Context(), a, args) },
	}
}

func runRemove(ctx context.Context, a *app, args []string) error {
	name, revision, err := named(args)
	if err != nil {
		return err
	}
	return a.withdrawing(ctx, func(base *store.Base) error {
		s, err := find(base, name, revision)
		if err != nil {
			return err
		}
		r, err := base.Remove(ctx, s, a.author())
		if err != nil {
			return err
		}
		if a.json {
			writeJSON(a.Out, resultJSON(r))
			return nil
		}
		return a.line("%s: %s withdrawn", s, plural(r.Withdrawn, "statement"))
	})
}
