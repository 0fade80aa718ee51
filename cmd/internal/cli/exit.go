package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"syscall"

	"netlore/query/diag"
	"netlore/store"
)

// The exit codes, as `netlore help exit-codes` prints them.
const (
	exitOK          = 0   // done
	exitFound       = 1   // done, and something was found: complaints, differences
	exitUsage       = 2   // the command line or the question was not understood
	exitLimit       = 3   // a limit cut the answer short
	exitInput       = 4   // a file could not be used; nothing was added
	exitBase        = 5   // the knowledge base could not be used
	exitInUse       = 6   // another process holds the knowledge base
	exitInterrupted = 130 // stopped by the user
)

const exitCodesText = `Every command ends with one of these exit codes:

    0  done
    1  done, and something was found: complaints of check, differences of
       fmt --check and diff
    2  the command line or the question was not understood
    3  a limit cut the answer short, so rows are missing
    4  a file could not be read or used; nothing was added
    5  the knowledge base could not be used
    6  another process holds the knowledge base
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
	}
	return exitUsage
}

// tell writes an error for the user: complaints with their places, or one line
// and its hints.
func (a *app) tell(err error) {
	var list diag.List
	var one diag.Diagnostic
	switch {
	case errors.Is(err, context.Canceled):
		err = errors.New("stopped")
	case errors.As(err, &list):
		a.complain(list)
		return
	case errors.As(err, &one):
		a.complain(diag.List{one})
		return
	}
	var h hinted
	var help []string
	if errors.As(err, &h) {
		help = h.help
	}
	if a.json {
		writeJSON(a.Err, map[string]any{"severity": "error", "message": err.Error(), "help": help})
		return
	}
	fmt.Fprintf(a.Err, "netlore: %s\n", err)
	for _, line := range help {
		fmt.Fprintf(a.Err, "  help: %s\n", line)
	}
}

// complain writes complaints to the error stream, as text or a JSON line each.
func (a *app) complain(list diag.List) {
	if !a.json {
		diag.Write(a.Err, list, diag.Style{Colour: a.colour(a.ErrTerminal), Most: maxComplaints})
		return
	}
	for _, d := range list {
		writeJSON(a.Err, jsonDiagnostic(d))
	}
}

// maxComplaints is how many complaints are drawn for a person.
const maxComplaints = 25

func writeJSON(w io.Writer, v any) {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.Encode(v)
}

// jsonDiagnostic is a complaint in machine form; columns are 1-based bytes.
func jsonDiagnostic(d diag.Diagnostic) any {
	type edit struct {
		Start int    `json:"start"`
		End   int    `json:"end"`
		New   string `json:"new"`
	}
	edits := []edit{}
	for _, e := range d.Edits {
		edits = append(edits, edit{e.Range.Start, e.Range.End, e.New})
	}
	return struct {
		Code     string   `json:"code"`
		Severity string   `json:"severity"`
		File     string   `json:"file,omitempty"`
		Line     int      `json:"line,omitempty"`
		Column   int      `json:"column,omitempty"`
		Start    int      `json:"start"`
		End      int      `json:"end"`
		Message  string   `json:"message"`
		Help     []string `json:"help"`
		Edits    []edit   `json:"edits"`
	}{d.Code, d.Severity.String(), d.File, d.Line, d.Column, d.Range.Start, d.Range.End, d.Message, append([]string{}, d.Help...), edits}
}
