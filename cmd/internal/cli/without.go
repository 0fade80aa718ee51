package cli

import (
	"context"
	"time"

	"github.com/spf13/cobra"

	"netlore/query"
	"netlore/query/run"
)

type withoutOptions struct {
	ask  askOptions
	what query.Losing
}

// newWithout makes `netlore without`.
func newWithout(a *app) *cobra.Command {
	opt := withoutOptions{ask: askOptions{as: "table", rows: 10_000, limit: 30 * time.Second}}
	cmd := &cobra.Command{
		Use:   "without [PAD|PART]...",
		Short: "tell what a device loses if pads stay open or parts stay off",
		Long: `Without tells what a device has to do without if some pads between its boards
stay open, or some parts stay off: the functions that its owner will miss,
copper and nets without supply, and the parts on them. If all that may make a
rail is off or without supply, that rail may be, too. Of a capacitor it tells
what stays beside it. With a job it counts what is taped over and off there.

  netlore without lower:P62..P65
  netlore without lower:U445 lower:C4410
  netlore without --job 1042`,
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 && opt.what.Job == "" {
				return argError(cmd, "name pads or parts, or a job: netlore without lower:P62..P65")
			}
			opt.what.Things = args
			return a.lore(cmd.Context(), opt.ask, func(ctx context.Context, src run.Source, o query.Options) (*run.Answer, error) {
				return query.Loss(ctx, src, o, opt.what)
			})
		},
	}
	a.answerFlags(cmd, &opt.ask)
	cmd.Flags().Var(name("JOB", &opt.what.Job), "job", "with what is taped over and off in this job")
	cmd.RegisterFlagCompletionFunc("job", a.completeJob)
	return cmd
}
