package render

import (
	"strings"

	"github.com/mattn/go-runewidth"
)

// pieces cuts a cell where a line may end: at blanks, but not at those between
// two quotation marks, for a name must stay in one piece.
func pieces(cell string) []string {
	marks, seen := strings.Count(cell, `"`), 0
	return strings.FieldsFunc(cell, func(r rune) bool {
		if r == '"' {
			seen++
		}
		inside := seen%2 == 1 && seen < marks
		return r == ' ' && !inside
	})
}

// Wrap breaks a text into lines of at most width columns. A piece that is wider
// has a line of its own.
func Wrap(cell string, width int) string {
	if runewidth.StringWidth(cell) <= width {
		return cell
	}
	var s strings.Builder
	at := 0
	for i, p := range pieces(cell) {
		w := runewidth.StringWidth(p)
		switch {
		case i == 0:
		case at+1+w <= width:
			s.WriteByte(' ')
			at++
		default:
			s.WriteByte('\n')
			at = 0
		}
		s.WriteString(p)
		at += w
	}
	return s.String()
}

// Paragraphs are the lines of a text of ours, which may be broken anywhere. A long line goes on
// in the next one, wherever the source breaks it; short ones, examples, and what is indented,
// stand by themselves.
func Paragraphs(text string) (lines []string) {
	const long = 65
	goesOn := false
	for line := range strings.SplitSeq(text, "\n") {
		apart := line == "" || strings.HasPrefix(line, " ") || strings.HasPrefix(line, "wrong: ") || strings.HasPrefix(line, "right: ")
		if goesOn && !apart {
			lines[len(lines)-1] += " " + line
		} else {
			lines = append(lines, line)
		}
		goesOn = !apart && len(line) >= long
	}
	return lines
}
