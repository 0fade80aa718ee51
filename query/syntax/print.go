package syntax

import "strings"

// String prints the question in canonical form: single blanks, words of the
// language in small letters, names as they were written. Parsing it gives the
// same tree.
func (q *Question) String() string { return (&printer{}).print(q) }

// Reading prints the question with brackets round whatever `or` or several set
// words could leave in doubt. It means the same as the question.
func (q *Question) Reading() string {
	reading, _ := q.Echo()
	return reading
}

// Echo is the reading, and whether there is such a bracket in it.
func (q *Question) Echo() (reading string, doubtful bool) {
	p := printer{brackets: true}
	return p.print(q), p.doubtful
}

// printer collects words; a word that starts with ")" or "," is later glued to
// the one before it, a "(" to the one after.
type printer struct {
	out      []string
	open     string // brackets that wait for their first word
	brackets bool   // round what is in doubt
	doubtful bool   // something is
}

func (p *printer) print(q *Question) string {
	p.out = make([]string, 0, 16)
	p.question(q)
	return strings.Join(p.out, " ")
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

// inDoubt prints something that is in doubt if want is true.
func (p *printer) inDoubt(want bool, print func()) {
	p.doubtful = p.doubtful || want
	p.inBrackets(want && p.brackets, print)
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
	p.inDoubt(len(before) > 0, func() { p.sets(first, before) })
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
		p.inDoubt(len(a.Runs) > 1 && !r.oneGroup(), func() { p.run(r) })
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
		p.inDoubt(!lone && len(f.With.Conditions.Runs) > 1, func() { p.conditions(f.With.Conditions) })
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
	p.word(string(o.Leader), o.Name.Text, string(o.Tolerance))
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
