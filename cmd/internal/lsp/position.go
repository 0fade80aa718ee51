package lsp

import (
	"sort"
	"strings"
	"unicode/utf8"

	"netlore/query/diag"
)

// An encoding is in which units the characters of a line are counted.
type encoding uint8

const (
	utf16 encoding = iota // what every client can do
	utf8Bytes
	utf32
)

var encodingNames = [...]string{utf16: "utf-16", utf8Bytes: "utf-8", utf32: "utf-32"}

// agree chooses the first of the client's encodings (section Client
// Capabilities, general.positionEncodings).
func agree(offered []string) encoding {
	for _, name := range offered {
		for e, known := range encodingNames {
			if name == known {
				return encoding(e)
			}
		}
	}
	return utf16
}

// units is how many units a letter has.
func (e encoding) units(r rune, size int) uint32 {
	switch {
	case e == utf8Bytes:
		return uint32(size)
	case e == utf16 && r >= 0x10000:
		return 2
	}
	return 1
}

// lines are where the lines of a text start. A line ends in \n, \r\n or \r
// (section Text Documents).
type lines struct {
	text   string
	starts []int
}

func linesOf(text string) *lines {
	l := &lines{text: text, starts: make([]int, 1, strings.Count(text, "\n")+1)}
	for i := 0; i < len(text); {
		n := lineEnd(text[i:])
		if n < 0 {
			break
		}
		i = afterEnd(text, i+n)
		l.starts = append(l.starts, i)
	}
	return l
}

// lineEnd returns where the first line of a text ends, or -1.
func lineEnd(text string) int {
	n := strings.IndexByte(text, '\n')
	if n < 0 {
		return strings.IndexByte(text, '\r')
	}
	if r := strings.IndexByte(text[:n], '\r'); r >= 0 {
		return r
	}
	return n
}

// afterEnd returns where the line after the line end at i starts.
func afterEnd(text string, i int) int {
	if strings.HasPrefix(text[i:], "\r\n") {
		return i + 2
	}
	return i + 1
}

// content is a line without its end.
func (l *lines) content(line int) string {
	end := len(l.text)
	if line+1 < len(l.starts) {
		end = l.starts[line+1]
	}
	return strings.TrimRight(l.text[l.starts[line]:end], "\r\n")
}

// offset is the byte at a position. What is beyond the end of a line, or of the
// text, is its end; what is inside a letter, its start.
func (l *lines) offset(p position, e encoding) int {
	if int(p.Line) >= len(l.starts) {
		return len(l.text)
	}
	at := l.starts[p.Line]
	return at + offsetIn(l.content(int(p.Line)), p.Character, e)
}

// offsetIn is the byte at a character of a line.
func offsetIn(line string, character uint32, e encoding) int {
	seen := uint32(0)
	for i, r := range line {
		_, size := utf8.DecodeRuneInString(line[i:])
		if seen += e.units(r, size); seen > character {
			return i
		}
	}
	return len(line)
}

// position is where a byte is.
func (l *lines) position(offset int, e encoding) position {
	offset = max(0, min(offset, len(l.text)))
	line := sort.SearchInts(l.starts, offset+1) - 1
	p := position{Line: uint32(line)}
	before := l.content(line)
	before = before[:min(offset-l.starts[line], len(before))]
	if e == utf8Bytes {
		p.Character = uint32(len(before))
		return p
	}
	for i, r := range before {
		_, size := utf8.DecodeRuneInString(before[i:])
		p.Character += e.units(r, size)
	}
	return p
}

// textRange is where bytes are.
func (l *lines) textRange(r diag.Range, e encoding) textRange {
	return textRange{l.position(r.Start, e), l.position(r.End, e)}
}
