package syntax

import (
	"slices"
	"strings"

	"netlore/query/words"
)

// The words of the language as they are tried out, in the order in which they
// are listed to people.
var (
	// beginnings stand only where a question begins, or one in brackets.
	beginnings = []string{"possibly", "count", "total", "least", "greatest", "mean", "median", "plan of", "route from", "why"}
	units      = []string{
		"on", "of", "in", "under", "over", "behind", "within", "for", "reading", "with", "without", "where",
		"=", "is", "at least", "at most", "above", "below", "between", "unknown",
		"and", "or", "not", "and also", "except", "shared with", "show", "by", "sorted by", "first",
		"joined to", "leading to", "fed only by", "lost without", "to",
		"(", ")", ",",
	}
)

// probe is a name that nobody uses.
const probe = `"\\probe"`

// Standing is what can stand at the end of a text.
type Standing struct {
	Words []string // words and signs of the language
	Slot  *Slot    // what a name would stand for there; nil if none can

	question *Question // in which the slot was found
	shelf    *Shelf
}

// CanStand finds what can stand after the text, by trying.
func (s *Shelf) CanStand(text string) Standing {
	text = strings.TrimRight(text, " \t\r\n")
	can := Standing{shelf: s}
	can.Slot, can.question = s.probed(text)
	noun := s.nounBefore(text)
	if can.Slot != nil && can.Slot.Kind == HeadSlot && can.Slot.After != nil && !s.isNoun(can.Slot.After.Text) {
		return can // after an adjective stands a noun
	}
	for _, unit := range slices.Concat(can.free(text), can.units(text)) {
		if fits(unit, noun) && takes(text, unit) {
			can.Words = append(can.Words, unit)
		}
	}
	if one := s.lastWord(text); one != nil && len(one.Parameters) > 0 {
		can.Words = append([]string{"for"}, can.Words...)
	}
	if !slices.Contains(can.Words, "except") { // it was `and` and a name
		can.Words = slices.DeleteFunc(can.Words, func(w string) bool { return w == "and also" })
	}
	return can
}

// free are the words that are not reserved and mean something here. They would
// pass for names, so that trying them tells nothing.
func (s Standing) free(text string) []string {
	switch {
	case s.Slot == nil && takes(text, "descending"):
		return []string{"descending"}
	case s.Slot == nil:
		return nil
	case s.Slot.Kind == ValueSlot && wantsExpected(text):
		return []string{"expected"}
	case s.Slot.Kind == HeadSlot && s.begins(text):
		return beginnings
	case s.Slot.Kind == NameSlot && s.Slot.Relation.Word == "in" && s.Slot.Leader == "":
		return []string{"every", "job"}
	case s.Slot.Kind == NameSlot && s.Slot.Leader != "":
		return nil
	case s.Slot.Kind == NameSlot:
		return []string{"any"}
	}
	return nil
}

// wantsExpected reports whether a reading can be compared with what is expected
// at the end of the text.
func wantsExpected(text string) bool {
	tokens := tokenize(text)
	n := len(tokens)
	return n > 1 && tokens[n-2].is("reading") && tokens[n-1].is("below", "above", "within") ||
		n > 3 && tokens[n-4].is("reading") && tokens[n-3].is("within") && tokens[n-1].is("of")
}

// begins reports whether nothing of a question was said yet.
func (Standing) begins(text string) bool { return text == "" || text[len(text)-1] == '(' }

// takes reports whether a unit can follow the text.
func takes(text, unit string) bool {
	tried := text + " " + unit
	_, at := parseGrammar(tried)
	return at < 0 || at >= len(tried)
}

// fits reports whether a relation makes sense for a noun; other words always
// do.
func fits(unit string, noun words.Noun) bool {
	if unit == "reading" {
		return noun == words.NoNoun || noun.Measurable()
	}
	r, ok := words.RelationByWord(unit)
	return !ok || noun == words.NoNoun || r == words.In || r.Operands(noun) != nil
}

// nounBefore is the noun that a phrase at the end of the text would speak of.
func (s *Shelf) nounBefore(text string) words.Noun {
	q, _ := parseGrammar(text + " with " + probe)
	q.shelf = s
	for _, s := range q.Slots() {
		if s.Name.Text == probe {
			return s.Noun()
		}
	}
	return words.NoNoun
}

// units are the words to try. A route takes few of them.
func (s Standing) units(text string) []string {
	if q, _ := parseGrammar(text); q != nil && q.First != nil && q.First.Route != nil && s.question == nil {
		if q.First.Route.By != "" {
			return nil
		}
		return []string{"to", "through", "by steps", "by resistance", "or", ","}
	}
	if throughFits(text) {
		return slices.Concat(units, []string{"from", "through"})
	}
	return units
}

// throughFits reports whether what is said last is traced, so that it can be said
// from where and through what.
func throughFits(text string) bool {
	q, _ := parseGrammar(text + " through " + probe)
	for _, s := range q.Slots() {
		if s.Kind == PassSlot && s.Name.Text == probe {
			return s.Relation == nil || s.Relation.Traced()
		}
	}
	return false
}

// Traced reports whether the relation is found by following what can carry a
// supply.
func (r *Relation) Traced() bool {
	rel, _ := words.RelationByWord(string(r.Word))
	return rel.Traced()
}

// Noun is the noun of the selection that the slot belongs to, if it is a known
// one.
func (s Slot) Noun() words.Noun {
	if s.Selection == nil || len(s.Selection.Heads) == 0 {
		return words.NoNoun
	}
	head := s.Selection.Heads[0].Words
	return s.shelf.nounOf(head[len(head)-1].Text)
}

// nounOf is the noun that a word of a question asks for.
func (s *Shelf) nounOf(word string) words.Noun {
	if n, ok := words.NounByWord(word); ok {
		return n
	}
	if _, ok := words.KindByWord(word); ok {
		return words.Parts
	}
	if _, ok := words.CoverKindByPlural(word); ok {
		return words.Covers
	}
	return s.savedNoun(word)
}

// endings complete a question that stops after a name.
var endings = []string{" of parts", "", " in parts", " and x", " = x", " to x"}

// probed puts a name at the end of the text and tells what it stands for there.
func (s *Shelf) probed(text string) (*Slot, *Question) {
	for _, end := range endings {
		q, at := parseGrammar(closed(text + " " + probe + end))
		if at >= 0 {
			continue
		}
		q.shelf = s
		for _, slot := range q.Slots() {
			if slot.Name.Text == probe {
				return &slot, q
			}
		}
	}
	return nil, nil
}

// closed closes the open brackets of a text.
func closed(text string) string {
	open := 0
	for _, t := range tokenize(text) {
		switch t.text {
		case "(":
			open++
		case ")":
			open--
		}
	}
	return text + strings.Repeat(" )", max(open, 0))
}

// slotWords are how a slot is told to people.
var slotWords = map[SlotKind]string{
	HeadSlot: "a noun such as parts or nets", NameSlot: "a name", FieldSlot: "a field such as value or name",
	ValueSlot: "a value", ThingSlot: "a name", CountSlot: "a number", PassSlot: "a kind of parts such as inductors, or any",
}

// list gives what can stand for a sentence; signs only where there is little
// else.
func (s Standing) list() []string {
	var all []string
	if s.Slot != nil && (s.Slot.Kind != HeadSlot || s.Slot.After == nil || !s.shelf.isNoun(s.Slot.After.Text)) {
		all = append(all, slotWords[s.Slot.Kind])
	}
	for _, w := range s.Words {
		if w[0] >= 'a' || len(s.Words) < 4 {
			all = append(all, w)
		}
	}
	return all
}
