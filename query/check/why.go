package check

import (
	"slices"

	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/query/words"
)

// why checks `why C4407 in (hidden parts on VMAIN)`.
func (c *checker) why(typed *Question, w *syntax.Why) {
	start := w.In.Range().Start
	q := unwrapped(w.In)
	if q.Why != nil {
		c.fail("Q51", q.Why.Range(), "why stands at the very front of the whole question")
		return
	}
	c.onlySet(q, start)
	typed.Set = c.sets(q)
	if typed.Set == nil {
		return
	}
	if c.scope.Lenient {
		d := c.fail("Q55", w.Range(), "%s is another thing on each board, so why is asked of one board or stack, not of every board", w.Name.Text)
		d.Help = append(d.Help, "say which one in place of every board: in Heron-A")
		return
	}
	c.noun, c.members = typed.Set.Noun(), every(c.scope)
	if name, ok := c.whyName(w); ok {
		typed.Why = &Why{Not: w.Not, Name: name}
	}
}

// whyName finds the thing that is asked about among those of the noun.
func (c *checker) whyName(w *syntax.Why) (Name, bool) {
	n, nouns := w.Name, askedAs(c.noun)
	if !hasName(c.noun) {
		c.fail("Q57", n.Range(), "%s have no names to be asked by", c.noun)
		return Name{}, false
	}
	if noun, _ := words.NounBySingular(string(w.Leader)); w.Leader != "" && !slices.Contains(nouns, noun) {
		c.fail("Q32", w.Name.Range(), "the question is of %s, and %s %s is none of them", c.noun, w.Leader, n.Text)
		return Name{}, false
	} else if w.Leader != "" {
		nouns = []words.Noun{noun}
	}
	l, found, ok := c.locate(n, nouns)
	if !ok {
		return Name{}, false
	}
	if found == nil {
		c.whyNobody(n, l)
		return Name{}, false
	}
	return Name{Text: n.Text, Found: found, Span: n.Range()}, true
}

// askedAs are the nouns by whose names a thing can be asked for: a suspect has that of
// the part, pad or branch that it is.
func askedAs(n words.Noun) []words.Noun {
	if n == words.Suspects {
		return []words.Noun{words.Parts, words.Pads, words.Branches}
	}
	return []words.Noun{n}
}

// hasName reports whether things of a noun can be named in a question.
func hasName(n words.Noun) bool {
	f := words.FieldByID(n, words.Name)
	return f != nil && n != words.Observations && n != words.Tests
}

// whyNobody words a name that none of the things has.
func (c *checker) whyNobody(n *syntax.Name, l lookup) {
	if found := c.find(l, anyNoun); found != nil {
		c.fail("Q32", n.Range(), "%s is a %s, but the question is of %s", n.Text, found[0].Noun.Singular(), c.noun)
		return
	}
	d := c.fail("Q30", n.Range(), "no %s of %s is called %s", c.noun.Singular(), c.memberNames(), l.shown())
	for _, close := range diag.Closest(l.text, c.candidates(askedAs(c.noun))) {
		c.suggest(d, n.Range(), quoteFor(l, close))
	}
}
