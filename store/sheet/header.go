package sheet

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"netlore/query/diag"
)

// The version of the format that this package reads whole and writes.
const (
	Major = 1
	Minor = 0
)

const headWord = "netlore"

// readable judges the file before its lines are read: whether it is text, not
// too large, and a sheet of a version that can be read. Lines that it has dealt
// with are already in the tree.
func (p *parser) readable() bool {
	text := p.f.text
	if len(text) > MaxFile {
		return p.refuse("S104", fmt.Sprintf("the file has %d bytes; a sheet has at most %d (256 MiB)", len(text), MaxFile), splitHelp)
	}
	if at, ok := lineAfter(text, MaxLines); ok {
		return p.refuseAt(at)
	}
	if what := foreign(text); what != "" {
		return p.refuse("S102", "this is "+what+", not a sheet", "a sheet is UTF-8 text; import other formats first")
	}
	p.invalid = !utf8.ValidString(text)
	if strings.HasPrefix(text, "\ufeff") {
		p.f.start = len("\ufeff")
	}
	return p.header()
}

// foreign names what the content looks like if it is not text in UTF-8.
func foreign(s string) string {
	for _, known := range []struct{ head, name string }{
		{"\xff\xfe", "text in UTF-16"}, {"\xfe\xff", "text in UTF-16"},
		{"\x1f\x8b", "a gzip file"}, {"PK\x03\x04", "a zip file"}, {"%PDF", "a PDF file"},
		{"\x89PNG", "a picture"}, {"\xff\xd8\xff", "a picture"},
	} {
		if strings.HasPrefix(s, known.head) {
			return known.name
		}
	}
	if strings.IndexByte(s, 0) >= 0 {
		return "binary data"
	}
	return ""
}

// refuse complains about the file as a whole. It returns false.
func (p *parser) refuse(code, message string, help ...string) bool {
	p.add(diag.Diagnostic{Code: code, Message: message, Help: help, File: p.f.name})
	return false
}

const splitHelp = "split it between two statements: a folder of sheets is read as one"

// lineAfter returns where the line after so many starts, if there is one.
func lineAfter(text string, lines int) (at int, ok bool) {
	for range lines {
		end := strings.IndexByte(text[at:], '\n')
		if end < 0 {
			return 0, false
		}
		at += end + 1
	}
	return at, at < len(text)
}

// refuseAt complains of the first line that is too many. It returns false.
func (p *parser) refuseAt(at int) bool {
	text, _, _ := strings.Cut(p.f.text[at:min(len(p.f.text), at+MaxLine)], "\n")
	d := diag.Diagnostic{Code: "S104", File: p.f.name, Range: diag.Range{Start: at, End: at + 1},
		Message: fmt.Sprintf("the file has more than %d lines, the most that a sheet can have", MaxLines), Help: []string{splitHelp}}
	p.add(d.InLine(MaxLines+1, text, 0, 1))
	return false
}

// header reads the first line, which says format and version. It reports false
// if the file is not to be read further.
func (p *parser) header() bool {
	first, _, _ := strings.Cut(p.f.text[p.f.start:], "\n")
	first = strings.TrimSuffix(first, "\r")
	l := &line{start: uint32(p.f.start), end: uint32(p.f.start + len(first))}
	words := strings.Fields(first[:min(len(first), MaxLine)])
	if len(words) > 0 && words[0] == headWord {
		return p.newMajor(l, words)
	}
	if strings.TrimSpace(p.f.text) == "" {
		return p.noHeader(l, "the file is empty; expected netlore 1 in its first line")
	}
	p.noHeader(l, "the first line does not say netlore 1")
	p.slip = len(words) > 0 && len(diag.Closest(words[0], []string{headWord})) > 0
	return p.looksLikeSheet()
}

func (p *parser) noHeader(l *line, message string) bool {
	p.complain(l, diag.Diagnostic{Code: "S101", Message: message, Help: []string{"start the file with the line netlore 1"},
		Range: diag.Range{Start: int(l.start), End: int(l.start)}, Edits: []diag.Edit{{Range: diag.Range{Start: int(l.start), End: int(l.start)}, New: "netlore 1\n"}}})
	return false
}

// looksLikeSheet reports whether the file, of which the first line is missing
// or wrong, starts with a statement nevertheless.
func (p *parser) looksLikeSheet() bool {
	rest := p.f.text[p.f.start:]
	if p.slip {
		_, rest, _ = strings.Cut(rest, "\n")
	}
	for rest != "" {
		var text string
		text, rest, _ = strings.Cut(rest, "\n")
		words := strings.Fields(text[:min(len(text), MaxLine)])
		if len(words) == 0 || strings.HasPrefix(words[0], "#") {
			continue
		}
		_, ok := kindByWord(strings.ToLower(words[0]))
		return ok
	}
	return false
}

// newMajor looks at the version of the first line, and refuses one of which
// nothing can be known.
func (p *parser) newMajor(l *line, words []string) bool {
	if len(words) < 2 {
		return true // the line itself is complained of when it is read
	}
	major, _, ok := version(words[1])
	if ok && major > Major {
		p.complain(l, diag.Diagnostic{Code: "S502", Message: fmt.Sprintf("this sheet is of version %s; this program reads version %d", words[1], Major),
			Help: []string{"use a newer netlore"}, Range: spanOf(p.f.text, l, words[1])})
		return false
	}
	return true
}

// spanOf is the range of a word in a line.
func spanOf(text string, l *line, word string) diag.Range {
	at := int(l.start) + strings.Index(text[l.start:l.end], word)
	return diag.Range{Start: at, End: at + len(word)}
}

// version reads 1 or 1.2.
func version(s string) (major, minor int, ok bool) {
	first, second, dotted := strings.Cut(s, ".")
	const most = 9999
	major, ok = whole(first, most)
	if dotted && ok {
		minor, ok = whole(second, most)
	}
	return major, minor, ok && major > 0
}

// laterHeader reads a line that says format and version: the first, or one
// that came in when files were put one after the other.
func (p *parser) laterHeader(l *line) {
	toks := p.f.lineTokens(l)
	l.state = headerLine
	p.begin(l, nil)
	if len(toks) != 2 {
		p.fault(l, int(toks[0].start), int(l.end), "S101", "the version is missing; expected netlore 1", "write netlore 1")
		return
	}
	text := p.f.tokenText(toks[1])
	major, minor, ok := version(text)
	at := diag.Range{Start: int(toks[1].start), End: int(toks[1].start) + len(text)}
	switch {
	case !ok || major != Major:
		p.complain(l, diag.Diagnostic{Code: "S502", Message: diag.Unexpected(text, "after netlore", "the version 1"), Range: at})
	case minor > Minor && !p.newer:
		p.newer = true
		p.complain(l, diag.Diagnostic{Code: "S501", Severity: diag.Warning, Range: at,
			Message: fmt.Sprintf("this sheet is of version %s, newer than this program's %d.%d", text, Major, Minor),
			Help:    []string{"lines that this program does not know are kept as they are, and not used"}})
	}
	p.f.minor = max(p.f.minor, minor)
}
