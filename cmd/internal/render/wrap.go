package render

import (
	"strings"

	"github.com/mattn/go-runewidth"
)

// pieces cuts a cell where a line may end: at blanks, but not at those inside
// quotation marks, for a name must stay in one piece.
func pieces(cell string) []string {
	quoted := false
	return strings.FieldsFunc(cell, func(r rune) bool {
		if r == '"' {
			quoted = !quoted
		}
		return r == ' ' && !quoted
	})
}

// wrap breaks a cell into lines of at most width columns. A piece that is wider
// has a line of its own.
func wrap(cell string, width int) string {
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
