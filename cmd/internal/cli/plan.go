package cli

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"netlore/query"
	"netlore/query/draw"
	"netlore/query/run"
	"netlore/store"
)

type planOptions struct {
	ask askOptions
	to  string
}

// newPlan makes `netlore plan`.
func newPlan(a *app) *cobra.Command {
	opt := planOptions{ask: askOptions{rows: 10_000, limit: 30 * time.Second}}
	cmd := &cobra.Command{
		Use:   "plan 'QUESTION' -o FILE",
		Short: "draw what a question asks for on the board",
		Long: `Plan draws the answer to a question on the sides of the boards, as an SVG file
that browsers show and print: covers hatched, what is under them dashed, each
thing that was asked for with its name. The bottom is drawn as it is seen from
below. Pads that are soldered to the other board are drawn on both.

  netlore plan 'hidden parts on lower:VMAIN' -o hidden.svg
  netlore plan 'branches of lower:VMAIN' -o branches.svg
  netlore plan 'route from lower:P97 to lower:C4410 through any' -o way.svg
  netlore plan 'readings of VMAIN in job 1042' -o read.svg

Where no place is known, the rail is drawn as a diagram. Without -o the picture
goes to standard output, unless that is a terminal.`,
		Args:              atLeast(1, "say what to draw: netlore plan 'hidden parts on VMAIN' -o hidden.svg"),
		ValidArgsFunction: a.completeQuestion(&opt.ask),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runPlan(cmd.Context(), a, opt, strings.Join(args, " "))
		},
	}
	f := cmd.Flags()
	f.VarP(name("FILE", &opt.to), "output", "o", "the SVG file to write")
	f.Var(name("BOARD", &opt.ask.on), "on", "the board or stack to ask: Heron, Heron-A, \"Heron-A rev 3\"")
	f.Var(number("--rows", &opt.ask.rows), "rows", "most things to draw")
	f.Var(duration("--time", time.Millisecond, &opt.ask.limit), "time", "the longest time to work on an answer")
	cmd.RegisterFlagCompletionFunc("on", a.completeName)
	return cmd
}

func runPlan(ctx context.Context, a *app, opt planOptions, question string) error {
	if opt.to == "" && a.OutTerminal {
		return hint(errors.New("a picture is no text for a terminal"), "name a file for it: netlore plan "+shellQuote(question)+" -o plan.svg")
	}
	return a.reading(ctx, func(base *store.Base) error {
		picture, answer, err := query.Draw(ctx, base, query.Options{On: opt.ask.on, Rows: opt.ask.rows, Time: opt.ask.limit, Now: a.Now}, question)
		if err != nil {
			return err
		}
		svg, err := picture.SVG()
		if errors.Is(err, draw.ErrNothing) {
			return fail(exitInput, fmt.Errorf("%w: %s", err, answer.Footer(false)))
		}
		if err != nil {
			return err
		}
		return a.putPlan(ctx, opt.to, svg, answer)
	})
}

// putPlan writes the picture; the exit code says whether it is whole.
func (a *app) putPlan(ctx context.Context, file string, svg []byte, answer *run.Answer) error {
	if file == "" {
		_, err := a.Out.Write(svg)
		return err
	}
	if err := putFile(file, svg, 0o644); err != nil {
		return fail(exitInput, fmt.Errorf("the plan was not written to %s: %w", file, reason(err)))
	}
	fmt.Fprintf(a.Out, "%s: %s\n", file, answer.Footer(false))
	switch {
	case ctx.Err() != nil:
		return fail(exitInterrupted, nil)
	case !answer.Complete():
		return fail(exitLimit, nil)
	}
	return nil
}
