package cli

import (
	"context"
	"errors"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/reeflective/readline"
	"golang.org/x/term"

	"netlore/query"
	"netlore/query/syntax"
)

// editor reads lines that a person edits, at the terminal of the process.
type editor struct {
	session *session
	shell   *readline.Shell
	prompt  string
	colours bool
}

func newEditor(ctx context.Context, s *session) *editor {
	e := &editor{session: s, shell: readline.NewShell(), colours: s.app.colour(true)}
	rl := e.shell
	rl.Prompt.Primary(func() string { return e.prompt })
	rl.Prompt.Secondary(func() string { return "" })
	// A prompt stands at the left edge here, so the terminal need not be asked
	// where the cursor is: keys that come in with its reply would be lost.
	rl.Config.Set("cursor-position-probe", false)
	rl.Config.Set("completion-ignore-case", true)
	rl.Config.Set("menu-complete-display-prefix", true)
	rl.AcceptMultiline = func(line []rune) bool { return !query.Unfinished(string(line)) }
	rl.Completer = func(line []rune, cursor int) readline.Completions { return e.complete(ctx, line, cursor) }
	if e.colours {
		rl.SyntaxHighlighter = func(line []rune) string { return paint(string(line), query.Paint(string(line), s.opt.it, s.questions)) }
	}
	restoreOnSignal()
	if file := historyFile(s.app.Getenv); file != "" {
		rl.History.Add("questions", openHistory(file))
	}
	return e
}

// restoreOnSignal gives the terminal back as it was when the process is told to
// end while a line is being edited.
func restoreOnSignal() {
	fd := int(os.Stdin.Fd())
	before, err := term.GetState(fd)
	if err != nil {
		return
	}
	told := make(chan os.Signal, 1)
	signal.Notify(told, syscall.SIGTERM, syscall.SIGHUP)
	go func() {
		sig := <-told
		term.Restore(fd, before)
		signal.Reset(sig)
		if self, err := os.FindProcess(os.Getpid()); err == nil {
			self.Signal(sig)
		}
	}()
}

// spareRows leaves room below the prompt, for a line that goes on in the next
// rows: the editor does not know when it stands at the bottom of the screen.
const spareRows = "\n\n\n\n\n\x1b[5A"

func (e *editor) read(prompt string) (string, error) {
	e.prompt = prompt
	e.session.app.print(spareRows)
	line, err := e.shell.Readline()
	switch {
	case errors.Is(err, readline.ErrInterrupt):
		return "", errDropped
	case errors.Is(err, io.EOF):
		return "", io.EOF
	}
	return line, err
}

// complete offers what can stand at the cursor.
func (e *editor) complete(ctx context.Context, line []rune, cursor int) readline.Completions {
	text := string(line[:min(cursor, len(line))])
	offers, replace := e.session.offers(ctx, text, len(text))
	prefix := text[replace.Start:]
	var list []readline.Completion
	for _, o := range offers {
		if len(o.text) >= len(prefix) && strings.EqualFold(o.text[:len(prefix)], prefix) {
			one := readline.Completion{Value: o.text, Display: o.text}
			if e.colours { // what heads a group always has one
				one.Tag = o.sort
			}
			list = append(list, one)
		}
	}
	c := readline.CompleteRaw(list).NoSort()
	c.PREFIX = prefix
	return c
}

// paints are the colours of pieces of a question, as a terminal wants them.
var paints = map[syntax.Paint]string{syntax.Language: "\x1b[1m", syntax.Asked: "\x1b[1;34m", syntax.Named: "\x1b[36m", syntax.Valued: "\x1b[32m", syntax.Wrong: "\x1b[31m"}

// paint colours a question.
func paint(text string, pieces []query.Piece) string {
	var s strings.Builder
	at := 0
	for _, p := range pieces {
		s.WriteString(text[at:p.Start])
		if colour := paints[p.Paint]; colour != "" {
			s.WriteString(colour + text[p.Start:p.End] + "\x1b[0m")
		} else {
			s.WriteString(text[p.Start:p.End])
		}
		at = p.End
	}
	return s.String() + text[at:]
}
