package cli

import (
	"context"

	"github.com/spf13/cobra"

	"netlore/store"
	"netlore/store/board"
)

// newJobUndo makes `netlore job undo`.
func newJobUndo(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "undo ID",
		Short: "take back the last step of a job",
		Long: `Undo takes back the last step of a job, and prints it so that it can be logged
again. "netlore history job ID" keeps it.`,
		Args:              between(1, 1, "name the job whose last step to take back"),
		ValidArgsFunction: a.completeJob,
		RunE:              func(cmd *cobra.Command, args []string) error { return runJobUndo(cmd.Context(), a, args[0]) },
	}
}

func runJobUndo(ctx context.Context, a *app, id string) error {
	return a.withdrawing(ctx, func(base *store.Base) error {
		s, err := base.Undo(ctx, id, a.author())
		if err != nil {
			return jobError(ctx, base, id, err)
		}
		if a.json {
			writeJSON(a.Out, map[string]any{"job": id, "number": s.Number, "text": s.Text})
			return nil
		}
		return a.line("%s.%d taken back: %s", board.QuoteName(id), s.Number, stepWords(&s))
	})
}
