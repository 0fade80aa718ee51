package cli

import (
	"context"
	"fmt"

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

// notLast refuses to take back a step that is not the last of its job any more, or has
// another text than the one that is meant, if one is.
func notLast(j *store.HeldJob, number int, text string) error {
	if n := len(j.Steps); n > 0 && j.Steps[n-1].Number == number && (text == "" || j.Steps[n-1].Text == text) {
		return nil
	}
	return hint(fmt.Errorf("step %d is not the last of the job any more, so it was not taken back", number),
		"netlore job show "+shellWord(j.ID)+" shows what was logged since")
}
