package syntax

import (
	"strings"

	"netlore/query/diag"
)

// Cursor is what can be put at a place in a text.
type Cursor struct {
	Replace diag.Range // the word that is being written there
	Prefix  string     // the beginning of that word, without an open quote
	Words   []string   // words of the language that begin so
	Slot    *Slot      // what a name stands for there; nil if none can
	// Question is the question up to there, closed so that it parses, if there
	// is a Slot.
	Question *Question
}

// At finds what can stand where the cursor is. The word that ends there is
// taken as being written; what follows the cursor does not count.
func At(text string, offset int) Cursor { return (*Shelf)(nil).At(text, offset) }

// At is the function At for questions that ask for saved questions, too.
func (s *Shelf) At(text string, offset int) Cursor {
	if len(text) > maxBytes {
		return Cursor{}
	}
	offset = min(max(offset, 0), len(text))
	start := wordStart(text[:offset])
	c := Cursor{Replace: diag.Range{Start: start, End: offset}, Prefix: strings.TrimPrefix(text[start:offset], `"`)}
	if _, big := tooBig(text[:start]); big || len(tokenize(text[:start])) > mostTried {
		return c
	}
	standing := s.CanStand(text[:start])
	c.Slot, c.Question = standing.Slot, standing.question
	for _, w := range standing.Words {
		if hasPrefixFold(w, text[start:offset]) {
			c.Words = append(c.Words, w)
		}
	}
	return c
}

// wordStart is where the word that the text ends in begins; its end if the
// text ends in a blank or a sign.
func wordStart(text string) int {
	tokens := tokenize(text)
	if len(tokens) == 0 {
		return len(text)
	}
	last := tokens[len(tokens)-1]
	open := last.kind == badToken && last.text[0] == '"'
	if last.rng.End < len(text) || last.kind == signToken || last.kind == markToken || last.kind == badToken && !open {
		return len(text)
	}
	return last.rng.Start
}

func hasPrefixFold(s, prefix string) bool {
	return len(s) >= len(prefix) && strings.EqualFold(s[:len(prefix)], prefix)
}
