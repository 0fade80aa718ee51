package diag

import (
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/mattn/go-runewidth"
)

// Style is how diagnostics are drawn for people.
type Style struct {
	Colour bool
	Width  int // of the terminal: an excerpt is cut to it; 0 is no limit
	Most   int // at most this many, the rest is counted; 0 is all
}

// Write draws the complaints of a list, each with its line and a caret under
// what is meant.
func Write(w io.Writer, l List, style Style) error {
	shown := l
	if style.Most > 0 && len(l) > style.Most {
		shown = l[:style.Most]
	}
	for _, d := range shown {
		if _, err := io.WriteString(w, d.draw(style)); err != nil {
			return err
		}
	}
	if more := len(l) - len(shown); more > 0 {
		_, err := fmt.Fprintf(w, "… and %d more\n", more)
		return err
	}
	return nil
}

func (d Diagnostic) draw(style Style) string {
	var s strings.Builder
	paint := func(code, text string) string {
		if !style.Colour {
			return text
		}
		return "\x1b[" + code + "m" + text + "\x1b[0m"
	}
	level := map[Severity]string{Error: "1;31", Warning: "1;35", Note: "1"}[d.Severity]
	fmt.Fprintf(&s, "%s%s: %s\n", Printable(d.place()), paint(level, d.Severity.String()+" "+d.Code), Printable(shortened(d.Message)))
	if d.Line > 0 && d.Excerpt != "" {
		line, pad, width := d.caret(style.Width)
		fmt.Fprintf(&s, "  %s\n  %s%s\n", line, strings.Repeat(" ", pad), paint(level, strings.Repeat("^", width)))
	}
	for _, r := range d.Related {
		fmt.Fprintf(&s, "  %s\n", Printable(Diagnostic{File: r.File, Line: r.Line, Column: r.Column}.place()+r.Message))
		if r.Excerpt != "" {
			fmt.Fprintf(&s, "    %s\n", Printable(r.Excerpt))
		}
	}
	for _, h := range d.Help {
		fmt.Fprintf(&s, "  %s %s\n", paint("1", "help:"), Printable(h))
	}
	return s.String()
}

// shortened cuts words that are longer than any name should be: a file that was
// passed by mistake is one.
func shortened(message string) string {
	const most, kept = 120, 40
	if len(message) <= most {
		return message
	}
	words := strings.Split(message, " ")
	for i, w := range words {
		if utf8.RuneCountInString(w) > most {
			words[i] = string([]rune(w)[:kept]) + "…"
		}
	}
	return strings.Join(words, " ")
}

// caret gives the line as it is printed, the columns before the caret and the
// columns under it, by display width: a tab is one blank, a wide letter two. On
// a terminal that would break the line, and so lead the caret astray, only the
// part round the caret is shown.
func (d Diagnostic) caret(width int) (text string, pad, carets int) {
	line, start := d.Excerpt, min(max(d.Column-1-d.Before, 0), len(d.Excerpt))
	if room := width - len("  "); width > 0 && runewidth.StringWidth(Printable(line)) >= room {
		part, before := window(line, start, max(room-1, 1))
		line, start = part, start-before
	}
	end := min(start+d.Width, len(line))
	pad = runewidth.StringWidth(Printable(line[:start]))
	carets = max(runewidth.StringWidth(Printable(line[start:end])), 1)
	return Printable(line), pad, carets
}

// Printable makes a text harmless for a terminal: what could move the cursor,
// turn the direction of writing or is not text becomes a dot, a tab a blank.
// Names, notes and the names of files come from anybody.
func Printable(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t':
			return ' '
		case unicode.In(r, unicode.Cc, unicode.Bidi_Control, unicode.Zl, unicode.Zp):
			return '·'
		}
		return r
	}, strings.ToValidUTF8(s, "·"))
}
