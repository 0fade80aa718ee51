// Package diag is what the rest of netlore complains with: byte ranges,
// diagnostics as data, the one wording of "found this, expected that", and
// name suggestion. It imports nothing of ours, so the sheet, the importers and
// the question language all use it.
package diag

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// Severity says how bad it is.
type Severity uint8

const (
	Error   Severity = iota // the input cannot be taken as it is
	Warning                 // taken, but look at it
	Note                    // for information
)

func (s Severity) String() string {
	return [...]string{"error", "warning", "note"}[s]
}

// Range is a half-open range of byte offsets in one text.
type Range struct{ Start, End int }

// Edit is one replacement in the text that the diagnostic is about.
type Edit struct {
	Range Range
	New   string
}

// Related is another place that belongs to the same complaint.
type Related struct {
	File    string
	Range   Range // in that file; empty where only the line is known
	Line    int   // 1-based
	Column  int   // 1-based, in bytes
	Excerpt string
	Before  int // bytes of the line that were cut off before the excerpt
	Message string
}

// Diagnostic is one complaint. Message stands alone: lower case, no full stop,
// in the trade's words. What to do about it goes into Help.
type Diagnostic struct {
	Code     string // stable: S101, D203, Q12
	Severity Severity
	Message  string
	Help     []string
	Edits    []Edit // applying all of them mends it
	Related  []Related

	File    string
	Range   Range
	Line    int    // 1-based; 0 when it is about no place
	Column  int    // 1-based, in bytes within the line
	Excerpt string // the whole line, without its line end, cut if very long
	Before  int    // bytes of the line that were cut off before the excerpt
	Width   int    // bytes of the excerpt that are meant, at least 1
}

// maxExcerpt is how much of a long line is kept.
const maxExcerpt = 240

// At fills in line, column and excerpt of d from the text that d.Range counts
// in.
func (d Diagnostic) At(text string) Diagnostic {
	start := min(max(d.Range.Start, 0), len(text))
	head := strings.LastIndexByte(text[:start], '\n') + 1
	line := text[head:]
	if i := strings.IndexByte(line, '\n'); i >= 0 {
		line = line[:i]
	}
	return d.InLine(1+strings.Count(text[:head], "\n"), strings.TrimSuffix(line, "\r"), start-head, d.Range.End-head)
}

// InLine says that d is about bytes start to end of one line, which is kept as
// the excerpt. It is for readers that do not hold the whole text.
func (d Diagnostic) InLine(number int, line string, start, end int) Diagnostic {
	start = min(max(start, 0), len(line))
	end = min(max(end, start), len(line))
	d.Line, d.Column, d.Width = number, start+1, max(end-start, 1)
	d.Excerpt, d.Before = window(line, start, maxExcerpt)
	d.Width = max(min(d.Width, d.Before+len(d.Excerpt)-start), 1)
	return d
}

// window cuts a line of more than most bytes to the part round byte at; it
// returns the part and how many bytes are before it.
func window(line string, at, most int) (part string, before int) {
	if len(line) <= most {
		return line, 0
	}
	from := max(0, min(at-most/2, len(line)-most))
	for from < at && !utf8.RuneStart(line[from]) {
		from++
	}
	to := min(from+most, len(line))
	for from < to && to < len(line) && !utf8.RuneStart(line[to]) {
		to--
	}
	return line[from:to], from
}

// Error gives the diagnostic in one line.
func (d Diagnostic) Error() string {
	return d.place() + d.Severity.String() + " " + d.Code + ": " + d.Message
}

// place is "file:line:column: ", or as much of it as is known.
func (d Diagnostic) place() string {
	switch {
	case d.Line == 0 && d.File == "":
		return ""
	case d.Line == 0:
		return d.File + ": "
	case d.File == "":
		return fmt.Sprintf("%d:%d: ", d.Line, d.Column)
	}
	return fmt.Sprintf("%s:%d:%d: ", d.File, d.Line, d.Column)
}

// List is complaints in order of place. A List with an error in it is an error.
type List []Diagnostic

// Error gives the first complaint and how many more there are.
func (l List) Error() string {
	switch len(l) {
	case 0:
		return "no complaints"
	case 1:
		return l[0].Error()
	}
	return fmt.Sprintf("%s (and %d more)", l[0].Error(), len(l)-1)
}

// Err returns the list as an error if it holds one, else nil.
func (l List) Err() error {
	if l.HasErrors() {
		return l
	}
	return nil
}

// HasErrors reports whether any complaint is an Error.
func (l List) HasErrors() bool {
	return slices.ContainsFunc(l, func(d Diagnostic) bool { return d.Severity == Error })
}

// Sort orders the list by file, line, column and code, and drops repeats.
func (l List) Sort() List {
	slices.SortStableFunc(l, func(a, b Diagnostic) int {
		return cmp.Or(strings.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line),
			cmp.Compare(a.Range.Start, b.Range.Start), cmp.Compare(a.Column, b.Column),
			strings.Compare(a.Code, b.Code))
	})
	return slices.CompactFunc(l, func(a, b Diagnostic) bool {
		return a.File == b.File && a.Line == b.Line && a.Column == b.Column &&
			a.Code == b.Code && a.Message == b.Message
	})
}

// Unexpected is the one wording of every complaint about something that stands
// where something else should: what was found, where ("after the net name"),
// and what can stand there.
func Unexpected(found, where, expected string) string {
	var s strings.Builder
	if found == "" {
		s.WriteString("something is missing")
	} else {
		fmt.Fprintf(&s, "%s cannot stand here", Quote(found))
	}
	if where != "" {
		s.WriteString(" " + where)
	}
	if expected != "" {
		s.WriteString("; expected " + expected)
	}
	return s.String()
}

// Quote puts a piece of input into quotes for a message, cut if long and with
// nothing that could move the cursor.
func Quote(s string) string {
	const most = 40
	if utf8.RuneCountInString(s) > most {
		s = string([]rune(s)[:most]) + "…"
	}
	return fmt.Sprintf("%q", s)
}

// OneOf joins words for a sentence: "a, b or c".
func OneOf(words ...string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
