package sheet

import "strings"

// Suggestion is a word that can stand at a place in a sheet.
type Suggestion struct {
	Word string
	Says string // what it means: "a net", "rated voltage"
}

// candidates lists the words that can follow the start of a line.
func candidates(above, head string) []Suggestion {
	p := &parser{f: &File{text: head}, memo: newMemo(0)}
	p.f.lines = []line{{end: uint32(len(head))}}
	l := &p.f.lines[0]
	if !p.scan(l) || l.comment > 0 {
		return nil
	}
	toks := p.f.lineTokens(l)
	indented := isIndented(head)
	if len(toks) == 0 && !indented {
		return kindSuggestions()
	}
	p.above = formAbove(above)
	if indented && (p.above == nil || len(toks) <= p.above.memberWord) {
		return memberSuggestions(p.above, len(toks))
	}
	var f *form
	if indented {
		f = p.memberForm(l)
	} else if id, ok := kindByWord(p.f.tokenText(toks[0])); ok {
		f = formOf(id)
	}
	if f == nil {
		return nil
	}
	return p.follow(l, f)
}

func kindSuggestions() []Suggestion {
	var all []Suggestion
	for _, f := range compiled()[formBoard : lastStatement+1] {
		all = append(all, Suggestion{f.word, f.doc})
	}
	return all
}

// memberSuggestions lists the words that tell the members of a statement from
// each other, where the next word of an indented line is such a one.
func memberSuggestions(above *form, word int) []Suggestion {
	var all []Suggestion
	if above == nil || word != above.memberWord {
		return nil
	}
	for _, id := range above.members {
		f := formOf(id)
		if f.word != "" {
			all = append(all, Suggestion{f.word, f.title})
		} else if f.lead == 0 {
			all = append(all, f.suggestions(0)...)
		}
	}
	return all
}

// formAbove is the form of the statement that an indented line after the text
// belongs to, or nil.
func formAbove(text string) *form {
	for text != "" {
		start := strings.LastIndexByte(strings.TrimSuffix(text, "\n"), '\n') + 1
		words := strings.Fields(text[start:])
		if len(words) > 0 && !isIndented(text[start:]) && words[0][0] != '#' {
			id, ok := kindByWord(words[0])
			if !ok {
				return nil
			}
			return formOf(id)
		}
		text = text[:start]
	}
	return nil
}

// follow lists what can come after the words of a line of a form.
func (p *parser) follow(l *line, f *form) []Suggestion {
	c := &p.cur
	*c = cursor{f: p.f, l: l, form: f, toks: p.f.lineTokens(l), memo: p.memo}
	if !p.lead(c) {
		return nil
	}
	used := uint16(0)
	for c.i < len(c.toks) {
		at := c.i
		slot, problem := c.slot()
		if problem != nil {
			return nil
		}
		used |= 1 << slot
		a := &f.attributes[slot]
		if c.i == len(c.toks) && a.shape != flagShape {
			return a.suggestions()
		}
		p.read(c, a, slot)
		c.i = max(c.i, at+1)
	}
	return f.suggestions(used)
}

// suggestions lists the words of a form, but for attributes that are there.
func (f *form) suggestions(used uint16) []Suggestion {
	var all []Suggestion
	for slot := f.lead; slot < len(f.attributes); slot++ {
		a := &f.attributes[slot]
		switch {
		case used&(1<<slot) != 0:
		case a.word != "":
			all = append(all, Suggestion{a.word, a.label})
		default:
			all = append(all, a.suggestions()...)
		}
	}
	return all
}

// suggestions lists the words that are values of an attribute.
func (a *attribute) suggestions() []Suggestion {
	var all []Suggestion
	for _, w := range a.words {
		all = append(all, Suggestion{w, a.label})
	}
	return all
}

// Kind is a kind of statement, for reference pages.
type Kind struct {
	Word       string
	Says       string
	Example    string // canonical
	Attributes []Attribute
}

// Attribute is one thing that a statement can say, in canonical order.
type Attribute struct {
	Word  string   // stands before the value; "" if the value tells itself
	Words []string // the values, if they are a closed list
	Takes string   // what the value looks like, with an example
	Says  string   // what it means
	First bool     // leads the statement
	Must  bool
}

// Kinds describes all kinds of statement in canonical order.
func Kinds() []Kind {
	var all []Kind
	for _, f := range compiled()[formBoard : lastStatement+1] {
		k := Kind{Word: f.word, Says: f.doc, Example: f.example}
		for i := range f.attributes {
			a := &f.attributes[i]
			k.Attributes = append(k.Attributes, Attribute{Word: a.word, Words: a.words, Takes: a.expects(), Says: a.label, First: i < f.lead, Must: a.must})
		}
		all = append(all, k)
	}
	return all
}
