package cli

import (
	"context"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"netlore/store"
	"netlore/store/board"
)

// newRemove makes `netlore remove`.
func newRemove(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "remove BOARD|STACK|job ID [rev REVISION]",
		Short: "withdraw a board, stack or job from the base",
		Long: `Remove withdraws everything that the base holds of a board, a stack or a job. It
is an entry like any other: the history stays, and adding the board again brings
it back.

The jobs on a board or stack stay when it is removed; "netlore remove job 1042"
withdraws one. The private details of a job that is removed, who sent the device
and its serial number, are deleted, and so are the photos of a board.`,
		Args:              between(1, 3, "name the board, stack or job to remove"),
		ValidArgsFunction: a.completeSubject,
		RunE:              func(cmd *cobra.Command, args []string) error { return runRemove(cmd.Context(), a, args) },
	}
}

func runRemove(ctx context.Context, a *app, args []string) error {
	return a.withdrawing(ctx, func(base *store.Base) error {
		s, err := findNamed(ctx, base, args)
		if err != nil {
			return err
		}
		stay, err := jobsOn(ctx, base, s)
		if err != nil {
			return err
		}
		r, err := base.Remove(ctx, s, a.author())
		if err != nil {
			return err
		}
		if a.json {
			object := resultJSON(r)
			object["jobs_left"] = given(stay)
			writeJSON(a.Out, object)
			return nil
		}
		if err := a.line("%s: %s withdrawn", s, plural(r.Withdrawn, "statement")); err != nil || len(stay) == 0 {
			return err
		}
		return a.line("its jobs stay in the base: %s; netlore remove job %s withdraws one", few(stay), stay[0])
	})
}

// jobsOn are the numbers of the jobs that stand in the sheets on a board or
// stack.
func jobsOn(ctx context.Context, base *store.Base, s store.Subject) ([]string, error) {
	all, err := base.Jobs(ctx)
	var ids []string
	for _, j := range all {
		if slices.Contains(j.Homes, s) {
			ids = append(ids, board.QuoteName(j.ID))
		}
	}
	return ids, err
}

// few are the first of many names.
func few(names []string) string {
	const most = 8
	if len(names) > most {
		names = append(slices.Clone(names[:most]), "…")
	}
	return strings.Join(names, ", ")
}
