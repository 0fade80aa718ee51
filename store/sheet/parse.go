package sheet

import (
	"strings"
	"unsafe"

	"netlore/query/diag"
)

// Limits of a sheet. Longer lines and larger files are complained of and not
// read. A file as large as can be has 64 bytes a line, about what boards have
// that come with all places.
const (
	MaxLine  = 4 << 10   // bytes of a line without its end
	MaxFile  = 256 << 20 // bytes of a file
	MaxLines = 4 << 20   // lines of a file
)

// Parse reads one sheet. It returns all complaints about the file, at most a
// hundred of them and a last one that counts the others. The tree is whole
// even so: lines that could not be read are kept as they are.
//
// The file refers to src, which must not be changed any more.
func Parse(name string, src []byte) (*File, diag.List) {
	p := &parser{f: &File{name: name, text: textOf(src)}, memo: newMemo(len(src)), complaints: complaints{byLine: true}}
	p.cur = cursor{f: p.f, memo: p.memo}
	if p.f.raw = !p.readable(); p.f.raw {
		return p.f, p.list()
	}
	p.reserve()
	p.lines()
	return p.f, p.list()
}

// textOf gives the bytes of src as a string without copying them: a sheet may
// have hundreds of megabytes.
func textOf(src []byte) string { return unsafe.String(unsafe.SliceData(src), len(src)) }

// A parser builds the tree of one file.
type parser struct {
	f    *File
	memo *memo
	cur  cursor
	val  value
	complaints
	bad     bool   // there was a complaint about the line being read
	invalid bool   // the file holds bytes that are not UTF-8
	newer   bool   // the file is of a newer minor version
	slip    bool   // the first line is a misspelt header
	above   *form  // the statement that indented lines belong to; nil before the first
	unknown bool   // that statement could not be read
	indent  string // of its first indented line
	spread  int    // bytes that the ranges of the file stand for
}

// reserve makes room for the whole tree. Each word but the first of a line has
// a blank or comma before it, and a line is not read beyond its limit.
func (p *parser) reserve() {
	text := p.f.text
	lines := strings.Count(text, "\n") + 1
	words := lines + strings.Count(text, " ") + strings.Count(text, ",") + strings.Count(text, "\t")
	p.f.lines = make([]line, 0, lines)
	p.f.tokens = make([]token, 0, min(words, lines*MaxLine/2))
	p.f.attrs = make([]attr, 0, min(len(text)/8, words, lines*10))
}

// lines reads all lines. The first has been looked at already.
func (p *parser) lines() {
	text := p.f.text
	for at := p.f.start; at < len(text); {
		end := strings.IndexByte(text[at:], '\n')
		next := at + end + 1
		if end < 0 {
			end, next = len(text)-at, len(text)
		}
		end += at
		for end > at && text[end-1] == '\r' {
			end--
		}
		p.f.lines = append(p.f.lines, line{start: uint32(at), end: uint32(end)})
		p.line(&p.f.lines[len(p.f.lines)-1])
		at = next
	}
}

// line reads one line.
func (p *parser) line(l *line) {
	p.bad = false
	if !p.sound(l) || !p.scan(l) {
		p.keep(l, isIndented(p.f.lineText(l)))
		p.forget(l)
		return
	}
	if l.tokens == 0 {
		if l.comment > 0 {
			l.state = commentLine
		}
		return
	}
	if p.f.tokens[l.token].start > l.start {
		p.member(l)
	} else {
		p.statement(l)
	}
	if l.state >= keptLine {
		p.forget(l)
	}
}

// forget drops the words of a line that is kept as it is.
func (p *parser) forget(l *line) {
	p.f.tokens, p.f.attrs = p.f.tokens[:l.token], p.f.attrs[:l.attr]
	l.tokens, l.attrs, l.comment = 0, 0, 0
}

func isIndented(s string) bool { return s != "" && (s[0] == ' ' || s[0] == '\t') }

