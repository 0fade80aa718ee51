package cli

import (
	"context"
	"errors"
	"io"
	"os"
	"os/signal"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"netlore/store"
)

// newShell makes `netlore shell`.
func newShell(a *app) *cobra.Command {
	opt := askOptions{as: "table", rows: 10_000, limit: 30 * time.Second}
	cmd := &cobra.Command{
		Use:   "shell [OPTIONS]",
		Short: "ask one question after the other, with completion and history",
		Long: `Shell asks for questions, one after the other. No shell of the system changes
them, so they need no quotes.

  Tab        completes words of the language and names of your boards
  Up, Down   go through earlier questions; Ctrl-R searches them
  Enter      asks; inside brackets, or after a comma, an and or an or, it goes
             on in the next line
  Ctrl-C     stops the answer that is being worked out, or drops the line
  Ctrl-D     leaves

The last answer is called it:

  hidden parts on VMAIN
  it under shield
  count it by cover

These words are understood too: help, help WORD, on BOARD, save NAME QUESTION
(or save NAME for the last question), saved, forget NAME, explain CODE, quit.

Questions are kept in ~/.local/state/netlore/history, or below XDG_STATE_HOME.
Where no person types, questions are read from standard input, one a line.`,
		Args: between(0, 0, "shell takes no question; netlore ask takes one"),
		RunE: func(cmd *cobra.Command, _ []string) error { return runShell(cmd.Context(), a, opt) },
	}
	a.answerFlags(cmd, &opt)
	return cmd
}

func runShell(ctx context.Context, a *app, opt askOptions) error {
	if err := a.reading(ctx, func(*store.Base) error { return nil }); err != nil {
		return err
	}
	s := &session{app: a, opt: opt, style: a.answerStyle(opt)}
	if a.InTerminal && a.OutTerminal {
		return s.talk(ctx, a.In)
	}
	return s.listen(ctx, a.In)
}

// prompter reads what a person says. It returns io.EOF at the end, and
// errDropped for a line that was not meant.
type prompter interface {
	read(prompt string) (string, error)
}

var errDropped = errors.New("the line was dropped")

// talk answers a person at a terminal, who sees what failed and asks again.
func (s *session) talk(ctx context.Context, in io.Reader) error {
	s.app.print("A question, or help; Tab completes, Ctrl-D leaves.\n")
	var from prompter = &plainPrompter{s.app, questionLines(in)}
	var interrupts chan os.Signal
	if s.app.Editor {
		// An interrupt ends an answer, but not the shell.
		ctx, interrupts = context.WithoutCancel(ctx), make(chan os.Signal, 1)
		signal.Notify(interrupts, os.Interrupt)
		defer signal.Stop(interrupts)
		from = newEditor(ctx, s)
	}
	for {
		s.refresh(ctx)
		line, err := from.read(s.prompt())
		switch {
		case errors.Is(err, errDropped):
			continue
		case errors.Is(err, io.EOF):
			return s.app.print("\n")
		case err != nil:
			return err
		}
		err = interruptible(ctx, interrupts, func(ctx context.Context) error { return s.say(ctx, line) })
		if errors.Is(err, errQuit) {
			return nil
		}
		s.app.finish(err)
		if s.app.output.err != nil {
			return nil // Run tells it
		}
	}
}

// plainPrompter reads lines where they cannot be edited.
type plainPrompter struct {
	app  *app
	text interface {
		Scan() bool
		Text() string
		Err() error
	}
}

func (p *plainPrompter) read(prompt string) (string, error) {
	if err := p.app.print(prompt); err != nil {
		return "", err
	}
	if p.text.Scan() {
		return p.text.Text(), nil
	}
	if err := readingError(p.text.Err(), askOptions{}); err != nil {
		return "", err
	}
	return "", io.EOF
}

// listen answers questions that a program or file sends, one a line, with an
// empty line between two answers. What fails is told, and the others are
// asked; the exit code is that of the first that failed.
func (s *session) listen(ctx context.Context, in io.Reader) (first error) {
	text := questionLines(in)
	for line := 1; text.Scan() && ctx.Err() == nil; line++ {
		said := strings.TrimSpace(text.Text())
		if said == "" || said[0] == '#' {
			continue
		}
		s.between()
		err := s.say(ctx, said)
		if errors.Is(err, errQuit) {
			return first
		}
		if err != nil {
			first = s.app.told(first, inFile(err, "", line, strings.Index(text.Text(), said)))
		}
	}
	if err := readingError(text.Err(), askOptions{}); err != nil {
		first = s.app.told(first, err)
	}
	if err := ctx.Err(); err != nil && first == nil {
		return err
	}
	return first
}
