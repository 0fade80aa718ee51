package check

import (
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/query/words"
	"netlore/store/board"
)

// selection checks `hidden parts on VMAIN`, or a question in brackets. It is
// nil if the noun is not clear; the complaint was made then.
func (c *checker) selection(s *syntax.Selection) Set {
	if s.Group != nil {
		return c.sub(s.Group)
	}
	if s.Route != nil {
		c.routeInside(s)
		return nil
	}
	sel := &Select{Span: s.Range()}
	if !c.heads(sel, s.Heads) {
		return nil
	}
	c.noun, c.kinds, c.jobs, c.reads = sel.Of, sel.Kinds, nil, false
	phrases := c.scopePhrases(sel, s.Where)
	if c.members = sel.Members; len(c.members) == 0 {
		c.nobodyAsked(s)
	}
	c.near = slices.ContainsFunc(phrases, func(p *syntax.Phrase) bool {
		return !p.Not && p.Relation != nil && p.Relation.Distance != nil
	})
	c.stepped = slices.ContainsFunc(phrases, func(p *syntax.Phrase) bool {
		return !p.Not && p.Relation != nil && (p.Relation.Word == "joined to" || p.Relation.Word == "leading to")
	})
	preds := c.verdicts(sel, s.Heads[0])
	if s.Where != nil && len(s.Where.Runs) > 1 {
		preds = append(preds, c.alternatives(s.Where))
		phrases = nil
	}
	for _, p := range phrases {
		preds = append(preds, c.phrase(p))
	}
	sel.Where = all(preds)
	c.jobsAreUsed(s)
	if ofJob(sel.Of) {
		c.onlyJob(sel, s)
	}
	return sel
}

// heads finds noun, kinds and adjectives.
func (c *checker) heads(sel *Select, heads []*syntax.Head) bool {
	for i, h := range heads {
		last := h.Words[len(h.Words)-1]
		noun, kinds, covers := nounOf(last.Text)
		switch {
		case i == 0:
			sel.Of = noun
		case noun != sel.Of || kinds == nil && covers == nil || sel.Kinds == nil && sel.CoverKinds == nil:
			c.fail("Q52", last.Range(), "a list before the relation is of kinds of one noun, such as inductors, beads or fuses; %s do not fit", last.Text)
			return false
		}
		sel.Kinds = append(sel.Kinds, kinds...)
		sel.CoverKinds = append(sel.CoverKinds, covers...)
		c.adjectives(sel, h.Words[:len(h.Words)-1], i > 0)
	}
	return true
}

// nounOf tells what a noun of the language asks for.
func nounOf(word string) (words.Noun, []PartKind, []board.CoverKind) {
	if n, ok := words.NounByWord(word); ok {
		return n, nil, nil
	}
	if k, ok := words.KindByWord(word); ok {
		return words.Parts, []PartKind{k}, nil
	}
	k, _ := words.CoverKindByPlural(word)
	return words.Covers, nil, []board.CoverKind{k}
}

func (c *checker) adjectives(sel *Select, names []*syntax.Name, later bool) {
	for _, w := range names {
		a, _ := words.AdjectiveByWord(w.Text)
		switch {
		case later:
			c.fail("Q23", w.Range(), "in a list, adjectives stand before the first noun: %s", w.Text)
		case !a.Fits(sel.Of):
			var fit []string
			for _, n := range a.Nouns() {
				fit = append(fit, n.String())
			}
			d := c.fail("Q23", w.Range(), "%s are not %s; %s can be", sel.Of, strings.ToLower(w.Text), diag.OneOf(fit...))
			if a == words.OpenRead && sel.Of == words.Jobs && len(names) == 1 {
				head := diag.Range{Start: w.Range().Start, End: w.Range().End + strings.Index(c.text[w.Range().End:], "jobs") + len("jobs")}
				c.suggest(d, head, "jobs without closed")
			}
		case !slices.Contains(sel.Adjectives, a):
			sel.Adjectives = append(sel.Adjectives, a)
		}
	}
}

// alternatives checks phrases with `or` between them.
func (c *checker) alternatives(a *syntax.Alternatives) Pred {
	var runs []Pred
	for _, r := range a.Runs {
		preds := []Pred{c.phrase(r.First)}
		for _, n := range r.Rest {
			preds = append(preds, c.phrase(n.Phrase))
		}
		runs = append(runs, all(preds))
	}
	return anyOf(runs)
}

// phrase checks one phrase. A phrase that is wrong is nil.
func (c *checker) phrase(p *syntax.Phrase) Pred {
	var pred Pred
	switch {
	case p.Group != nil:
		pred = c.alternatives(p.Group)
	case p.Region != nil:
		pred = c.region(p.Region)
	case p.Relation != nil:
		c.twoReadings(p)
		pred = c.relation(p.Relation)
	case p.Reading != nil:
		pred = c.reading(p)
	case p.With != nil:
		pred = c.conditions(p.With.Conditions, p)
	default:
		pred = c.without(p.Without)
	}
	if p.Not && pred != nil {
		return Not{pred}
	}
	return pred
}

func (c *checker) without(name *syntax.Name) Pred {
	f, ok := c.field(name)
	if !ok {
		return nil
	}
	return Not{Has{f}}
}

// twoReadings refuses `not on A or B`.
func (c *checker) twoReadings(p *syntax.Phrase) {
	operands := p.Relation.Operands
	if !p.Not || len(operands) < 2 {
		return
	}
	r := p.Relation
	from, to := operands[0].Range().Start, operands[len(operands)-1].Range().End
	relation := strings.TrimSpace(c.said(diag.Range{Start: r.Range().Start, End: from}))
	d := c.fail("Q19", p.Range(), "%s has two readings: none of them, or not all of them", diag.Quote(c.said(p.Range())))
	c.suggest(d, diag.Range{Start: from, End: to}, "("+c.said(diag.Range{Start: from, End: to})+")")
	var apart []string
	for _, o := range operands {
		apart = append(apart, "not "+relation+" "+c.said(o.Range())+c.said(diag.Range{Start: to, End: r.Range().End}))
	}
	c.suggest(d, p.Range(), strings.Join(apart, " or "))
}

// all puts predicates together that must all hold; nils are left out.
func all(preds []Pred) Pred {
	preds = slices.DeleteFunc(preds, func(p Pred) bool { return p == nil })
	switch len(preds) {
	case 0:
		return nil
	case 1:
		return preds[0]
	}
	return All{preds}
}

// anyOf puts predicates together of which one must hold.
func anyOf(preds []Pred) Pred {
	preds = slices.DeleteFunc(preds, func(p Pred) bool { return p == nil })
	switch len(preds) {
	case 0:
		return nil
	case 1:
		return preds[0]
	}
	return Any{preds}
}
