package mirror

import "strings"

// A cut is where a text is odd: a line, 1-based, and what it says.
type cut struct {
	line int
	text string
}

// A side is what a sheet says on one side of its conflicts.
type side struct {
	text  string
	lines []int32 // where in the file each line stands, 1-based; nil if as here
}

func (s *side) add(number int, line string, text *strings.Builder) {
	text.WriteString(line)
	s.lines = append(s.lines, int32(number))
}

// line is where in the file a line of this side stands.
func (s *side) line(number int) int {
	if s.lines == nil {
		return number
	}
	return int(s.lines[number-1])
}

// sides parts a text in which git has left conflicts into both of its sides. The
// cuts are the lines at which conflicts begin; without any, both sides are the text.
// What both have departed from, which git can show between them, is left out.
func sides(text string) (ours, theirs side, cuts []cut) {
	if !strings.Contains(text, "<<<<<<<") {
		return side{text: text}, side{text: text}, nil
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
			ours.add(number, line, &a)
		}
		if at == both || at == second {
			theirs.add(number, line, &b)
		}
	}
	ours.text, theirs.text = a.String(), b.String()
	return ours, theirs, cuts
}

// marks reports whether a line is one that git marks conflicts with.
func marks(line string, sign byte) bool {
	line = strings.TrimRight(line, "\r\n")
	rest := strings.TrimLeft(line, string(sign))
	return len(line)-len(rest) == 7 && (rest == "" || rest[0] == ' ')
}
