package cli

import (
	"context"
	"encoding/json"
	"errors"
	"io"

	"netlore/query/diag"
)

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
	errors.As(err, &h)
	problems := several{err}
	errors.As(err, &problems)
	for _, p := range problems {
		if a.json {
			writeJSON(a.Err, map[string]any{"severity": "error", "message": p.Error(), "help": append([]string{}, h.help...)})
		} else {
			a.say("netlore: %s", p)
		}
	}
	if a.json {
		return
	}
	for _, line := range h.help {
		a.say("  help: %s", line)
	}
}

// complain writes complaints to the error stream, as text or a JSON line each.
func (a *app) complain(list diag.List) {
	if !a.json {
		diag.Write(a.Err, list, diag.Style{Colour: a.colour(a.ErrTerminal), Width: a.ErrWidth, Most: maxComplaints})
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
