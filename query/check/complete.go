package check

import (
	"slices"
	"strings"

	"netlore/query/syntax"
	"netlore/query/words"
)

// Offer is something that can be put at the cursor.
type Offer struct {
	Text string // as it is written in a question, with quotes where needed
	Sort string // noun, adjective, field, value, kind, or what the name is of: net, part …
}

// Offers are the names, nouns, fields and values that can stand in a slot and
// begin with prefix, in the order of the tables and in natural order; at most
// limit of them. Case does not count.
func Offers(s *Scope, slot *syntax.Slot, prefix string, limit int) []Offer {
	o := offers{scope: s, prefix: prefix, limit: limit}
	switch slot.Kind {
	case syntax.HeadSlot:
		o.heads(slot)
	case syntax.FieldSlot:
		for _, f := range words.FieldsOf(slot.Noun()) {
			o.add(f.Word, "field")
		}
	case syntax.ValueSlot:
		o.values(slot)
	case syntax.NameSlot:
		o.names(slot)
	case syntax.ThingSlot:
		o.namesOf([]words.Noun{words.Parts, words.Nets, words.Pads, words.Covers, words.Branches})
	case syntax.PassSlot:
		for _, w := range passWords() {
			o.add(w, "kind")
		}
	}
	return o.list
}

type offers struct {
	scope  *Scope
	prefix string
	limit  int
	list   []Offer
}

// add keeps an offer if it fits; written is what is put into the text.
func (o *offers) add(name, sort string) { o.addWritten(name, name, sort) }

func (o *offers) addName(name, sort string) { o.addWritten(name, words.QuoteName(name), sort) }

func (o *offers) addWritten(name, written, sort string) {
	fits := len(name) >= len(o.prefix) && strings.EqualFold(name[:len(o.prefix)], o.prefix)
	if fits && len(o.list) < o.limit && !slices.Contains(o.list, Offer{written, sort}) {
		o.list = append(o.list, Offer{written, sort})
	}
}

func (o *offers) heads(slot *syntax.Slot) {
	if slot.After != nil && (words.IsNoun(slot.After.Text) || slices.Contains(slot.Saved(), slot.After.Text)) {
		return
	}
	for _, name := range slot.Saved() {
		o.add(name, "saved")
	}
	for _, n := range syntax.Nouns() {
		o.add(n, "noun")
	}
	for _, a := range words.AllAdjectives() {
		o.add(a.String(), "adjective")
	}
}

func (o *offers) values(slot *syntax.Slot) {
	if slot.Field == nil {
		return
	}
	if f, ok := words.FieldByWord(slot.Noun(), slot.Field.Text); ok {
		for _, w := range Choices(f) {
			o.add(w, "value")
		}
	}
}

// names offers kinds first, then roles, then the names of the things that the
// relation takes.
func (o *offers) names(slot *syntax.Slot) {
	noun, word := slot.Noun(), relationWord(slot.Relation)
	rel, _ := words.RelationByWord(word)
	nouns := rel.Operands(noun)
	if word == syntax.Ends {
		nouns = RouteEnds
	}
	if slot.Things != nil {
		nouns = ofCulprits(rel)
	}
	if slices.Contains(nouns, words.Covers) {
		for _, k := range words.CoverKinds() {
			o.add(k.String(), "kind")
		}
	}
	if led, ok := words.NounBySingular(string(slot.Leader)); ok {
		o.namesOf([]words.Noun{led})
		return
	}
	if rel == words.In {
		if noun.Placed() {
			for _, w := range syntax.RegionWords {
				o.add(w, "region")
			}
			o.add("box", "region")
		}
		o.boards()
	}
	o.namesOf(nouns)
}

// namesOf offers the names of all things of some nouns; those of pieces that tracks
// leave once the name that is begun may be one.
func (o *offers) namesOf(nouns []words.Noun) {
	for _, m := range o.scope.Members {
		if m.Role != "" && len(nouns) > 0 {
			o.add(m.Role+":", "member")
		}
	}
	for _, n := range nouns {
		for _, m := range o.scope.Members {
			for _, name := range (lookup{text: o.prefix}).among(o.scope, m, n) {
				o.addName(name, n.Singular())
				o.addOf(m.Role, name, n.Singular())
			}
		}
	}
}

// addOf keeps a name with its role if the role is written already.
func (o *offers) addOf(role, name, sort string) {
	if head := role + ":"; role != "" && len(o.prefix) >= len(head) && strings.EqualFold(o.prefix[:len(head)], head) {
		o.addWritten(head+name, head+words.QuoteName(name), sort)
	}
}

func (o *offers) boards() {
	for _, m := range o.scope.Members {
		if m.Role != "" {
			o.addName(m.Role, "member")
		}
	}
	for _, m := range o.scope.Members {
		o.addName(m.Board.Name, "board")
	}
	for _, name := range o.scope.Others {
		o.addName(name, "board")
	}
}
