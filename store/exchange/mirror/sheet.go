package mirror

import (
	"crypto/sha256"
	"fmt"
	"iter"
	"path"
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/store/exchange"
	"netlore/store/sheet"
)

// Sheet is a sheet of the folder as it was read.
type Sheet struct {
	Of string

	own      bool            // of this shop
	name     string          // of the file
	texts    map[string]bool // signed statements; of own sheets and of those that git has left in conflict
	sum      [sha256.Size]byte
	conflict bool
	broken   bool    // it could not be read as a whole
	unsigned []piece // what nobody has signed, the first of it
	ours     int     // how much of that stands on the first side of a conflict
	size     int     // of it, in bytes
	more     int     // how much else nobody has signed
	odd      diag.List
	short    bool // the last line is cut short
}

// piece is a statement of a sheet with the lines below it, or a comment.
type piece struct {
	line int // 1-based
	text string
	why  diag.Diagnostic // that nobody has signed it
}

const sheetHead = "netlore 1\n"

// pieces parts a sheet into its statements and comments as they stand, each with the
// line on which it begins, 1-based.
func pieces(text string) iter.Seq2[int, string] {
	return func(yield func(int, string) bool) {
		line := 2
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
			if block != "\n" && !yield(line, block) {
				return
			}
			line += strings.Count(block, "\n")
			start = at
		}
	}
}

// sheet reads one sheet.
func (s *subject) sheet(name string) error {
	f := s.r.folder
	one := &Sheet{name: name, own: s.own}
	s.r.Sheets[name] = one
	s.sheets = append(s.sheets, one)
	if len(s.seals) > 0 {
		one.Of = s.seals[0].lists.Of
	}
	written, err := f.text(name, s.most())
	if err != nil {
		one.broken = true
		s.r.note(&one.odd, err.(diag.Diagnostic))
		return nil
	}
	s.read += len(written)
	one.sum = sha256.Sum256(written)
	text := strings.ReplaceAll(string(written), "\r\n", "\n")
	if one.short = text != "" && !strings.HasSuffix(text, "\n"); one.short {
		text += "\n"
	}
	ours, theirs, cuts := sides(text)
	one.conflict = len(cuts) > 0
	if s.own || one.conflict {
		one.texts = map[string]bool{}
	}
	s.tellCuts(one, cuts)
	if err := s.side(one, &ours); err != nil || !one.conflict {
		return err
	}
	one.ours = len(one.unsigned)
	return s.side(one, &theirs)
}

// most is how many bytes the next sheet may have: no more than is left for this subject
// and, of other shops, than can have been signed.
func (s *subject) most() int64 {
	left := mostSheets - s.read
	if !s.own {
		left = min(left, spareSheet+len(s.seals)*exchange.MostSheet)
	}
	return int64(left)
}

// tellCuts tells where git has left conflicts.
func (s *subject) tellCuts(one *Sheet, cuts []cut) {
	f := s.r.folder
	for i, c := range cuts {
		message := "git has left a conflict here; both sides were read"
		if i == mostTold && len(cuts) > mostTold+1 {
			message = fmt.Sprintf("git has left %d more conflicts from here on; both sides were read", len(cuts)-i)
		}
		d := f.complaint("X301", one.name, message)
		d.Severity = diag.Warning
		s.r.note(&one.odd, d.InLine(c.line, strings.Clone(c.text), 0, len(c.text)))
		if i == mostTold && len(cuts) > mostTold+1 {
			return
		}
	}
}

// side reads a sheet, or one side of one that git has left in conflict.
func (s *subject) side(one *Sheet, of *side) error {
	if !strings.HasPrefix(of.text, sheetHead) {
		one.broken = true
		line, _, _ := strings.Cut(of.text, "\n")
		message := "the sheet does not begin with \"netlore 1\""
		if of.text == "" {
			message = "the sheet is empty"
		}
		s.r.note(&one.odd, s.r.folder.complaint("X304", one.name, message, mend).InLine(1, strings.Clone(line), 0, len(line)))
		return nil
	}
	n := 0
	for line, text := range pieces(of.text) {
		if n++; n%1000 == 0 && s.r.ctx.Err() != nil {
			return s.r.ctx.Err()
		}
		signed := s.signed(text)
		switch {
		case s.hashed > mostHashed:
			one.broken = true
			s.r.note(&one.odd, s.r.folder.complaint("X307", one.name, "there are too many statements here for so many batches, and they are not read to the end").InLine(of.line(line), "", 0, 0))
			return nil
		case signed:
			if one.texts != nil && (!s.named[text] || path.Base(one.name) == sheetName(exchange.Structure)) {
				one.texts[text] = true
			}
		case s.named[text]:
		default:
			one.leave(of.line(line), text)
		}
	}
	return nil
}

