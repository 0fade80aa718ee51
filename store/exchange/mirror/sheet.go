package mirror

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"path"
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/store/exchange"
	"netlore/store/sheet"
)

// Sheet is a sheet of the folder as it was read.
type Sheet struct {
	Of         string
	Statements int // that are signed

	own      bool            // of this shop
	name     string          // of the file
	texts    map[string]bool // signed statements; kept of own sheets and of those that git has left in conflict
	sum      [sha256.Size]byte
	conflict bool
	broken   bool    // it could not be read as a whole
	unsigned []piece // what nobody has signed
	odd      diag.List
	short    bool // the last line is cut short
	raw      string
}

// piece is a statement of a sheet with the lines below it, or a comment.
type piece struct {
	line int // 1-based; 0 if it is not known
	text string
	why  diag.Diagnostic // that nobody has signed it
}

const sheetHead = "netlore 1\n"

// pieces parts a sheet into its statements and comments as they stand.
func pieces(text string) (all []piece) {
	line := 1
	for start, at := len(sheetHead), len(sheetHead); at < len(text); {
		if end := strings.IndexByte(text[at:], '\n'); end >= 0 {
			at += end + 1
		} else {
			at = len(text)
		}
		if at < len(text) && text[at] == ' ' {
			continue
		}
		block := text[start:at]
		if block != "\n" {
			all = append(all, piece{line: line + 1, text: block})
		}
		line += strings.Count(block, "\n")
		start = at
	}
	return all
}

// sheet reads one sheet.
func (s *subject) sheet(name string) {
	f := s.r.folder
	one := &Sheet{name: name, own: s.own, texts: map[string]bool{}}
	s.r.Sheets[name] = one
	s.sheets = append(s.sheets, one)
	if len(s.seals) > 0 {
		one.Of = s.seals[0].lists.Of
	}
	written, err := f.text(name, mostSheet)
	if err != nil {
		one.broken = true
		one.odd = append(one.odd, err.(diag.Diagnostic))
		return
	}
	one.sum = sha256.Sum256(written)
	text := string(bytes.ReplaceAll(written, []byte("\r\n"), []byte("\n")))
	if one.short = text != "" && !strings.HasSuffix(text, "\n"); one.short {
		text += "\n"
	}
	one.raw = text
	ours, theirs, cuts := sides(text)
	for _, c := range cuts {
		one.conflict = true
		d := f.complaint("X301", name, "git has left a conflict here; both sides were read")
		d.Severity = diag.Warning
		one.odd = append(one.odd, d.InLine(c.line, c.text, 0, len(c.text)))
	}
	s.side(one, ours)
	if one.conflict {
		s.side(one, theirs)
	}
}

// side reads a sheet, or one side of one that git has left in conflict.
func (s *subject) side(one *Sheet, text string) {
	if !strings.HasPrefix(text, sheetHead) {
		one.broken = true
		line, _, _ := strings.Cut(text, "\n")
		message := "the sheet does not begin with \"netlore 1\""
		if text == "" {
			message = "the sheet is empty"
		}
		one.odd = append(one.odd, s.r.folder.complaint("X304", one.name, message, mend).InLine(1, line, 0, len(line)))
		return
	}
	for _, p := range pieces(text) {
		switch {
		case s.signed(p.text):
			if !s.names(p.text) || path.Base(one.name) == sheetName(exchange.Structure) {
				one.texts[p.text] = true
			}
		case s.names(p.text):
		default:
			if one.conflict {
				p.line = 1 + strings.Count(one.raw[:max(0, strings.Index(one.raw, p.text))], "\n")
			}
			one.unsigned = append(one.unsigned, p)
		}
	}
}

const mend = "git checkout brings the last version back; a sheet of your own can be deleted, and is written anew"

// names reports whether a block says only what the sheet is about.
func (s *subject) names(text string) bool {
	return slices.ContainsFunc(s.abouts, func(a exchange.About) bool { return text == exchange.Naming(a.Of) })
}

// judge words what is in a sheet that nobody has signed.
func (s *subject) judge(one *Sheet) {
	one.Statements = len(one.texts)
	if len(one.unsigned) > 0 {
		s.cutShort(one)
	}
	var bad map[int]diag.Diagnostic
	if len(one.unsigned) > 0 && !one.conflict {
		bad = unreadable(s.r.folder.called(one.name), one.raw)
	}
	s.word(one, bad)
	if !one.own && !one.conflict {
		one.texts = nil
	}
	one.raw = ""
}

