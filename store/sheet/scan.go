package sheet

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"netlore/query/diag"
)

// class says what a byte does to the scanner.
type class uint8

const (
	plainByte class = iota
	oddByte         // belongs to the word, which is then hardly a bare name
	dotByte         // two of them make a range
	quoteByte
	commaByte
	blankByte
	controlByte
	wideByte // beyond ASCII
)

var classes = func() (t [256]class) {
	for c := range t {
		switch {
		case c == ' ' || c == '\t':
			t[c] = blankByte
		case c < ' ' || c == 0x7f:
			t[c] = controlByte
		case c >= utf8.RuneSelf:
			t[c] = wideByte
		}
	}
	for _, c := range []byte("()<>=!:;*?") {
		t[c] = oddByte
	}
	t['"'], t[','], t['.'] = quoteByte, commaByte, dotByte
	return t
}()

// scan cuts a line into tokens and finds its comment. It reports false if it
// has complained: then the tokens are not to be used.
func (p *parser) scan(l *line) bool {
	text := p.f.text[:l.end]
	l.token = uint32(len(p.f.tokens))
	i := int(l.start)
	for {
		for i < len(text) && classes[text[i]] == blankByte {
			i++
		}
		if i == len(text) {
			break
		}
		if text[i] == '#' && (i == int(l.start) || classes[text[i-1]] == blankByte) {
			l.comment = uint16(i-int(l.start)) + 1
			if !p.scanText(l, i, len(text)) {
				return false
			}
			break
		}
		if i = p.scanToken(l, text, i); i < 0 {
			return false
		}
	}
	l.tokens = uint16(len(p.f.tokens) - int(l.token))
	return p.scanLast(l)
}

// scanToken reads one token at i and returns where it ends, past its comma, or
// -1 if it has complained.
func (p *parser) scanToken(l *line, text string, i int) int {
	start, marks := i, mark(0)
	for i < len(text) {
		c := classes[text[i]]
		if c == plainByte {
			i++
			continue
		}
		if c == blankByte || c == commaByte {
			break
		}
		switch c {
		case oddByte:
			marks |= odd
			i++
		case dotByte:
			if i++; i < len(text) && text[i] == '.' {
				marks |= odd
			}
		case quoteByte:
			marks |= mixed
			if i = p.scanQuoted(l, text, i, &marks); i < 0 {
				return -1
			}
		default:
			marks |= wide
			if i = p.scanWide(l, text, i); i < 0 {
				return -1
			}
		}
	}
	if i == start {
		return p.fault(l, i, i+1, "S109", "there is nothing before the comma", "write lists as A,B,C")
	}
	marks = settle(marks, text[start:i])
	size := uint16(i - start)
	if i < len(text) && text[i] == ',' {
		marks |= comma
		i++
	}
	p.f.tokens = append(p.f.tokens, token{uint32(start), size, marks})
	return i
}

// settle tells a token that is quoted as a whole from one that only holds
// quotation marks.
func settle(marks mark, s string) mark {
	if marks&mixed == 0 || s[0] != '"' {
		return marks
	}
	if end := closing(s, 0); end == len(s)-1 {
		return marks&^(mixed|odd) | quoted
	}
	return marks
}

// closing returns the index of the quotation mark that closes the one at i, or
// -1 if there is none.
func closing(s string, i int) int {
	for i++; i < len(s); i++ {
		switch s[i] {
		case '\\':
			i++
		case '"':
			return i
		}
	}
	return -1
}

// scanQuoted reads from one quotation mark past the next, or returns -1.
func (p *parser) scanQuoted(l *line, text string, start int, marks *mark) int {
	for i := start + 1; i < len(text); i++ {
		switch c := text[i]; {
		case c == '"':
			return i + 1
		case c == '\\':
			*marks |= escaped
			if i++; i == len(text) || text[i] != '"' && text[i] != '\\' {
				return p.fault(l, i-1, i+1, "S108", "after a backslash in quotation marks only \" or \\ can stand",
					`write \\ for a backslash`)
			}
		case classes[c] == controlByte:
			return p.control(l, i)
		case c >= utf8.RuneSelf:
			*marks |= wide
		}
	}
	return p.fault(l, start, start+1, "S107", "the quotation mark is not closed on this line", `end the text with "`)
}

// scanText checks text that may hold anything printable: a comment, or what
// stands between quotation marks.
func (p *parser) scanText(l *line, i, end int) bool {
	for ; i < end; i++ {
		if classes[p.f.text[i]] == controlByte {
			p.control(l, i)
			return false
		}
	}
	return true
}

func (p *parser) control(l *line, i int) int {
	return p.fault(l, i, i+1, "S106", "there is a control character in the line", "take it out; a tab or blank separates words")
}

// scanWide reads one letter beyond ASCII in a bare word, or returns -1.
func (p *parser) scanWide(l *line, text string, i int) int {
	r, size := utf8.DecodeRuneInString(text[i:])
	switch {
	case text[i] < utf8.RuneSelf:
		return p.control(l, i)
	case unicode.IsSpace(r):
		return p.fault(l, i, i+size, "S106", "there is a blank here that is not the plain blank", "put a plain blank in its place")
	case !unicode.IsPrint(r):
		return p.fault(l, i, i+size, "S106", "there is a character here that cannot be seen", "take it out, or put the word in quotation marks")
	}
	return i + size
}

// scanLast checks that the line does not end in a comma.
func (p *parser) scanLast(l *line) bool {
	if l.tokens == 0 {
		return true
	}
	if t := p.f.tokens[len(p.f.tokens)-1]; t.marks&comma != 0 {
		end := int(t.start) + int(t.size)
		p.fault(l, end, end+1, "S109", "there is nothing after the comma", "write lists as A,B,C on one line")
		return false
	}
	return true
}

// fault complains about bytes start to end of the file. It returns -1.
func (p *parser) fault(l *line, start, end int, code, message string, help ...string) int {
	p.complain(l, diag.Diagnostic{Code: code, Message: message, Help: help, Range: diag.Range{Start: start, End: end}})
	return -1
}

// invalid returns the byte offset of the first byte of a line that is not
// UTF-8, or -1.
func invalid(s string) int {
	for i := 0; i < len(s); {
		j := strings.IndexFunc(s[i:], func(r rune) bool { return r == utf8.RuneError })
		if j < 0 {
			return -1
		}
		i += j
		if _, size := utf8.DecodeRuneInString(s[i:]); size == 1 {
			return i
		}
		i += len("\ufffd")
	}
	return -1
}
