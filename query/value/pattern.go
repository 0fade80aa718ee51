package value

import (
	"strings"
	"unicode/utf8"
)

// Pattern is a text in which * stands for any text and ? for any one character.
// Whether letters are small or capital does not count.
type Pattern struct {
	pieces []string // what stands between the stars, in small letters
	least  int      // characters that a text must have
}

// NewPattern makes a text ready to be compared with others.
func NewPattern(text string) *Pattern {
	p := &Pattern{pieces: strings.Split(strings.ToLower(text), "*")}
	for _, piece := range p.pieces {
		p.least += utf8.RuneCountInString(piece)
	}
	return p
}

// Fits reports whether a text fits the pattern. Each piece is looked for behind
// the one before, as near to it as can be: what a star has once taken never
// needs to change. So the work is that of finding the pieces one after the
// other, and at most the square of the length of the text.
func (p *Pattern) Fits(text string) bool {
	text = strings.ToLower(text)
	if utf8.RuneCountInString(text) < p.least {
		return false
	}
	first, last := p.pieces[0], len(p.pieces)-1
	n := begins(text, first)
	if last == 0 || n < 0 {
		return n == len(text)
	}
	rest := text[n:]
	end := tail(rest, utf8.RuneCountInString(p.pieces[last]))
	if end < 0 || begins(rest[end:], p.pieces[last]) < 0 {
		return false
	}
	rest = rest[:end]
	for _, piece := range p.pieces[1:last] {
		if n = after(rest, piece); n < 0 {
			return false
		}
		rest = rest[n:]
	}
	return true
}

// begins is the length of the part of a text that a piece fits at its start, or
// -1.
func begins(text, piece string) int {
	left := text
	for _, want := range piece {
		have, size := utf8.DecodeRuneInString(left)
		if size == 0 || want != '?' && want != have {
			return -1
		}
		left = left[size:]
	}
	return len(text) - len(left)
}

// after is where the first part of a text ends that a piece fits, or -1.
func after(text, piece string) int {
	if !strings.Contains(piece, "?") {
		if i := strings.Index(text, piece); i >= 0 {
			return i + len(piece)
		}
		return -1
	}
	for i := range text {
		if n := begins(text[i:], piece); n >= 0 {
			return i + n
		}
	}
	return -1
}

// tail is where the last n characters of a text begin, or -1 if it has fewer.
func tail(text string, n int) int {
	end := len(text)
	for ; n > 0; n-- {
		_, size := utf8.DecodeLastRuneInString(text[:end])
		if size == 0 {
			return -1
		}
		end -= size
	}
	return end
}
