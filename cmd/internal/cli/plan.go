package cli

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/photos"
	"netlore/query"
	"netlore/query/draw"
	"netlore/query/run"
	"netlore/store"
)

type planOptions struct {
	suspectsOptions
	to    string
	photo bool
}

// newPlan makes `netlore plan`.
func newPlan(a *app) *cobra.Command {
	opt := planOptions{suspectsOptions: suspectsOptions{ask: askOptions{rows: 10_000, limit: 30 * time.Second}}}
	cmd := &cobra.Command{
		Use:   "plan 'QUESTION'|--job JOB -o FILE",
		Short: "draw what a question asks for, or a job, on the board",
		Long: `Plan draws the answer to a question on the sides of the boards, as an SVG file
that browsers show and print: covers hatched, what is under them dashed, each
thing that was asked for with its name. The bottom is drawn as it is seen from
below. Pads that are soldered to the other board are drawn on both.

  netlore plan 'hidden parts on lower:VMAIN' -o hidden.svg
  netlore plan 'branches of lower:VMAIN' -o branches.svg
  netlore plan 'route from lower:P97 to lower:C4410 through any' -o way.svg
  netlore plan 'readings of VMAIN in job 1042' -o read.svg

With --job it draws what may be bad in a job, the likelier the heavier the line,
where the next tests are made, and the tape of those that are made with tape:

  netlore plan --job 1042 -o job.svg

With --photo the shop's own photos of the boards lie under it, where they are
aligned (netlore photo align); they are in the file then.

Where no place is known, the rail is drawn as a diagram. Without -o the picture
goes to standard output, unless that is a terminal.`,
		Args:              opt.oneOf,
		ValidArgsFunction: a.completeQuestion(&opt.ask),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runPlan(cmd.Context(), a, opt, strings.Join(args, " "))
		},
	}
	f := cmd.Flags()
	f.VarP(name("FILE", &opt.to), "output", "o", "the SVG file to write")
	f.Var(name("BOARD", &opt.ask.on), "on", "the board or stack to ask: Heron, Heron-A, \"Heron-A rev 3\"")
	f.Var(name("JOB", &opt.what.Job), "job", "draw the suspects and the next tests of a job instead")
	f.Var(name("NET", &opt.what.Rail), "rail", "the rail that is shorted, if the job does not tell")
	f.BoolVar(&opt.what.Every, "every", false, "draw also the tests of a job that are hardly worth it")
	f.BoolVar(&opt.photo, "photo", false, "with the shop's own photos of the boards under it")
	f.Var(tools("--tools", &opt.what.Tools), "tools", "what the bench has to test with, or none (or NETLORE_TOOLS)")
	f.Var(number("--rows", &opt.ask.rows), "rows", "most things to draw")
	f.Var(duration("--time", time.Millisecond, &opt.ask.limit), "time", "the longest time to work on an answer")
	cmd.RegisterFlagCompletionFunc("on", a.completeName)
	return cmd
}

// oneOf checks that there is a question or a job, and not both.
func (opt *planOptions) oneOf(_ *cobra.Command, args []string) error {
	switch {
	case opt.what.Job != "" && len(args) > 0:
		return errors.New("plan draws a question or, with --job, a job; one at a time")
	case opt.what.Job == "" && len(args) == 0:
		return hint(errors.New("say what to draw"), "netlore plan 'hidden parts on VMAIN' -o hidden.svg", "netlore plan --job 1042 -o job.svg")
	}
	return nil
}

func runPlan(ctx context.Context, a *app, opt planOptions, question string) error {
	if opt.to == "" && a.OutTerminal {
		what := shellQuote(question)
		if opt.what.Job != "" {
			what = "--job " + shellWord(opt.what.Job)
		}
		return hint(errors.New("a picture is no text for a terminal"), "name a file for it: netlore plan "+what+" -o plan.svg")
	}
	if err := a.usualTools(&opt.what.Tools); err != nil {
		return err
	}
	return a.reading(ctx, func(base *store.Base) error {
		picture, answer, err := opt.draw(ctx, base, question, a.Now)
		if err != nil {
			return err
		}
		if opt.photo {
			if err := a.underPlan(ctx, base, picture); err != nil {
				return err
			}
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

func (opt *planOptions) draw(ctx context.Context, base *store.Base, question string, now func() time.Time) (*draw.Picture, *run.Answer, error) {
	o := query.Options{On: opt.ask.on, Rows: opt.ask.rows, Time: opt.ask.limit, Now: now}
	if opt.what.Job != "" {
		return query.DrawJob(ctx, base, o, opt.what)
	}
	return query.Draw(ctx, base, o, question)
}

// underPlan puts the photos of its boards under a plan.
func (a *app) underPlan(ctx context.Context, base *store.Base, picture *draw.Picture) error {
	n, err := photos.Under(ctx, base, picture, photos.Inside(ctx, base))
	if err == nil && n == 0 {
		a.notice("there is no photo to lay under it; netlore photo lists those that are kept, and whether they are aligned")
	}
	return err
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
