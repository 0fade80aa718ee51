package syntax

import "strings"

// String prints the question in canonical form: single blanks, words of the
// language in small letters, names as they were written. Parsing it gives the
// same tree.
func (q *Question) String() string { return printed(q, false) }

// Reading prints the question with brackets round whatever `or` or several set
// words could leave in doubt. It means the same as the question.
func (q *Question) Reading() string { return printed(q, true) }

func printed(q *Question, brackets bool) string {
	p := printer{brackets: brackets, out: make([]string, 0, 16)}
	p.question(q)
	return strings.Join(p.out, " ")
}

// printer collects words; a word that starts with ")" or "," is later glued to
// the one before it, a "(" to the one after.
type printer struct {
	out      []string
	open     string // brackets that wait for their first word
	brackets bool
}

func (p *printer) word(words ...string) {
	for _, w := range words {
		if w != "" {
			p.out = append(p.out, p.open+w)
			p.open = ""
		}
	}
}

// glue adds text to the last word.
func (p *printer) glue(text string) { p.out[len(p.out)-1] += text }

// inBrackets prints something in brackets if want is true.
func (p *printer) inBrackets(want bool, print func()) {
	if want {
		p.open += "("
	}
	print()
	if want {
		p.glue(")")
	}
}

func (p *printer) question(q *Question) {
	if q.Why != nil {
		p.why(q.Why)
		return
	}
	if q.Plan {
		p.word("plan of")
	}
	if q.Possibly {
		p.word("possibly")
	}
	if a := q.Aggregate; a != nil && a.Count {
		p.word("count")
	} else if a != nil {
		p.word(string(a.Word), a.Field.Text, "of")
	}
	p.sets(q.First, q.Rest)
	for _, c := range q.Clauses {
		p.clause(c)
	}
}

// sets prints selections put together, which bind from the left.
func (p *printer) sets(first *Selection, rest []*Joined) {
	if len(rest) == 0 {
		p.selection(first)
		return
	}
	before, last := rest[:len(rest)-1], rest[len(rest)-1]
	p.inBrackets(p.brackets && len(before) > 0, func() { p.sets(first, before) })
	p.word(string(last.Op))
	p.selection(last.Selection)
}

func (p *printer) selection(s *Selection) {
	if s.Group != nil {
		p.inBrackets(true, func() { p.question(s.Group) })
		return
	}
	if s.Route != nil {
		p.route(s.Route)
		return
	}
	list(p, s.Heads, func(h *Head) { p.names(h.Words) })
	if s.Where != nil {
		p.alternatives(s.Where)
	}
}

func (p *printer) names(names []*Name) {
	for _, n := range names {
		p.word(n.Text)
	}
}

// list prints things with commas and a last `or` between them.
func list[T any](p *printer, things []T, print func(T)) {
	for i, t := range things {
		if i > 0 && i == len(things)-1 {
			p.word("or")
		} else if i > 0 {
			p.glue(",")
		}
		print(t)
	}
}

func (p *printer) alternatives(a *Alternatives) {
	for i, r := range a.Runs {
		if i > 0 {
			p.word("or")
		}
		p.inBrackets(p.brackets && len(a.Runs) > 1 && !r.oneGroup(), func() { p.run(r) })
	}
}

// oneGroup reports whether the run is nothing but something in brackets.
func (r *Run) oneGroup() bool { return len(r.Rest) == 0 && r.First.Group != nil && !r.First.Not }

func (p *printer) run(r *Run) {
	lone := len(r.Rest) == 0
	p.phrase(r.First, lone)
	for _, n := range r.Rest {
		if n.And {
			p.word("and")
		}
		p.phrase(n.Phrase, lone)
	}
}

