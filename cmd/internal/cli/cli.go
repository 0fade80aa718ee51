// Package cli is the command line: one file a command, each an options struct,
// a newX that describes it and a runX that takes plain values. All streams,
// the clock and the environment are fields of Env, so a test runs whole
// commands in its own process.
package cli

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
	"time"

	"golang.org/x/term"
)

// Env is everything a command touches outside itself.
type Env struct {
	In       io.Reader
	Out, Err io.Writer
	Getenv   func(string) string
	Now      func() time.Time

	// InTerminal, OutTerminal and ErrTerminal say which streams a person is at.
	InTerminal, OutTerminal, ErrTerminal bool
	// Editor says that In and Out are the terminal of the process itself, and
	// one in which lines can be edited.
	Editor bool
	// Width and ErrWidth are how many columns the terminals of Out and Err have;
	// 0 when they are none.
	Width, ErrWidth int
}

// Main runs the command line of this process and returns its exit code.
func Main() int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	// A second interrupt ends the process at once. The first one is never left
	// to the system, not even when all is done: the exit code tells what was.
	context.AfterFunc(ctx, stop)
	return Run(ctx, processEnv(), os.Args[1:])
}

func processEnv() Env {
	env := Env{
		In: os.Stdin, Out: os.Stdout, Err: os.Stderr,
		Getenv: os.Getenv, Now: time.Now,
		InTerminal:  term.IsTerminal(int(os.Stdin.Fd())),
		OutTerminal: term.IsTerminal(int(os.Stdout.Fd())),
		ErrTerminal: term.IsTerminal(int(os.Stderr.Fd())),
	}
	env.Editor = env.InTerminal && env.OutTerminal && env.Getenv("TERM") != "dumb"
	env.Width, env.ErrWidth = columns(os.Stdout), columns(os.Stderr)
	return env
}

// columns is how wide a terminal is, and 0 of anything else.
func columns(f *os.File) int {
	width, _, err := term.GetSize(int(f.Fd()))
	if err != nil {
		return 0
	}
	return width
}

// Run runs one command line and returns its exit code.
func Run(ctx context.Context, env Env, args []string) int {
	env.In = &stoppable{ctx: ctx, in: env.In}
	out := &output{to: env.Out}
	env.Out = out
	a := &app{Env: env, ctx: ctx, output: out, wait: 2 * time.Second, paint: "auto"}
	root := newRoot(a)
	root.SetArgs(args)
	cmd, err := root.ExecuteContextC(ctx)
	err = flagError(cmd, err) // of options before the command
	if out.err != nil {
		err = out.err // whatever else there was, it has not been read
	}
	return a.finish(err)
}

// output is where answers go. It keeps the first error, so that no command can
// lose one.
type output struct {
	to  io.Writer
	err error
}

func (o *output) Write(p []byte) (int, error) {
	if o.err != nil {
		return 0, o.err
	}
	n, err := o.to.Write(p)
	if err != nil {
		o.err = fail(exitInput, fmt.Errorf("the output cannot be written: %w", reason(err)))
	}
	return n, o.err
}
