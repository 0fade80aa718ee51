package cli

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/render"
	"netlore/query"
	"netlore/query/diag"
	"netlore/query/run"
)

// mostRows bounds the memory of an answer whose rows are sorted or laid out as a
// whole: a million take up to 1.5 GB.
const mostRows = 1_000_000

type askOptions struct {
	on    string
	as    string
	file  string
	rows  int
	limit time.Duration

	it    string            // the reading of the last question
	heard func(read string) // is told how a question was read
}

// newAsk makes `netlore ask`.
func newAsk(a *app) *cobra.Command {
	opt := askOptions{as: "table", rows: 10_000, limit: 30 * time.Second}
	cmd := &cobra.Command{
		Use:   "ask [OPTIONS] QUESTION",
		Short: "ask a question: hidden parts on VMAIN",
		Long: `Ask answers a question, which is a noun phrase as you would say it:

  parts on VMAIN
  hidden parts on VMAIN
  capacitors on VMAIN under shield or connector with value at least 10uF
  parts on VMAIN and on GND
  parts within 3mm of U300
  covers over (parts on VMAIN)
  count parts on VMAIN by cover
  pads on VMAIN reading below expected by 15% in job 1042
  jobs on Heron with culprit on VMAIN
  why C4407 in (hidden parts on VMAIN)

Put the question in single quotes: else your shell changes $, *, >, ( and #.
Options come before the first word of the question, so that -RESET is a name.
Without a question, questions are read from standard input or from -f, one a
line; at a terminal, that is netlore shell.

If the base holds several boards, --on names the board or stack that is asked.`,
		ValidArgsFunction: a.completeQuestion(&opt),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := lateOption(cmd, args); err != nil {
				return err
			}
			return runAsk(cmd.Context(), a, opt, args)
		},
	}
	a.askFlags(cmd, &opt)
	return cmd
}

func (a *app) askFlags(cmd *cobra.Command, opt *askOptions) {
	cmd.Flags().SetInterspersed(false)
	cmd.Flags().VarP(name("FILE", &opt.file), "file", "f", "read questions from a file, one a line")
	a.answerFlags(cmd, opt)
}

// answerFlags are the options of what answers questions.
func (a *app) answerFlags(cmd *cobra.Command, opt *askOptions) {
	f := cmd.Flags()
	f.Var(name("BOARD", &opt.on), "on", "the board or stack to ask: Heron, Heron-A, \"Heron-A rev 3\"")
	f.Var(choice("--as", "FORM", &opt.as, render.FormatWords()...), "as", "form of the answer: "+diag.OneOf(render.FormatWords()...))
	f.Var(number("--rows", &opt.rows), "rows", "most rows of an answer")
	f.Var(duration("--time", time.Millisecond, &opt.limit), "time", "the longest time to work on an answer")
	cmd.RegisterFlagCompletionFunc("on", a.completeName)
	cmd.RegisterFlagCompletionFunc("as", completeWords(render.FormatWords()...))
}

func runAsk(ctx context.Context, a *app, opt askOptions, question []string) error {
	style := a.answerStyle(opt)
	if len(question) == 0 && opt.file == "" && a.InTerminal && a.OutTerminal {
		return runShell(ctx, a, opt)
	}
	if len(question) == 0 {
		return a.questions(ctx, opt, style)
	}
	if opt.file != "" {
		return errors.New("a question and --file do not go together")
	}
	return a.question(ctx, opt, style, strings.Join(question, " "))
}

func (a *app) answerStyle(opt askOptions) render.Style {
	word := opt.as
	if a.json {
		word = "json"
	}
	format, _ := render.FormatByWord(word)
	return render.Style{Format: format, Width: a.Width, Time: a.OutTerminal}
}

// answer asks one question and prints the answer.
func (a *app) answer(ctx context.Context, src run.Source, opt askOptions, style render.Style, question string) error {
	options := query.Options{On: opt.on, It: opt.it, Rows: opt.rows, Time: opt.limit, Now: a.Now}
	if style.Format == render.JSON {
		options.Each = func(columns []run.Column, rows []run.Row) error { return render.JSONRows(a.Out, columns, rows) }
	}
	q, err := query.Compile(ctx, src, options, question)
	if err != nil {
		return err
	}
	if opt.heard != nil {
		opt.heard(q.Reading)
	}
	if opt.rows > mostRows && (options.Each == nil || !q.HandsOver()) {
		return tooManyRows(opt.rows)
	}
	a.complain(q.Notes)
	answer, err := q.Run(ctx, src, options)
	if err != nil {
		return err
	}
	return a.tellAnswer(ctx, answer, style)
}

func tooManyRows(rows int) error {
	return hint(fmt.Errorf("--rows %d is more than an answer can have that is kept as a whole: %d", rows, mostRows),
		"with --as json, a question in every board, without sorted by, prints its rows as it finds them")
}

// tellAnswer prints an answer; its exit code says whether it is whole.
func (a *app) tellAnswer(ctx context.Context, answer *run.Answer, style render.Style) error {
	if err := render.Answer(a.Out, a.Err, answer, style); err != nil {
		return err
	}
	switch {
	case ctx.Err() != nil:
		return fail(exitInterrupted, nil)
	case !answer.Complete():
		return fail(exitLimit, nil)
	}
	return nil
}

// lateOption is an error if an option of the command stands behind the first
// word of a question, where it is taken for a name.
func lateOption(cmd *cobra.Command, words []string) error {
	for _, word := range words {
		name, isOption := strings.CutPrefix(word, "--")
		name, _, _ = strings.Cut(name, "=")
		if isOption && cmd.Flag(name) != nil {
			return hint(fmt.Errorf("--%s stands behind the first word of the question, where it would be a name", name),
				"options come before the question: "+cmd.CommandPath()+" --"+name+" … 'QUESTION'", "a net or pad of that name is written in double quotes: "+strconv.Quote(word))
		}
	}
	return nil
}
