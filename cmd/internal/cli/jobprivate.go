package cli

import (
	"context"
	"errors"

	"github.com/spf13/cobra"

	"netlore/store"
	"netlore/store/board"
)

// newJobPrivate makes `netlore job private`.
func newJobPrivate(a *app) *cobra.Command {
	var p store.Private
	cmd := &cobra.Command{
		Use:   "private ID [--customer TEXT] [--serial TEXT] [--private-remark TEXT]",
		Short: "keep who sent the device, and its serial number",
		Long: `Private keeps what is for the shop alone: who sent the device, its serial number,
and a remark. Only "netlore job show ID --private" shows it. It is in no sheet,
answer or export, and has no history: what is new takes the place of the old,
and an empty text deletes it.`,
		Args:              between(1, 1, "name the job"),
		ValidArgsFunction: a.completeJob,
		RunE: func(cmd *cobra.Command, args []string) error {
			return runJobPrivate(cmd.Context(), a, args[0], p, cmd.Flags().Changed)
		},
	}
	privateFlags(cmd, &p)
	return cmd
}

// runJobPrivate changes the details whose options were given.
func runJobPrivate(ctx context.Context, a *app, id string, p store.Private, given func(option string) bool) error {
	if !given("customer") && !given("serial") && !given("private-remark") {
		return hint(errors.New("say what to keep: --customer, --serial or --private-remark"), "netlore job show "+shellWord(id)+" --private shows what is kept")
	}
	return a.withdrawing(ctx, func(base *store.Base) error {
		kept, err := base.Private(ctx, id)
		if err != nil {
			return err
		}
		for _, d := range []struct {
			option  string
			at, new *string
		}{{"customer", &kept.Customer, &p.Customer}, {"serial", &kept.Serial, &p.Serial}, {"private-remark", &kept.Remark, &p.Remark}} {
			if given(d.option) {
				*d.at = *d.new
			}
		}
		if err := base.SetPrivate(ctx, id, kept); err != nil {
			return jobError(ctx, base, id, err)
		}
		if a.json {
			writeJSON(a.Out, map[string]any{"job": id})
			return nil
		}
		return a.line("private details of job %s saved", board.QuoteName(id))
	})
}
