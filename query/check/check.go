package check

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/query/words"
)

// Check resolves and types a question. The list holds errors, and then there
// is no question, or only notes on how names were taken. Places in the list
// are bytes of text, which q was parsed from. If q is an expanded question,
// complaints about what was saved say so, and their places are in its text.
func Check(text string, q *syntax.Question, s *Scope) (*Question, diag.List) {
	return NewAsked(text, q).Check(s)
}

// Asked is a question that is asked of one scope after another: what does not
// depend on the scope is done once. It may be used by many goroutines.
type Asked struct {
	text    string
	tree    *syntax.Question
	sources syntax.Texts // that the text is made of
	reading string
	echo    bool
}

// NewAsked makes a question ready.
func NewAsked(text string, q *syntax.Question) *Asked {
	reading, doubtful := q.Echo()
	return &Asked{text: text, tree: q, sources: q.Texts(), reading: reading, echo: doubtful || len(q.Texts()) > 0}
}

// Reading is the question in canonical form, with brackets where the words
// alone leave a doubt.
func (a *Asked) Reading() string { return a.reading }

// Check is like the function Check, for one of the scopes.
func (a *Asked) Check(s *Scope) (*Question, diag.List) {
	c := &checker{text: a.text, sources: a.sources, shelf: a.tree.Shelf(), scope: s}
	typed := c.question(a.tree)
	typed.Reading, typed.Echo = a.reading, a.echo
	list := c.list.Sort()
	if list.HasErrors() {
		return nil, list
	}
	return typed, list
}

// checker collects what is wrong. The fields in the middle belong to the
// selection that is being looked at.
type checker struct {
	text    string
	sources syntax.Texts // that the text is made of
	shelf   *syntax.Shelf
	scope   *Scope
	list    diag.List

	noun    words.Noun
	kinds   []PartKind
	members []int
	near    bool  // there is a `within` phrase that always holds
	stepped bool  // there is a phrase that always holds and tells how far away things are in steps
	jobs    *Jobs // said with in job; nil if it is not said
	reads   bool  // something asks for readings

	missing []Missing
	ranged  int // names that ranges stand for
}

// report adds a complaint about a range of the question.
func (c *checker) report(d diag.Diagnostic, at diag.Range) *diag.Diagnostic {
	d.Range = at
	c.list = append(c.list, c.sources.Place(c.text, d))
	return &c.list[len(c.list)-1]
}

// fail adds an error.
func (c *checker) fail(code string, at diag.Range, format string, args ...any) *diag.Diagnostic {
	return c.report(diag.Diagnostic{Code: code, Message: fmt.Sprintf(format, args...)}, at)
}

// mostMended is for how many complaints it is looked for what was meant. For
// each the question is read anew, and in a list of a thousand names that are not
// known nobody would read it.
const mostMended = 20

// suggest adds the text with one range changed to the help of d, if that is a
// question; at most two.
func (c *checker) suggest(d *diag.Diagnostic, at diag.Range, instead string) {
	text, at, ok := c.sources.Within(c.text, at)
	if !ok || len(c.list) > mostMended {
		return
	}
	changed := text[:at.Start] + instead + text[at.End:]
	help := "did you mean: " + changed
	shown := 0
	for _, h := range d.Help {
		if strings.HasPrefix(h, "did you mean: ") {
			shown++
		}
	}
	if changed == text || shown == 2 || slices.Contains(d.Help, help) || !c.shelf.Parses(changed) {
		return
	}
	if shown == 0 {
		d.Edits = []diag.Edit{{Range: at, New: instead}}
	}
	d.Help = append(d.Help, help)
}

// said is the text of a range, which is empty if the range goes from one saved
// question into another.
func (c *checker) said(r diag.Range) string {
	if text, at, ok := c.sources.Within(c.text, r); ok {
		return text[at.Start:at.End]
	}
	return ""
}

