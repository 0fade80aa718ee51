package mirror

import "strings"

// A cut is where a text is odd: a line, 1-based, and what it says.
type cut struct {
	line int
	text string
}

// sides parts a text in which git has left conflicts into both of its sides. The
// cuts are the lines at which conflicts begin; without any, both sides are the text.
// What both have departed from, which git can show between them, is left out.
func sides(text string) (ours, theirs string, cuts []cut) {
	if !strings.Contains(text, "<<<<<<<") {
		return text, text, nil
	}
	var a, b strings.Builder
	const both, first, base, second = 0, 1, 2, 3
	at, number := both, 0
	for line := range strings.Lines(text) {
		number++
		switch {
		case marks(line, '<') && at == both:
			at = first
			cuts = append(cuts, cut{number, strings.TrimRight(line, "\r\n")})
			continue
		case marks(line, '|') && at == first:
			at = base
			continue
		case marks(line, '=') && (at == first || at == base):
			at = second
			continue
		case marks(line, '>') && at == second:
			at = both
			continue
		}
		if at == both || at == first {
			a.WriteString(line)
		}
		if at == both || at == second {
			b.WriteString(line)
		}
	}
	return a.String(), b.String(), cuts
}

// marks reports whether a line is one that git marks conflicts with.
func marks(line string, sign byte) bool {
	line = strings.TrimRight(line, "\r\n")
	sevenfold := strings.Repeat(string(sign), 7)
	rest, ok := strings.CutPrefix(line, sevenfold)
	return ok && (rest == "" || rest[0] == ' ')
}
