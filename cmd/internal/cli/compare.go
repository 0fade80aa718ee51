package cli

import (
	"context"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/render"
	"netlore/query"
	"netlore/query/run"
	"netlore/store"
)

type compareOptions struct {
	ask   askOptions
	chart string
}

// newCompare makes `netlore compare`.
func newCompare(a *app) *cobra.Command {
	opt := compareOptions{ask: askOptions{as: "table", rows: 10_000, limit: 30 * time.Second}}
	cmd := &cobra.Command{
		Use:   "compare JOB|SPECIMEN|PLACE [JOB|SPECIMEN]",
		Short: "put readings beside what is expected, or another device",
		Long: `Compare lists what was read in a job, the most surprising first, beside what is
expected there: what the shop has stated, else what its good boards read, as the
meter at hand reads it. What is shorted or open and should not be comes first,
then what is off by most times its tolerance.

  netlore compare 1042              a job beside what is expected
  netlore compare 1042 1031         a job beside another job
  netlore compare 1042 board-2      a job beside a good board
  netlore compare lower:VMAIN       all that was ever read on a net

Of a reading that is low in diode mode it says what resistance to ground would
explain it, at any test current from 0.5 to 1.5 mA. --chart draws the readings
and the tolerances into an SVG file.`,
		Args:              between(1, 2, "name a job, a specimen of a good board, or a net"),
		ValidArgsFunction: a.completeCompared,
		RunE:              func(cmd *cobra.Command, args []string) error { return runCompare(cmd.Context(), a, opt, args) },
	}
	a.answerFlags(cmd, &opt.ask)
	cmd.Flags().Var(name("FILE", &opt.chart), "chart", "also draw them into this SVG file")
	return cmd
}

func runCompare(ctx context.Context, a *app, opt compareOptions, args []string) error {
	return a.reading(ctx, func(base *store.Base) error {
		answer, points, err := query.Compare(ctx, base, query.Options{On: opt.ask.on, Rows: opt.ask.rows, Time: opt.ask.limit, Now: a.Now}, args...)
		if err != nil {
			return err
		}
		if opt.chart != "" {
			if err := a.drawChart(opt.chart, points); err != nil {
				return err
			}
		}
		return a.tellAnswer(ctx, answer, a.answerStyle(opt.ask))
	})
}

func (a *app) drawChart(file string, points []run.Point) error {
	picture, err := render.Chart(points)
	if err != nil {
		return err
	}
	if err := putFile(file, picture, 0o644); err != nil {
		return fail(exitInput, fmt.Errorf("the chart was not written to %s: %w", file, reason(err)))
	}
	return nil
}

// completeCompared offers jobs and specimens.
func (a *app) completeCompared(cmd *cobra.Command, _ []string, word string) ([]string, cobra.ShellCompDirective) {
	var names []string
	a.completing(cmd.Context(), func(base *store.Base) (err error) {
		names, err = query.Comparable(cmd.Context(), base, query.Options{On: cmd.Flag("on").Value.String()})
		return err
	})
	return beginning(word, names), cobra.ShellCompDirectiveNoFileComp
}