// question checks the outermost question.
func (c *checker) question(q *syntax.Question) *Question {
	typed := &Question{Text: c.text, Scope: c.scope, kept: new(sync.Map)}
	if q.Why != nil {
		c.why(typed, q.Why)
		return typed
	}
	q = unwrapped(q)
	if q == nil {
		return typed
	}
	typed.PlanOf, typed.Possibly = q.Plan, q.Possibly
	if q.First.Route != nil {
		c.route(typed, q)
		return typed
	}
	typed.Set = c.sets(q)
	if typed.Set == nil {
		return typed
	}
	c.noun = typed.Set.Noun()
	c.near = everywhere(typed.Set, words.Within)
	c.stepped = everywhere(typed.Set, words.JoinedTo, words.LeadingTo)
	typed.Aggregate = c.aggregate(q.Aggregate)
	c.clauses(typed, q.Clauses)
	typed.Missing = c.missing
	return typed
}

// unwrapped takes off brackets that hold the whole question: plan of (…).
func unwrapped(q *syntax.Question) *syntax.Question {
	for q.Why == nil && q.First.Group != nil && q.Rest == nil {
		inner := *q.First.Group
		if inner.Why != nil {
			return q
		}
		if inner.Aggregate != nil && q.Aggregate != nil || inner.Clauses != nil && q.Aggregate != nil {
			return q
		}
		inner.Plan = inner.Plan || q.Plan
		inner.Possibly = inner.Possibly || q.Possibly
		if q.Aggregate != nil {
			inner.Aggregate = q.Aggregate
		}
		inner.Clauses = append(inner.Clauses[:len(inner.Clauses):len(inner.Clauses)], q.Clauses...)
		q = &inner
	}
	return q
}

// sub checks a question in brackets that is a part of another.
func (c *checker) sub(q *syntax.Question) Set {
	outer := *c
	defer func() {
		c.noun, c.kinds, c.members, c.near, c.stepped, c.jobs, c.reads = outer.noun, outer.kinds, outer.members, outer.near, outer.stepped, outer.jobs, outer.reads
	}()
	if q.Why != nil {
		c.fail("Q51", q.Why.Range(), "why stands at the very front of the whole question")
		return nil
	}
	start := q.Range().Start
	q = unwrapped(q)
	c.onlySet(q, start)
	return c.sets(q)
}

// onlySet complains of what a question that stands for a set of things cannot
// have.
func (c *checker) onlySet(q *syntax.Question, start int) {
	switch {
	case q.Plan:
		c.fail("Q51", diag.Range{Start: start, End: start + len("plan of")}, "plan of stands at the very front of the whole question")
	case q.Possibly:
		c.fail("Q51", diag.Range{Start: start, End: start + len("possibly")}, "possibly stands at the very front of the whole question")
	case q.Aggregate != nil:
		c.fail("Q51", q.Aggregate.Range(), "a question in brackets is a set of things: %s belongs at the front of the whole question", c.said(q.Aggregate.Range()))
	}
	for _, cl := range q.Clauses {
		c.fail("Q51", cl.Range(), "a question in brackets is a set of things: %s belongs at the end of the whole question", diag.Quote(c.said(cl.Range())))
	}
}

var setOps = map[syntax.Keyword]SetOp{"and also": Union, "except": Except, "shared with": Shared}

// sets checks selections that are put together, from the left. The result is
// nil if something of it is not known.
func (c *checker) sets(q *syntax.Question) Set {
	left := c.selection(q.First)
	for _, j := range q.Rest {
		right := c.selection(j.Selection)
		switch {
		case left == nil || right == nil:
			left = nil
			continue
		case left.Noun() != right.Noun():
			c.fail("Q52", j.Range(), "%s and %s cannot be put together with %q: both must be of one sort", left.Noun(), right.Noun(), j.Op)
			c.hintMembership(setOps[j.Op], left.Noun(), right)
			continue
		}
		span := diag.Range{Start: left.Range().Start, End: right.Range().End}
		left = &Combine{Op: setOps[j.Op], L: left, R: right, Span: span}
	}
	return left
}

// everywhere reports whether every selection has a phrase with one of the
// relations that always holds, so that a distance can be told.
func everywhere(s Set, any ...words.Relation) bool {
	switch s := s.(type) {
	case *Combine:
		return everywhere(s.L, any...) && everywhere(s.R, any...)
	case *Select:
		return hasRelation(s.Where, any)
	}
	return false
}

func hasRelation(p Pred, any []words.Relation) bool {
	switch p := p.(type) {
	case Related:
		return slices.Contains(any, p.Relation)
	case All:
		for _, one := range p.Preds {
			if hasRelation(one, any) {
				return true
			}
		}
	}
	return false
}
