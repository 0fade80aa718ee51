package check

import (
	"slices"

	"netlore/query/syntax"
	"netlore/query/words"
)

// culprits are what can be at fault in a job.
var culprits = []words.Noun{words.Parts, words.Pads, words.Pins, words.Branches, words.Covers, words.Nets}

// ofCulprits are what a culprit can be related to.
func ofCulprits(r words.Relation) []words.Noun {
	var all []words.Noun
	for _, noun := range culprits {
		for _, to := range r.Operands(noun) {
			if !slices.Contains(all, to) {
				all = append(all, to)
			}
		}
	}
	return all
}

// culprit checks `culprit on VMAIN`: a culprit of the job is one of the parts,
// pads and so on that are on VMAIN.
func (c *checker) culprit(one *syntax.Condition) Pred {
	if _, ok := c.field(one.Things); !ok {
		return nil
	}
	r := one.Related
	related := Related{Relation: words.CulpritIn, Said: c.said(one.Range()), Span: one.Range()}
	operands := c.culpritOperands(r)
	switch len(operands) {
	case 0:
		return nil
	case 1:
		related.Operand = operands[0]
	default:
		related.Operand = Either{operands}
	}
	return related
}

// culpritOperands are the sets of things that the relation makes, one for each
// noun that it can follow. The complaints are those about the first of them.
func (c *checker) culpritOperands(r *syntax.Relation) []Operand {
	if r.Word == "in" && r.Operands[0].Group != nil && r.Operands[0].NameList() == nil {
		return c.culpritsIn(r)
	}
	outer := *c
	defer func() {
		c.noun, c.kinds, c.members, c.near, c.jobs, c.reads = outer.noun, outer.kinds, outer.members, outer.near, outer.jobs, outer.reads
	}()
	var found []Operand
	first := -1 // how long the list is with the complaints about the first noun
	for _, noun := range culprits {
		rel, _ := words.RelationByWord(relationWord(r))
		before := len(c.list)
		sel := &Select{Of: noun, Members: c.defaults(), Span: r.Range()}
		c.noun, c.kinds, c.members = noun, nil, sel.Members
		switch {
		case c.isScope(r):
			c.restrict(sel, &syntax.Phrase{Span: r.Span, Relation: r})
		case rel.Operands(noun) == nil:
			continue
		default:
			sel.Where = c.relation(r)
		}
		switch {
		case !c.list[before:].HasErrors():
			found = append(found, Sub{sel})
			if on, ok := sel.Where.(Related); ok && rel == words.On && noun == words.Parts {
				found = append(found, on.Operand) // the net itself
			}
		case first < 0:
			first = len(c.list)
			continue
		}
		c.list = c.list[:before]
	}
	switch {
	case found != nil && first >= 0:
		c.list = c.list[:len(outer.list)]
	case found == nil && first < 0:
		d := c.fail("Q24", r.Range(), "a culprit is never %q something", relationWord(r))
		d.Help = append(d.Help, "what can be asked: jobs with culprit on VMAIN")
	}
	return found
}

// culpritsIn takes `culprit in (hidden parts)`.
func (c *checker) culpritsIn(r *syntax.Relation) []Operand {
	var all []Operand
	for _, o := range r.Operands {
		if o.Group == nil {
			c.fail("Q32", o.Range(), "beside brackets stand brackets only")
			continue
		}
		if sub := c.subOperand(o, culprits, r); sub != nil {
			all = append(all, sub)
		}
	}
	return all
}