// leave keeps what nobody has signed, as far as there is room. What both sides of a
// conflict say is kept once.
func (s *Sheet) leave(line int, text string) {
	at, there := slices.BinarySearchFunc(s.unsigned[:s.ours], line, func(p piece, line int) int { return p.line - line })
	switch {
	case there && s.unsigned[at].text == text:
	case len(s.unsigned) == mostUnsigned || s.size+len(text) > mostLeft:
		s.more++
	default:
		s.size += len(text)
		s.unsigned = append(s.unsigned, piece{line: line, text: strings.Clone(text)})
	}
}

const mend = "git checkout brings the last version back; a sheet of your own can be deleted, and is written anew"

// judge words what is in a sheet that nobody has signed.
func (s *subject) judge(one *Sheet) {
	s.cutShort(one)
	s.word(one)
	if !one.own {
		for _, p := range one.unsigned {
			if p.why.Code != "" {
				one.odd = append(one.odd, p.why)
			}
		}
		one.more += len(one.unsigned)
		one.unsigned = nil
		if !one.conflict {
			one.texts = nil
		}
	}
}

// word words what nobody has signed, each statement by itself, unless there are many, or
// it is the signature that is missing.
func (s *subject) word(one *Sheet) {
	told, more := 0, one.more
	for i := range one.unsigned {
		p := &one.unsigned[i]
		switch {
		case strings.HasPrefix(p.text, "#"):
		case s.failed || told == mostTold || s.r.told == mostOdd:
			more++
		default:
			told++
			s.r.told++
			p.why = s.unsigned(one, p)
		}
	}
	switch {
	case s.failed && more > 0:
		s.r.note(&one.odd, s.r.folder.complaint("X302", one.name, fmt.Sprintf("of %s here the signature is missing or does not fit, so they are not taken", statements(more)), "see what is told of its signatures"))
	case more > 0:
		s.r.note(&one.odd, s.r.folder.complaint("X302", one.name, fmt.Sprintf("%s more that nobody has signed", statements(more)), "git diff shows what was changed"))
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
	if !one.short || last < 0 || one.more > 0 {
		return
	}
	p := one.unsigned[last]
	line, _, _ := strings.Cut(p.text, "\n")
	s.r.note(&one.odd, s.r.folder.complaint("X304", one.name, "the sheet ends within a line; what stands before it was read", mend).InLine(p.line, line, 0, len(line)))
	one.unsigned = one.unsigned[:last]
	end := strings.TrimSuffix(p.text, "\n")
	for _, text := range s.held {
		if strings.HasPrefix(text, end) {
			return
		}
	}
	one.broken = true
}

// unreadable is what no sheet can say of a piece; false if it reads well.
func (s *subject) unreadable(one *Sheet, p *piece) (diag.Diagnostic, bool) {
	if len(p.text) > exchange.MostSheet {
		return diag.Diagnostic{}, false
	}
	_, list := sheet.Parse(s.r.folder.called(one.name), []byte(sheetHead+p.text))
	for _, d := range list {
		if d.Severity == diag.Error && d.Line > 1 {
			d.Line += p.line - 2
			return d, true
		}
	}
	return diag.Diagnostic{}, false
}

// unsigned words that nobody has signed a piece.
func (s *subject) unsigned(one *Sheet, p *piece) diag.Diagnostic {
	if d, bad := s.unreadable(one, p); bad && !one.conflict {
		return d
	}
	first, _, _ := strings.Cut(p.text, "\n")
	f := s.r.folder
	name := diag.ShellWord(f.called(one.name))
	if was, ok := s.was(p.text); ok {
		s.changed[was] = true
		help := "git checkout " + name + " brings it back"
		if kind := exchange.KindOf(p.text); one.own && (kind == exchange.Structure || kind == exchange.Expected) {
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
