package scpi

import (
	"errors"
	"fmt"
	"strings"

	"netlore/query/diag"
)

// fault is a complaint together with the error that it comes from.
type fault struct {
	diag.Diagnostic
	cause error // nil if there is none
}

// Unwrap gives errors.As the diagnostic, and errors.Is the cause.
func (f *fault) Unwrap() []error {
	if f.cause == nil {
		return []error{f.Diagnostic}
	}
	return []error{f.Diagnostic, f.cause}
}

// newFault words a complaint. Lines that an instrument said are in help only
// as they are printed: harmless, and not without end.
func newFault(code string, cause error, help []string, format string, args ...any) error {
	return &fault{diag.Diagnostic{Code: code, Message: fmt.Sprintf(format, args...), Help: help}, cause}
}

// Wrong makes the complaint that an instrument is none of the wanted kind, or
// does not do what is wanted of it.
func Wrong(code string, help []string, format string, args ...any) error {
	return newFault(code, nil, help, format, args...)
}

// CodeOf is the code of a complaint about an instrument: "M103", or "" if err
// is none.
func CodeOf(err error) string {
	var d diag.Diagnostic
	if errors.As(err, &d) && strings.HasPrefix(d.Code, "M") {
		return d.Code
	}
	return ""
}

// Answer is one line that an instrument has answered, without its line end.
type Answer struct {
	To   string // the question: "READ?"
	From string // who answered: "the meter at 10.0.0.7:5025"
	Text string
}

// Fault complains about the answer as a whole.
func (a Answer) Fault(code string, help []string, format string, args ...any) error {
	return a.fault(code, 0, len(a.Text), help, format, args...)
}

// fault complains about bytes start to end of the answer.
func (a Answer) fault(code string, start, end int, help []string, format string, args ...any) error {
	d := diag.Diagnostic{Code: code, Message: a.From + " " + fmt.Sprintf(format, args...), Help: help, File: "answer to " + a.To}
	d.Range = diag.Range{Start: start, End: end}
	return &fault{Diagnostic: d.InLine(1, a.Text, start, end)}
}
