package cli

import (
	"fmt"
	"io"

	"netlore/query/diag"
)

// colour decides whether a stream gets colour: only a terminal, never with
// NO_COLOR set, unless the user says otherwise.
func (a *app) colour(terminal bool) bool {
	switch a.paint {
	case "always":
		return true
	case "never":
		return false
	}
	return terminal && a.Getenv("NO_COLOR") == "" && a.Getenv("TERM") != "dumb"
}

// line writes a line to the output stream.
func (a *app) line(format string, args ...any) error {
	_, err := io.WriteString(a.Out, harmless(format, args)+"\n")
	return err
}

// say writes a line to the error stream.
func (a *app) say(format string, args ...any) {
	io.WriteString(a.Err, harmless(format, args)+"\n")
}

// harmless makes one line that no file, name or note can break or colour. All
// that is printed for people goes through here, a table or a complaint.
func harmless(format string, args []any) string {
	return diag.Printable(fmt.Sprintf(format, args...))
}

// print writes a text of our own to the output stream.
func (a *app) print(text string) error {
	_, err := io.WriteString(a.Out, text)
	return err
}

// shellQuote puts a text into single quotes, so that no shell changes it.
func shellQuote(s string) string { return diag.ShellQuote(s) }

// shellWord is a word as a shell wants it, in quotes only if it must be.
func shellWord(s string) string { return diag.ShellWord(s) }

// plural counts things: "1 sheet", "3 sheets".
func plural(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
