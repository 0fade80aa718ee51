package syntax

import (
	"strings"

	"netlore/query/diag"
)

// narrow adds adjectives and phrases to a question: all its things must have
// them. Of `A except B` it is enough that those of A do; which boards are asked
// counts for both.
func narrow(q *Question, adjectives []*Name, where *Alternatives) {
	q.First.narrow(adjectives, where)
	for _, j := range q.Rest {
		if j.Op == "and also" {
			j.Selection.narrow(adjectives, where)
			continue
		}
		j.Selection.narrow(nil, where.boards())
	}
}

func (s *Selection) narrow(adjectives []*Name, where *Alternatives) {
	if s.Route != nil {
		return // a route is no set, as is complained of later
	}
	if s.Group != nil {
		narrow(s.Group, adjectives, where)
		return
	}
	head := *s.Heads[0]
	head.Words = append(adjectives[:len(adjectives):len(adjectives)], head.Words...)
	s.Heads = append([]*Head{&head}, s.Heads[1:]...)
	s.Where = both(s.Where, where)
}

// both are alternatives of which both must hold.
func both(a, b *Alternatives) *Alternatives {
	if a == nil || b == nil {
		if a == nil {
			return b
		}
		return a
	}
	run := a.single()
	for _, p := range phrasesOf(b.single()) {
		run.Rest = append(run.Rest[:len(run.Rest):len(run.Rest)], &Next{Span: p.Span, Phrase: p})
	}
	return &Alternatives{Span: a.Span, Runs: []*Run{run}}
}

// single gives alternatives as one run, in brackets if there are several.
func (a *Alternatives) single() *Run {
	if len(a.Runs) == 1 {
		run := *a.Runs[0]
		return &run
	}
	return &Run{Span: a.Span, First: &Phrase{Span: a.Span, Group: a}}
}

func phrasesOf(r *Run) []*Phrase {
	list := []*Phrase{r.First}
	for _, n := range r.Rest {
		list = append(list, n.Phrase)
	}
	return list
}

// boards are the phrases that may say which boards are asked.
func (a *Alternatives) boards() *Alternatives {
	if a == nil || len(a.Runs) > 1 {
		return nil
	}
	var kept *Alternatives
	for _, p := range phrasesOf(a.Runs[0]) {
		if p.Relation != nil && p.Relation.Word == "in" {
			kept = both(kept, &Alternatives{Span: p.Span, Runs: []*Run{{Span: p.Span, First: p}}})
		}
	}
	return kept
}

// things leaves of a saved question, which is a part of another one, what it
// asks for. How its answer is shown does not matter there, but an answer of
// numbers, or a part of one, is no set of things.
func (x *expander) things(body *Question, one *saved, at diag.Range) {
	what := body.gives()
	if what != "" {
		x.fail("Q88", at, "ask it alone: "+one.usage(), "%s gives %s, not a set of things that could be a part of another question", one.Name, what)
	}
	body.Clauses = nil
}

// gives tells what a question gives that is no set of things, "" if it gives one.
func (q *Question) gives() string {
	switch {
	case q.First == nil:
		return "reasons"
	case q.First.Route != nil:
		return "a route"
	case q.Plan:
		return "a plan"
	case q.Possibly:
		return "merely possible rows"
	case q.Aggregate != nil:
		return "numbers"
	}
	for _, cl := range q.Clauses {
		if cl.First != nil {
			return "the first rows of an answer"
		}
	}
	return ""
}

// hoist gives the question c what a saved question, which is all of it, says
// about the answer. What c says itself comes first.
func hoist(c, body *Question) {
	c.Why, c.Aggregate = body.Why, body.Aggregate
	c.Plan, c.Possibly = c.Plan || body.Plan, c.Possibly || body.Possibly
	own := map[string]bool{}
	for _, cl := range c.Clauses {
		own[cl.word()] = true
	}
	var clauses []*Clause
	for _, cl := range body.Clauses {
		if !own[cl.word()] {
			clauses = append(clauses, cl)
		}
	}
	c.Clauses = append(clauses, c.Clauses...)
}

// word is what a clause begins with.
func (c *Clause) word() string {
	p := printer{}
	p.clause(c)
	word, _, _ := strings.Cut(p.out[0], " ")
	return word
}