// sound checks what is checked before a line is cut into words.
func (p *parser) sound(l *line) bool {
	l.token, l.attr = uint32(len(p.f.tokens)), uint32(len(p.f.attrs))
	if size := int(l.end - l.start); size > MaxLine {
		p.fault(l, int(l.start), int(l.start)+1, "S103", "this line is longer than 4096 bytes",
			"split it: several statements about one thing add up")
		return false
	}
	if !p.invalid {
		return true
	}
	if i := invalid(p.f.lineText(l)); i >= 0 {
		p.fault(l, int(l.start)+i, int(l.start)+i+1, "S105", "this is not UTF-8 text", "save the file as UTF-8")
		return false
	}
	return true
}

// keep says that a line could not be read and stays as it is.
func (p *parser) keep(l *line, indented bool) {
	switch {
	case !indented:
		l.state = keptLine
		p.begin(l, nil)
	case p.above == nil && !p.unknown:
		l.state = orphanLine
	default:
		l.state = keptMember
	}
}

// begin makes l the statement that the next indented lines belong to.
func (p *parser) begin(l *line, f *form) {
	p.above, p.unknown, p.indent = f, l.state == keptLine, ""
}

// statement reads a line that starts in the first column.
func (p *parser) statement(l *line) {
	first := p.f.tokens[l.token]
	word := p.f.tokenText(first)
	if word == headWord && first.marks == 0 {
		p.laterHeader(l)
		return
	}
	id, ok := kindByWord(word)
	if !ok || first.marks&comma != 0 {
		if !p.slip || len(p.f.lines) > 1 {
			p.unknownKind(l, first)
		}
		p.keep(l, false)
		return
	}
	f := formOf(id)
	l.state, l.form = statementLine, id
	if !p.fill(l, f) {
		l.state = keptLine
	}
	p.begin(l, f)
}

// member reads an indented line.
func (p *parser) member(l *line) {
	first := p.f.tokens[l.token]
	switch {
	case p.above == nil && p.unknown:
		l.state = keptMember
		return
	case p.above == nil:
		p.fault(l, int(first.start), int(first.start)+int(first.size), "S110", "this line is indented, but there is no statement above it",
			"start a statement in the first column")
		l.state = orphanLine
		return
	case len(p.above.members) == 0:
		p.fault(l, int(first.start), int(first.start)+int(first.size), "S112", p.above.title+" takes no indented lines",
			"start a statement in the first column")
		l.state = keptMember
		return
	}
	p.nesting(l, first)
	f := p.memberForm(l)
	if f == nil {
		l.state = keptMember
		return
	}
	l.state, l.form = memberLine, f.id
	if !p.fill(l, f) || p.unknown {
		l.state = keptMember
	}
}

// nesting complains of a line indented deeper than the first below its
// statement. The line is read all the same.
func (p *parser) nesting(l *line, first token) {
	indent := p.f.text[l.start:first.start]
	if p.indent == "" {
		p.indent = indent
		return
	}
	if len(indent) > len(p.indent) && strings.HasPrefix(indent, p.indent) {
		p.fault(l, int(first.start), int(first.start)+int(first.size), "S111", "this line is indented deeper than the one above; there is one level only",
			"indent all lines of a statement by two blanks")
	}
}

// memberForm tells which of the forms of its statement an indented line has,
// by its word if that is one of theirs.
func (p *parser) memberForm(l *line) *form {
	toks := p.f.lineTokens(l)
	at, plain := p.above.memberWord, (*form)(nil)
	for _, id := range p.above.members {
		f := formOf(id)
		if f.wordAt < 0 {
			plain = f
			continue
		}
		if at < len(toks) && toks[at].marks == 0 && p.f.tokenText(toks[at]) == f.word {
			return f
		}
	}
	if plain == nil {
		p.unknownMember(l, toks)
	}
	return plain
}
