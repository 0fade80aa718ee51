package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/render"
	"netlore/query"
	"netlore/query/diag"
	"netlore/query/run"
	"netlore/store"
)

type askOptions struct {
	on    string
	as    string
	file  string
	rows  int
	limit time.Duration
}

// newAsk makes `netlore ask`.
func newAsk(a *app) *cobra.Command {
	var opt askOptions
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

Put the question in single quotes: your shell changes $, *, >, ( and # otherwise.
Options come before the first word of the question, so that -RESET is a name.
Without a question, questions are read from standard input or from -f, one a line.

If the base holds several boards, --on names the board or stack that is asked.`,
		ValidArgsFunction: a.completeQuestion(&opt),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runAsk(cmd.Context(), a, opt, strings.Join(args, " "))
		},
	}
	f := cmd.Flags()
	f.SetInterspersed(false)
	f.StringVar(&opt.on, "on", "", "the board or stack to ask: Heron, Heron-A, \"Heron-A rev 3\"")
	f.StringVar(&opt.as, "as", "table", "form of the answer: "+diag.OneOf(render.FormatWords()...))
	f.StringVarP(&opt.file, "file", "f", "", "read questions from a file, one a line")
	f.IntVar(&opt.rows, "rows", 10_000, "most rows of an answer")
	f.DurationVar(&opt.limit, "time", 30*time.Second, "longest time to work on an answer")
	cmd.RegisterFlagCompletionFunc("on", a.completeSubject)
	cmd.RegisterFlagCompletionFunc("as", cobra.FixedCompletions(render.FormatWords(), cobra.ShellCompDirectiveNoFileComp))
	return cmd
}

func runAsk(ctx context.Context, a *app, opt askOptions, question string) error {
	style, err := a.answerStyle(opt)
	if err != nil {
		return err
	}
	if question != "" && opt.file != "" {
		return errors.New("a question and --file do not go together")
	}
	return a.reading(ctx, func(base *store.Base) error {
		if question != "" {
			return a.answer(ctx, base, opt, style, question)
		}
		return a.questions(ctx, base, opt, style)
	})
}

func (a *app) answerStyle(opt askOptions) (render.Style, error) {
	word := opt.as
	if a.json {
		word = "json"
	}
	format, ok := render.FormatByWord(word)
	if !ok {
		err := fmt.Errorf("%q is no form of an answer; --as takes %s", opt.as, diag.OneOf(render.FormatWords()...))
		return render.Style{}, err
	}
	return render.Style{Format: format, Width: a.Width, Time: a.OutTerminal}, nil
}

// answer asks one question and prints the answer.
func (a *app) answer(ctx context.Context, src run.Source, opt askOptions, style render.Style, question string) error {
	options := query.Options{On: opt.on, Rows: opt.rows, Time: opt.limit, Now: a.Now}
	q, err := query.Compile(ctx, src, options, question)
	if err != nil {
		return err
	}
	a.complain(q.Notes)
	answer, err := q.Run(ctx, src, options)
	if err != nil {
		return err
	}
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

// questions answers questions from a file or standard input, one a line. All
// are asked; the exit code is that of the first that failed.
func (a *app) questions(ctx context.Context, src run.Source, opt askOptions, style render.Style) error {
	in, done, err := a.questionSource(opt.file)
	if err != nil {
		return err
	}
	defer done()
	var first error
	lines := bufio.NewScanner(in)
	lines.Buffer(make([]byte, 0, 4096), maxQuestionLine)
	for a.prompt(opt); lines.Scan(); a.prompt(opt) {
		question := strings.TrimSpace(lines.Text())
		if question == "" || strings.HasPrefix(question, "#") {
			continue
		}
		if err := a.answer(ctx, src, opt, style, question); err != nil {
			code := a.finish(err)
			if first == nil {
				first = fail(code, nil)
			}
		}
		if ctx.Err() != nil {
			break
		}
	}
	if errors.Is(lines.Err(), bufio.ErrTooLong) {
		return fail(exitUsage, fmt.Errorf("a question of more than %d KiB", maxQuestionLine>>10))
	}
	return errors.Join(first, lines.Err())
}

const maxQuestionLine = 64 << 10

// prompt asks a person at a terminal for the next question.
func (a *app) prompt(opt askOptions) {
	if opt.file == "" && a.InTerminal && a.OutTerminal {
		fmt.Fprint(a.Out, "ask> ")
	}
}

func (a *app) questionSource(file string) (io.Reader, func(), error) {
	if file == "" || file == stdin {
		return a.In, func() {}, nil
	}
	f, err := os.Open(file)
	if err != nil {
		return nil, nil, fail(exitInput, fileError(file, err))
	}
	return f, func() { f.Close() }, nil
}

// completeQuestion offers the shell what can stand next in a question: words of
// the language, and the names of the boards in the base.
func (a *app) completeQuestion(opt *askOptions) func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return func(cmd *cobra.Command, args []string, toComplete string) ([]string, cobra.ShellCompDirective) {
		a.wait = 50 * time.Millisecond
		text := strings.Join(append(args, toComplete), " ")
		var offers []string
		err := a.reading(cmd.Context(), func(base *store.Base) error {
			found := query.Complete(cmd.Context(), base, query.Options{On: opt.on}, text, len(text))
			// The shell completes the last word only, which may begin elsewhere
			// than the offer does: in lower:VM, say.
			head := toComplete[:max(0, len(toComplete)-(len(text)-found.Replace.Start))]
			for _, o := range found.Offers {
				offers = append(offers, head+o.Text)
			}
			return nil
		})
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return offers, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
	}
}
