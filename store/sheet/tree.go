package sheet

import (
	"strings"

	"golang.org/x/text/unicode/norm"
)

// The tree of a file is flat: lines in order, the tokens of all lines in one
// slice, and the attributes of all lines in another. Lines refer to both by
// first index and count; tokens refer to the text by offset. So a file costs
// three allocations, whatever its length, and nothing of it is lost.

// A token is one word of a line: from blank to blank, or to a comma.
type token struct {
	start uint32 // byte offset in the file
	size  uint16
	marks mark
}

type mark uint16

const (
	quoted  mark = 1 << iota // wholly between quotation marks, which belong to it
	mixed                    // holds quotation marks, but is not quoted
	escaped                  // holds \" or \\
	comma                    // a comma follows directly
	wide                     // holds bytes beyond ASCII
	odd                      // holds a byte that bare names hold seldom or never
)

type lineState uint8

const (
	blankLine     lineState = iota
	commentLine             // nothing but a comment
	headerLine              // netlore 1
	statementLine           // the first line of a statement
	memberLine              // an indented line of the statement above
	// Lines of the states from here on are kept as they are, without words.
	keptLine   // could not be read, nor are its members
	keptMember // an indented line that could not be read
	orphanLine // an indented line with no statement above
)

// A line is one line of the file, without its line end.
type line struct {
	start, end    uint32
	token, attr   uint32 // the first of each
	tokens, attrs uint16
	comment       uint16 // offset in the line of its #, plus 1; 0 if it has none
	form          formID
	state         lineState
}

// An attr is one attribute of a line: which one, and the tokens of its value.
type attr struct {
	token  uint32
	tokens uint16
	slot   uint8 // index into the form's attributes
}

func (f *File) tokenText(t token) string { return f.text[t.start : t.start+uint32(t.size)] }

func (f *File) lineText(l *line) string { return f.text[l.start:l.end] }

func (f *File) lineTokens(l *line) []token { return f.tokens[l.token : l.token+uint32(l.tokens)] }

func (f *File) lineAttrs(l *line) []attr { return f.attrs[l.attr : l.attr+uint32(l.attrs)] }

// comment returns the comment of a line, from its # on, or "".
func (f *File) comment(l *line) string {
	if l.comment == 0 {
		return ""
	}
	return strings.TrimRight(f.text[l.start+uint32(l.comment)-1:l.end], " \t")
}

// nameIn returns what a token names: without quotation marks, and in the one
// form (NFC) in which names are compared.
func (f *File) nameIn(t token) string {
	s := f.plain(t)
	if t.marks&wide != 0 {
		return norm.NFC.String(s)
	}
	return s
}

// inNFC returns the token's text, quotation marks included, in the form in
// which names are compared.
func (f *File) inNFC(t token) string {
	if t.marks&wide != 0 {
		return norm.NFC.String(f.tokenText(t))
	}
	return f.tokenText(t)
}

// plain returns the token's text without quotation marks.
func (f *File) plain(t token) string {
	s := f.tokenText(t)
	if t.marks&quoted == 0 {
		return s
	}
	return unescape(s[1:len(s)-1], t.marks)
}

func unescape(s string, marks mark) string {
	if marks&escaped == 0 {
		return s
	}
	return unescaper.Replace(s)
}

var unescaper = strings.NewReplacer(`\\`, `\`, `\"`, `"`)
