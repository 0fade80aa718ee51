package syntax

import (
	"strings"

	"netlore/query/words"
	"netlore/store/board"
)

// misplaced finds the first word before a relation that is no noun or adjective
// of the language, or stands behind the noun, or a tolerance that no saved
// question is given. The grammar cannot see this, as the nouns are in the table of
// words. It returns -1 if all is well.
func misplaced(q *Question) int {
	at := -1
	q.eachSlot(func(s Slot) {
		a := -1
		switch {
		case s.Kind == HeadSlot:
			a = s.misplaced()
		case s.inCommon():
			a = s.Relation.Start
		case s.Tolerance != "" && s.Relation.Word != "for":
			a = s.Name.End
		}
		if a >= 0 && (at < 0 || a < at) {
			at = a
		}
	})
	return at
}

// inCommon finds `in common with`, which the grammar takes for a name and a
// condition.
func (s Slot) inCommon() bool {
	return s.Kind == NameSlot && s.Relation.Word == "in" && strings.EqualFold(s.Name.Text, "common")
}

// misplaced judges one word of a head.
func (s Slot) misplaced() int {
	word := s.Name.Text
	_, adjective := words.AdjectiveByWord(word)
	switch {
	case s.After != nil && s.shelf.isNoun(s.After.Text):
		return s.Name.Start
	case adjective && s.Last:
		return s.Name.End
	case adjective || s.shelf.isNoun(word):
		return -1
	}
	return s.Name.Start
}

// NameList returns the names of an operand such as `(VMAIN or GND)`, which the
// grammar takes for a list of nouns; nil if the operand is anything else.
func (o *Operand) NameList() []*Name {
	q := o.Group
	if q == nil || q.First == nil || q.Plan || q.Possibly || q.Aggregate != nil || q.Rest != nil || q.Clauses != nil || q.First.Where != nil {
		return nil
	}
	var names []*Name
	for _, h := range q.First.Heads {
		if len(h.Words) != 1 || words.IsNoun(h.Words[0].Text) {
			return nil
		}
		names = append(names, h.Words[0])
	}
	return names
}

// Nouns are all words that can be asked for: parts, capacitors, shields.
func Nouns() []string {
	var all []string
	for _, n := range words.AllNouns() {
		all = append(all, n.String())
	}
	for _, c := range board.Classes() {
		all = append(all, c.Plural())
	}
	for _, k := range words.CoverKinds() {
		if _, ok := words.CoverKindByPlural(k.String() + "s"); ok {
			all = append(all, k.String()+"s")
		}
	}
	return all
}

// Heads are all words that can stand before the first relation.
func Heads() []string {
	all := Nouns()
	for _, a := range words.AllAdjectives() {
		all = append(all, a.String())
	}
	return all
}

// singularOf is the word for one of a noun.
func singularOf(plural string) string {
	if n, ok := words.NounByWord(plural); ok {
		return n.Singular()
	}
	if k, ok := words.KindByWord(plural); ok && !k.ZeroOhm {
		return k.Class.String()
	}
	return plural[:len(plural)-1]
}
