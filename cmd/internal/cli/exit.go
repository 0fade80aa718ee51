package cli

import (
	"context"
	"errors"
	"fmt"
	"syscall"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/scpi"
	"netlore/store"
)

// The exit codes, as `netlore help exit-codes` prints them.
const (
	exitOK          = 0   // done
	exitFound       = 1   // done, and something was found: errors, differences, a board without parts
	exitUsage       = 2   // the command line or the question was not understood
	exitLimit       = 3   // a limit cut the answer short
	exitInput       = 4   // a file could not be used or written; nothing was added
	exitBase        = 5   // the knowledge base could not be used
	exitInUse       = 6   // another process holds the knowledge base
	exitInstrument  = 7   // an instrument could not be used
	exitLog         = 8   // the shared log could not be reached or used
	exitInterrupted = 130 // stopped by the user
)

const exitCodesText = `Every command ends with one of these exit codes:

    0  done
    1  done, and something was found: errors by check, differences by
       fmt --check and diff, a board without any part by add, a batch that
       is not taken by merge, something in the folder that is to be looked
       at by mirror; or an editor has left the language server without a word
    2  the command line or the question was not understood
    3  a limit cut the answer short, so rows are missing
    4  a file could not be read or used, and nothing was added; or the output
       could not be written
    5  the knowledge base could not be used
    6  another process holds the knowledge base
    7  a meter or bench supply could not be reached, or did not answer as it
       should
    8  the common log of the shops could not be reached, read or written
  130  stopped by the user
`

// exitError is an error that knows its exit code. A nil err has been told to
// the user already.
type exitError struct {
	code int
	err  error
}

func (e exitError) Error() string {
	if e.err == nil {
		return fmt.Sprintf("exit code %d", e.code)
	}
	return e.err.Error()
}

func (e exitError) Unwrap() error { return e.err }

// hinted is an error with what to do about it.
type hinted struct {
	error
	help []string
}

func (h hinted) Unwrap() error { return h.error }

// Help is what to do about it, for whoever tells the error elsewhere.
func (h hinted) Help() []string { return h.help }

// hint adds what to do about it to an error.
func hint(err error, help ...string) error { return hinted{err, help} }

// fail makes an error with an exit code.
func fail(code int, err error) error { return exitError{code, err} }

// finish tells the user about err and returns the exit code.
func (a *app) finish(err error) int {
	if err == nil {
		return exitOK
	}
	code := exitCode(err)
	var coded exitError
	if errors.As(err, &coded) && coded.err == nil {
		return code
	}
	if errors.Is(err, syscall.EPIPE) {
		return code // the reader of our output has gone; nobody is there to tell
	}
	a.tell(err)
	return code
}

func exitCode(err error) int {
	var coded exitError
	var locked *store.LockedError
	switch {
	case errors.Is(err, context.Canceled):
		return exitInterrupted
	case errors.As(err, &coded):
		return coded.code
	case errors.As(err, &locked):
		return exitInUse
	case store.IsBaseError(err):
		return exitBase
	case scpi.CodeOf(err) != "" && scpi.CodeOf(err) != "M101":
		return exitInstrument
	}
	return exitUsage
}

func newExitCodes() *cobra.Command {
	return &cobra.Command{
		Use:   "exit-codes",
		Short: "what the exit codes mean",
		Long:  exitCodesText,
	}
}
