package syntax

import (
	"strings"

	"netlore/query/diag"
)

// mostTried is how many words a question may have for repairs to be tried: each
// is a parse of its own.
const mostTried = 300

// mostComplaints is how many complaints one question gets at most.
const mostComplaints = 5

// complaint is a diagnostic about a text and the text with it mended, if one
// repair is likely enough to read on with.
type complaint struct {
	diag.Diagnostic
	mended string
	edit   diag.Edit
}

// complaints words what is wrong with a text. After a complaint with a
// likely repair it reads on in the mended text; the places of later complaints
// are told in the text as it was written.
func (s *Shelf) complaints(text string) diag.List {
	var list diag.List
	var edits []diag.Edit
	now := text
	if mark, ok := sentenceMark(text); ok {
		now = text[:mark.Range.Start]
		if _, at := s.parse(now); at < 0 {
			c := diag.Diagnostic{Code: "Q15", Message: "a question has no mark at its end here", Range: mark.Range, Help: []string{"did you mean: " + now}, Edits: []diag.Edit{mark}}
			return diag.List{c.At(text)}
		}
		edits = append(edits, mark)
	}
	for len(list) < mostComplaints {
		_, at := s.parse(now)
		c := s.complain(now, at)
		if len(edits) > 0 {
			c.Edits = nil // they count in the mended text
		}
		c.Range = diag.Range{Start: before(edits, c.Range.Start), End: before(edits, c.Range.End)}
		list = append(list, c.At(text))
		if c.mended == "" {
			break
		}
		edits = append(edits, c.edit)
		now = c.mended
		if _, at := s.parse(now); at < 0 {
			list[0].Help = append([]string{"did you mean: " + now}, list[0].Help...)
			break
		}
	}
	return list.Sort()
}

// sentenceMark takes the mark away that ends a sentence.
func sentenceMark(text string) (diag.Edit, bool) {
	text = strings.TrimRight(text, " ")
	bare := strings.TrimRight(text, "?! ")
	return diag.Edit{Range: diag.Range{Start: len(bare), End: len(text)}}, bare != "" && bare != text
}

// before maps a byte of a mended text to the text before the edits.
func before(edits []diag.Edit, at int) int {
	for i := len(edits) - 1; i >= 0; i-- {
		e := edits[i]
		switch {
		case at >= e.Range.Start+len(e.New):
			at += e.Range.End - e.Range.Start - len(e.New)
		case at > e.Range.Start:
			at = e.Range.Start
		}
	}
	return at
}

// look is a text that did not parse, and where.
type look struct {
	text   string
	tokens []token
	bad    int // index of the token that cannot stand there; len(tokens) at the end
	at     int
	shelf  *Shelf
}

func (s *Shelf) complain(text string, at int) complaint {
	l := look{text: text, tokens: tokenize(text), at: at, shelf: s}
	l.bad = indexAt(l.tokens, at)
	if len(l.tokens) > mostTried {
		return l.complaint("Q10", diag.Unexpected(l.token(0).text, l.after(), ""))
	}
	for _, try := range []func() (complaint, bool){
		l.empty, l.badToken, l.sentence, l.asField, l.coming, l.openBracket, l.noBracket, l.brokenRegion, l.noComparison, l.noWith, l.phraseLate, l.andNoun, l.singular, l.habit, l.wordy, l.reserved,
	} {
		if c, ok := try(); ok {
			return c
		}
	}
	return l.general()
}

// here is the place of the bad token, or the end of the text.
func (l look) here() diag.Range {
	if l.bad < len(l.tokens) {
		return l.tokens[l.bad].rng
	}
	end := len(strings.TrimRight(l.text, " \t\r\n"))
	return diag.Range{Start: end, End: end}
}

// token is the i-th token from the bad one, or an empty one.
func (l look) token(i int) token {
	if i += l.bad; i < 0 || i >= len(l.tokens) {
		return token{kind: endToken} // which is no word
	}
	return l.tokens[i]
}

func (l look) complaint(code, message string, help ...string) complaint {
	return complaint{Diagnostic: diag.Diagnostic{Code: code, Message: message, Range: l.here(), Help: help}}
}