// word words what nobody has signed, each statement by itself, unless there are many, or
// it is the signature that is missing.
func (s *subject) word(one *Sheet, bad map[int]diag.Diagnostic) {
	told, more := 0, 0
	for i := range one.unsigned {
		p := &one.unsigned[i]
		switch {
		case strings.HasPrefix(p.text, "#"):
		case s.failed || told == mostTold:
			more++
		default:
			told++
			p.why = s.unsigned(one, p, bad)
		}
	}
	switch {
	case s.failed && more > 0:
		one.odd = append(one.odd, s.r.folder.complaint("X302", one.name, fmt.Sprintf("of %s here the signature is missing or does not fit, so they are not taken", statements(more)), "see what is told of its signatures"))
	case more > 0:
		one.odd = append(one.odd, s.r.folder.complaint("X302", one.name, fmt.Sprintf("%s more that nobody has signed", statements(more)), "git diff shows what was changed"))
	}
}

func statements(n int) string {
	if n == 1 {
		return "1 statement"
	}
	return fmt.Sprintf("%d statements", n)
}

// mostTold is how many statements of one sheet are told one by one.
const mostTold = 20

// cutShort looks whether the end of a sheet is the beginning of a statement that
// was signed: then it was cut short, and nobody has written anything by hand.
func (s *subject) cutShort(one *Sheet) {
	last := len(one.unsigned) - 1
	end := strings.TrimSuffix(one.unsigned[last].text, "\n")
	if !one.short {
		return
	}
	p := one.unsigned[last]
	line, _, _ := strings.Cut(p.text, "\n")
	one.odd = append(one.odd, s.r.folder.complaint("X304", one.name, "the sheet ends within a line; what stands before it was read", mend).InLine(p.line, line, 0, len(line)))
	for _, text := range s.held {
		if strings.HasPrefix(text, end) {
			one.unsigned = one.unsigned[:last]
			return
		}
	}
	one.broken = true
	one.unsigned = one.unsigned[:last]
}

// unreadable gives what no sheet can say, by the lines.
func unreadable(name, text string) map[int]diag.Diagnostic {
	bad := map[int]diag.Diagnostic{}
	_, list := sheet.Parse(name, []byte(text))
	for _, d := range list {
		if _, known := bad[d.Line]; !known && d.Severity == diag.Error && d.Line > 0 {
			bad[d.Line] = d
		}
	}
	return bad
}

// unsigned words that nobody has signed a piece.
func (s *subject) unsigned(one *Sheet, p *piece, bad map[int]diag.Diagnostic) diag.Diagnostic {
	for line := p.line; line < p.line+strings.Count(p.text, "\n"); line++ {
		if d, ok := bad[line]; ok {
			return d
		}
	}
	first, _, _ := strings.Cut(p.text, "\n")
	f := s.r.folder
	name := f.called(one.name)
	if was, ok := s.was(p.text); ok {
		s.changed[was] = true
		help := "git checkout " + name + " brings it back"
		if one.own && exchange.KindOf(p.text) == exchange.Structure {
			help = "if it is right now: netlore add " + name + " --correct"
		} else if one.own {
			help += "; to say otherwise, correct it in the base"
		}
		was, _, _ = strings.Cut(was, "\n")
		return f.complaint("X303", one.name, "the statement was changed after it was signed, so it is not taken", "signed was: "+was, help).InLine(p.line, first, 0, len(first))
	}
	help := "ask the shop whose sheet it is; only it can sign there"
	if one.own {
		help = "netlore add " + name + " takes it on your own word, and the next mirror signs it"
	}
	return f.complaint("X302", one.name, "nobody has signed this statement, so it is not taken", help).InLine(p.line, first, 0, len(first))
}

// was finds the signed statement that a piece was most likely made of: one that is in no
// sheet any more and begins with the same words, its kind and name at least.
func (s *subject) was(text string) (was string, ok bool) {
	best := 1
	for _, held := range s.held {
		n := sameWords(text, held)
		if n > best || n == best && ok && held < was {
			best, was, ok = n, held, true
		}
	}
	return was, ok
}

// sameWords counts the words of the first line with which two statements begin alike.
func sameWords(a, b string) (n int) {
	a, _, _ = strings.Cut(a, "\n")
	b, _, _ = strings.Cut(b, "\n")
	as, bs := strings.Fields(a), strings.Fields(b)
	for n < len(as) && n < len(bs) && as[n] == bs[n] {
		n++
	}
	return n
}
