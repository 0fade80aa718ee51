package syntax

import (
	"strings"

	"netlore/query/diag"
	"netlore/query/words"
)

// Paint says what a piece of a question is, for those who colour it.
type Paint uint8

const (
	Plain    Paint = iota
	Language       // a word or sign of the language
	Asked          // a noun or adjective, or a saved question
	Named          // the name of a thing
	Valued         // a value, number or field
	Wrong          // what can stand nowhere, or not here
)

// Piece is a piece of a question.
type Piece struct {
	diag.Range
	Paint Paint
}

// Paint cuts a question, which may be unfinished, into pieces, blanks left out.
func (s *Shelf) Paint(text string) []Piece {
	if _, big := tooBig(text); big {
		return nil
	}
	at, bad := s.slotsAt(text)
	var pieces []Piece
	for _, t := range tokenize(text) {
		p := Piece{t.rng, paintOf(t, at)}
		if t.rng.Start == bad && p.Paint != Language && t.rng.End < len(text) {
			p.Paint = Wrong
		}
		pieces = append(pieces, p)
	}
	return pieces
}

// slotsAt are the slots of a text by their place, and the place where the text
// goes wrong, or -1.
func (s *Shelf) slotsAt(text string) (map[int]SlotKind, int) {
	kinds := map[int]SlotKind{}
	q, bad := s.parse(closed(text))
	if q == nil {
		return kinds, -1
	}
	for _, slot := range q.Slots() {
		kinds[slot.Name.Start] = slot.Kind
	}
	return kinds, bad
}

var slotPaints = map[SlotKind]Paint{HeadSlot: Asked, NameSlot: Named, FieldSlot: Valued, ValueSlot: Valued, CountSlot: Valued}

func paintOf(t token, at map[int]SlotKind) Paint {
	kind, slot := at[t.rng.Start]
	switch {
	case t.kind == badToken:
		return Wrong
	case t.reserved() || t.kind == signToken || t.kind == markToken:
		return Language
	case t.kind == stringToken && !slot:
		return Named
	case t.kind == toleranceToken:
		return Valued
	case slot:
		return slotPaints[kind]
	case words.DutyOf(t.text) != words.Free || Begins(t.text) || t.is("ascending", "descending", "also"):
		return Language
	}
	return Plain
}

// goesOn are the words after which somebody who begins a new line has more to
// say.
var goesOn = map[string]bool{"and": true, "or": true, "not": true, "except": true, "also": true, "shared": true, ",": true, `\`: true}

// Unfinished reports whether a question goes on in the next line: a bracket is
// open, or it ends in a comma, an and, an or or the like. An empty last line
// ends any question.
func Unfinished(text string) bool {
	tokens := tokenize(text)
	if i := strings.LastIndexByte(text, '\n'); len(tokens) == 0 || i >= 0 && strings.TrimSpace(text[i:]) == "" {
		return false
	}
	last := tokens[len(tokens)-1]
	return len(closed(text)) > len(text) || goesOn[strings.ToLower(last.text)]
}
