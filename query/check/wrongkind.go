package check

import (
	"slices"

	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/query/words"
)

// anyNoun is where a name is looked for when it is not what a relation takes.
var anyNoun = []words.Noun{words.Parts, words.Nets, words.Pads, words.Covers, words.Branches, words.Pins, words.Groups, words.Boards, words.Stacks}

// wrongKind words a name that is known, but is not what the relation takes.
func (c *checker) wrongKind(n *syntax.Name, l lookup, nouns []words.Noun, r *syntax.Relation) bool {
	found := c.find(l, anyNoun)
	if found == nil {
		found = c.find(l.folding(), anyNoun)
	}
	if found == nil {
		return false
	}
	is := found[0].Noun
	if c.noun == words.Jobs && r.Word == "on" && c.list.HasErrors() {
		return true // it belongs to a field that is wrong
	}
	if c.noun == words.Jobs && r.Word == "on" {
		d := c.fail("Q32", n.Range(), "%s is a %s, and jobs are on boards and stacks; where the fault was is asked with culprit", n.Text, is.Singular())
		c.suggest(d, r.Range(), "with culprit "+c.said(r.Range()))
		return true
	}
	d := c.fail("Q32", n.Range(), "%s is a %s, and %q wants the name of a %s", n.Text, is.Singular(), relationWord(r), kindsOf(nouns))
	c.otherRelations(d, r, n.Range().Start, is)
	c.otherNouns(d, n, is)
	return true
}

func relationWord(r *syntax.Relation) string {
	if r.Distance != nil {
		return "within"
	}
	return string(r.Word)
}

// otherRelations suggests the relations that take such a thing. The new one
// replaces all up to byte end.
func (c *checker) otherRelations(d *diag.Diagnostic, r *syntax.Relation, end int, is words.Noun) {
	if len(r.Operands) != 1 {
		return
	}
	at := diag.Range{Start: r.Range().Start, End: end}
	for _, other := range c.noun.Relations() {
		if other.String() == string(r.Word) || !slices.Contains(other.Operands(c.noun), is) {
			continue
		}
		instead := other.String() + " "
		if other == words.Within {
			instead = "within 3mm of "
		}
		c.suggest(d, at, instead)
	}
}

// otherNouns tells what can be asked of such a thing.
func (c *checker) otherNouns(d *diag.Diagnostic, n *syntax.Name, is words.Noun) {
	if d.Edits != nil {
		return
	}
	for _, noun := range []words.Noun{words.Parts, words.Nets, words.Pins, words.Pads, words.Branches, words.Covers} {
		for _, r := range []words.Relation{words.On, words.Of, words.Under, words.Over} {
			if noun != c.noun && slices.Contains(r.Operands(noun), is) && len(d.Help) < 3 {
				d.Help = append(d.Help, "what can be asked: "+noun.String()+" "+r.String()+" "+n.Text)
			}
		}
	}
}
