package cli

import (
	"context"
	"time"

	"github.com/spf13/cobra"

	"netlore/query"
	"netlore/query/run"
)

type suspectsOptions struct {
	ask   askOptions
	what  query.Isolating
	steps []string // that are taken to have been made
}

// newSuspects makes `netlore suspects`.
func newSuspects(a *app) *cobra.Command {
	opt := suspectsOptions{ask: askOptions{as: "table", rows: 10_000, limit: 30 * time.Second}}
	cmd := &cobra.Command{
		Use:   "suspects JOB [PART]",
		Short: "rank what may be bad in a job with a shorted rail",
		Long: `Suspects ranks what may be shorted to ground in a job: parts, solder from pad to
pad, copper. It takes what was seen so far in the job, step by step, and how
often parts of each kind fail, and in which jobs of the shop each was bad. With
a part it tells what has spoken for and against that one, step by step: +1 bit
is twice as likely as others, -1 half as likely.

  netlore suspects 1042
  netlore suspects 1042 lower:C4407
  netlore suspects 1042 --if 'tape P97..P99' --if 'draw 0.1A'`,
		Args:              between(1, 2, "name the job: netlore suspects 1042"),
		ValidArgsFunction: a.completeJob,
		RunE: func(cmd *cobra.Command, args []string) error {
			if opt.what.Job = args[0]; len(args) > 1 {
				opt.what.Suspect = args[1]
			}
			return a.isolate(cmd.Context(), opt, query.Suspects)
		},
	}
	a.isolatingFlags(cmd, &opt)
	cmd.Flags().BoolVar(&opt.what.Steps, "steps", false, "tell step by step how the list has shrunk")
	return cmd
}

// newWhatIf makes `netlore whatif`.
func newWhatIf(a *app) *cobra.Command {
	opt := suspectsOptions{ask: askOptions{as: "table", rows: 10_000, limit: 30 * time.Second}}
	cmd := &cobra.Command{
		Use:   "whatif JOB 'STEP'...",
		Short: "tell how a step would change what may be bad in a job",
		Long: `Whatif tells how steps of a job that were not made would change what may be bad:
which suspects they would move most, how much would be left to find out, and how
likely it is that they come out so. Nothing is logged. The words are those of
"netlore job log"; suspects and next take such steps, too, with --if.

  netlore whatif 1042 'tape P1..P40 gone'
  netlore whatif 1042 'draw lower 2.4A' 'reading diode pad lower:P97 0.45V'`,
		Args: atLeast(2, "name the job, then say the step: netlore whatif 1042 'tape P1..P40 gone'"),
		ValidArgsFunction: func(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
			return a.completeStep(cmd, args[:min(1, len(args))], word) // each argument is a step of its own
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			opt.what.Job, opt.steps = args[0], args[1:]
			return a.isolate(cmd.Context(), opt, query.WhatIf)
		},
	}
	a.answerFlags(cmd, &opt.ask)
	cmd.Flags().Var(name("NET", &opt.what.Rail), "rail", "the rail that is shorted, if the job does not tell")
	cmd.Flags().BoolVar(&opt.what.Every, "every", false, "list also what hardly moves")
	return cmd
}

// newNext makes `netlore next`.
func newNext(a *app) *cobra.Command {
	opt := suspectsOptions{ask: askOptions{as: "table", rows: 10_000, limit: 30 * time.Second}}
	cmd := &cobra.Command{
		Use:   "next JOB",
		Short: "propose the next test in a job with a shorted rail",
		Long: `Next proposes what to do next in a job, the best first: what tells most for its
minutes and its risk, with what has to come off first and with the tests that
will follow. Tape goes over any run of pads side by side.`,
		Args:              between(1, 1, "name the job: netlore next 1042"),
		ValidArgsFunction: a.completeJob,
		RunE: func(cmd *cobra.Command, args []string) error {
			opt.what.Job = args[0]
			return a.isolate(cmd.Context(), opt, query.Tests)
		},
	}
	a.isolatingFlags(cmd, &opt)
	return cmd
}

func (a *app) isolatingFlags(cmd *cobra.Command, opt *suspectsOptions) {
	a.answerFlags(cmd, &opt.ask)
	cmd.Flags().Var(name("NET", &opt.what.Rail), "rail", "the rail that is shorted, if the job does not tell")
	cmd.Flags().BoolVar(&opt.what.Every, "every", false, "list also what is hardly worth it")
	cmd.Flags().Var(tools("--tools", &opt.what.Tools), "tools", "what the bench has, or none (or NETLORE_TOOLS)")
	cmd.Flags().StringArrayVar(&opt.steps, "if", nil, "as if this `STEP` had been logged, too; can be given again")
}

// isolate answers from a job, with the steps that are taken to have been made.
func (a *app) isolate(ctx context.Context, opt suspectsOptions, ask func(context.Context, run.Source, query.Options, query.Isolating) (*run.Answer, error)) error {
	if err := a.usualTools(&opt.what.Tools); err != nil {
		return err
	}
	opt.what.More = "--every lists them"
	for _, text := range opt.steps {
		step, err := readStep(text)
		if err != nil {
			return err
		}
		opt.what.If = append(opt.what.If, step)
	}
	return a.lore(ctx, opt.ask, func(ctx context.Context, src run.Source, o query.Options) (*run.Answer, error) {
		return ask(ctx, src, o, opt.what)
	})
}
