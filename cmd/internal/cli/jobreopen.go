package cli

import (
	"context"

	"github.com/spf13/cobra"

	"netlore/store"
	"netlore/store/board"
)

// newJobReopen makes `netlore job reopen`.
func newJobReopen(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "reopen ID",
		Short: "open a job again that was closed",
		Long: `Reopen opens a job again: it came back, or was closed too soon. What was said to
be at fault, the outcome and the remark are withdrawn and printed, to be said
again when it is closed; "netlore history job ID" keeps them.`,
		Args:              between(1, 1, "name the job to open again"),
		ValidArgsFunction: a.completeJob,
		RunE:              func(cmd *cobra.Command, args []string) error { return runJobReopen(cmd.Context(), a, args[0]) },
	}
}

func runJobReopen(ctx context.Context, a *app, id string) error {
	return a.withdrawing(ctx, func(base *store.Base) error {
		was, err := base.ReopenJob(ctx, id, a.author())
		if err != nil {
			return jobError(ctx, base, id, err)
		}
		if a.json {
			writeJSON(a.Out, map[string]any{"job": id, "withdrawn": map[string]any{"closed": was.Closed, "culprits": targets(was.Culprits), "outcome": was.Outcome, "remark": was.Remark}})
			return nil
		}
		facts := []string{"withdrawn: " + jobState(was.Closed, was.Outcome)}
		if len(was.Culprits) > 0 {
			facts = append(facts, "withdrawn: at fault "+culprits(was.Job))
		}
		if was.Remark != "" {
			facts = append(facts, "withdrawn: "+was.Remark)
		}
		return a.headed("job "+board.QuoteName(id)+" is open again", facts)
	})
}
