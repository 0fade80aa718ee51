package cli

import (
	"context"
	"time"

	"github.com/spf13/cobra"

	"netlore/query"
	"netlore/query/run"
	"netlore/store"
)

type expectedOptions struct {
	ask  askOptions
	what query.Lore
}

// newExpected makes `netlore expected`.
func newExpected(a *app) *cobra.Command {
	opt := expectedOptions{ask: askOptions{as: "table", rows: 10_000, limit: 30 * time.Second}}
	cmd := &cobra.Command{
		Use:   "expected [PLACE]",
		Short: "list what is normal here, and what it rests on",
		Long: `Expected lists what a net, pad or pin reads on a good board: what somebody has
stated, and what the shop's own good boards read. Their readings are taken
together; how far each meter is off is told apart from what the net reads. The
tolerance holds 95 of 100 good boards, nine times in ten. Readings that are off
are named with their board, and count as little as they should.

  netlore expected VMAIN
  netlore expected --meter M2 VMAIN     as the meter M2 will read it
  netlore expected --guess              with guesses for nets nobody has read

A guess is what the net of that name reads in another revision, else what nets
of like names read.`,
		Args:              between(0, 1, "name one net or another place, or none to list all"),
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				opt.what.Place = args[0]
			}
			return a.lore(cmd.Context(), opt.ask, func(ctx context.Context, src run.Source, o query.Options) (*run.Answer, error) {
				return query.Expected(ctx, src, o, opt.what)
			})
		},
	}
	a.answerFlags(cmd, &opt.ask)
	cmd.Flags().Var(name("METER", &opt.what.Meter), "meter", "the meter that will read")
	cmd.RegisterFlagCompletionFunc("meter", a.completeMeter)
	cmd.Flags().BoolVar(&opt.what.Guess, "guess", false, "with guesses for nets that nobody has read")
	return cmd
}

// newMeters makes `netlore meters`.
func newMeters(a *app) *cobra.Command {
	opt := askOptions{as: "table", rows: 10_000, limit: 30 * time.Second}
	cmd := &cobra.Command{
		Use:   "meters",
		Short: "list how far the shop's meters read off each other",
		Long: `Meters compares the meters that have read good boards, where two of them have
read the same places: by how much each reads above the middle of all, on each
board, and what several boards say together. Diode mode differs most, for
meters test with different currents: some 18 to 36 mV from half a milliampere
to one.

Read some places of one good board two or three times with each meter, as one
specimen, and it tells how well readings repeat, too: within how much a meter
comes back to what it read, 19 times in 20, and another meter to what the
first one did. A meter that lies or spreads unlike the others is named.

netlore profile states what a meter is like.`,
		Args:              between(0, 0, "meters takes no words"),
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.lore(cmd.Context(), opt, query.Meters)
		},
	}
	a.answerFlags(cmd, &opt)
	return cmd
}

// newContradictions makes `netlore contradictions`.
func newContradictions(a *app) *cobra.Command {
	opt := askOptions{as: "table", rows: 10_000, limit: 30 * time.Second}
	cmd := &cobra.Command{
		Use:   "contradictions",
		Short: "list what rings against what is known",
		Long: `Contradictions lists places that ring though they are on two nets, or are silent
though they are on one, with who found it and when, and where both statements
come from. Each is one of these:

  contradiction          one of the statements is wrong, or the two nets are one
  through a part         a coil, a bead, a fuse or a few ohms lie between
  short on that device   found in a job: the device has a short, or had one
  break on that device   found in a job: the device has a break, or had one

A line that names a net holds until it is corrected (netlore add --correct) or
the touch is withdrawn (netlore ring).`,
		Args:              between(0, 0, "contradictions takes no words; --on says which board"),
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.lore(cmd.Context(), opt, query.Contradictions)
		},
	}
	a.answerFlags(cmd, &opt)
	return cmd
}

// lore prints an answer on what is known of a board.
func (a *app) lore(ctx context.Context, opt askOptions, ask func(context.Context, run.Source, query.Options) (*run.Answer, error)) error {
	return a.reading(ctx, func(base *store.Base) error {
		start := a.Now()
		answer, err := ask(ctx, base, query.Options{On: opt.on, Rows: opt.rows, Time: opt.limit, Now: a.Now})
		if err != nil {
			return err
		}
		answer.Took = a.Now().Sub(start)
		return a.tellAnswer(ctx, answer, a.answerStyle(opt))
	})
}