// phrase prints a phrase; lone tells that no other stands beside it.
func (p *printer) phrase(f *Phrase, lone bool) {
	if f.Not {
		p.word("not")
	}
	switch {
	case f.Group != nil:
		p.inBrackets(true, func() { p.alternatives(f.Group) })
	case f.Region != nil:
		p.region(f.Region)
	case f.Relation != nil:
		p.relation(f.Relation)
	case f.Reading != nil:
		p.reading(f.Reading)
	case f.With != nil:
		p.word(string(f.With.Word))
		p.inBrackets(p.brackets && !lone && len(f.With.Conditions.Runs) > 1, func() { p.conditions(f.With.Conditions) })
	default:
		p.word("without", f.Without.Text)
	}
}

func (p *printer) relation(r *Relation) {
	if r.Distance != nil {
		p.word("within")
		p.value(r.Distance)
		p.word("of")
	} else {
		p.word(string(r.Word))
	}
	if r.Word == "for" {
		p.values(r.Operands)
		return
	}
	list(p, r.Operands, p.operand)
	if r.From != nil {
		p.word("from")
		list(p, r.From, p.operand)
	}
	p.through(r.Through)
}

func (p *printer) route(r *Route) {
	p.word("route from")
	list(p, r.From, p.operand)
	p.word("to")
	list(p, r.To, p.operand)
	p.through(r.Through)
	if r.By != "" {
		p.word("by", string(r.By))
	}
}

func (p *printer) through(passes []*Pass) {
	if passes == nil {
		return
	}
	p.word("through")
	list(p, passes, func(s *Pass) {
		p.word(s.Kind.Text, string(s.Op))
		if s.Bound != nil {
			p.value(s.Bound)
		}
	})
}

// values prints what a saved question is given, which is no choice.
func (p *printer) values(list []*Operand) {
	for i, o := range list {
		if i > 0 {
			p.glue(",")
		}
		p.operand(o)
	}
}

func (p *printer) operand(o *Operand) {
	if o.Group != nil {
		p.inBrackets(true, func() { p.question(o.Group) })
		return
	}
	p.word(string(o.Leader), o.Name.Text)
}

func (p *printer) conditions(c *Conditions) {
	for i, run := range c.Runs {
		if i > 0 {
			p.word("or")
		}
		p.inBrackets(p.brackets && len(c.Runs) > 1 && len(run.List) > 1, func() { p.conjunction(run) })
	}
}

func (p *printer) conjunction(c *Conjunction) {
	for i, test := range c.List {
		if i > 0 {
			p.word("and")
		}
		p.condition(test)
	}
}

func (p *printer) condition(c *Condition) {
	if c.Not {
		p.word("not")
	}
	switch {
	case c.Group.isThings():
		p.inBrackets(true, func() { p.things(c.Group.Runs[0].List[0]) })
		return
	case c.Group != nil:
		p.inBrackets(true, func() { p.conditions(c.Group) })
		return
	case c.Unknown != nil:
		p.word("unknown", c.Unknown.Text)
		return
	}
	if c.Related != nil {
		p.inBrackets(p.brackets, func() { p.things(c) })
		return
	}
	p.word(c.Field.Text)
	for i, test := range c.Tests {
		if i > 0 {
			p.word("or")
		}
		p.compare(test)
	}
}

func (p *printer) compare(c *Compare) {
	if c.Low != nil {
		p.word("between")
		p.value(c.Low)
		p.word("and")
		p.value(c.High)
		return
	}
	p.word(string(c.Op))
	list(p, c.Values, p.value)
}

func (p *printer) value(v *Value) {
	if v.Text != nil {
		p.word(v.Text.Text)
	}
	p.word(string(v.Tolerance))
}

func (p *printer) clause(c *Clause) {
	switch {
	case c.Show != nil:
		p.word("show")
		p.fields(c.Show)
	case c.By != nil:
		p.word("by")
		p.fields(c.By)
	case c.First != nil:
		p.word("first", c.First.Text)
	default:
		p.word("sorted by")
		for i, k := range c.Sort {
			if i > 0 {
				p.glue(",")
			}
			p.word(k.Field.Text, string(k.Order))
		}
	}
}
