package check

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/query/words"
	"netlore/store/board"
)

// Inquiry is which jobs a question asks suspects and tests of, in natural order. Of
// those in Asked, which are named, it must be known what is shorted; others are left
// out where it is not.
type Inquiry struct {
	Suspects, Tests, Asked []string
}

// Inquiry is what the question asks of suspects and tests, brackets included.
func (q *Question) Inquiry() (i Inquiry) {
	see := func(s *Select) {
		switch s.Of {
		case words.Suspects:
			i.Suspects = append(i.Suspects, s.Jobs...)
		case words.Tests:
			i.Tests = append(i.Tests, s.Jobs...)
		}
		if !s.EveryJob {
			i.Asked = append(i.Asked, s.Jobs...)
		}
	}
	if q.Route != nil {
		eachIn(q.Route.From, see)
		eachIn(q.Route.To, see)
	} else {
		eachSelect(q.Set, see)
	}
	for _, list := range []*[]string{&i.Suspects, &i.Tests, &i.Asked} {
		slices.SortFunc(*list, board.CompareNatural)
		*list = slices.Compact(*list)
	}
	return i
}

// eachSelect visits the selections of a set, those of operands included.
func eachSelect(s Set, visit func(*Select)) {
	switch s := s.(type) {
	case *Combine:
		eachSelect(s.L, visit)
		eachSelect(s.R, visit)
	case *Select:
		visit(s)
		eachPred(s.Where, visit)
	}
}

func eachPred(p Pred, visit func(*Select)) {
	switch p := p.(type) {
	case All:
		for _, one := range p.Preds {
			eachPred(one, visit)
		}
	case Any:
		for _, one := range p.Preds {
			eachPred(one, visit)
		}
	case Not:
		eachPred(p.Pred, visit)
	case Related:
		eachIn(p.Operand, visit)
		if p.Trace != nil {
			eachIn(p.Trace.From, visit)
		}
	}
}

func eachIn(o Operand, visit func(*Select)) {
	switch o := o.(type) {
	case Sub:
		eachSelect(o.Set, visit)
	case Either:
		for _, one := range o.List {
			eachIn(one, visit)
		}
	}
}

// ofJob reports whether things of a noun are worked out of one job.
func ofJob(n words.Noun) bool { return n == words.Suspects || n == words.Tests }

// saysWhose reports whether a relation says of which job suspects or tests are.
func (c *checker) saysWhose(r *syntax.Relation) bool {
	return ofJob(c.noun) && r != nil && (r.Word == "in" || r.Word == "for") && relationOf(r).Operands(c.noun) != nil && !c.isScope(r)
}

func relationOf(r *syntax.Relation) words.Relation {
	rel, _ := words.RelationByWord(relationWord(r))
	return rel
}

// whose takes `in job 1042` as what says whose suspects are asked for.
func (c *checker) whose(sel *Select, p *syntax.Phrase) {
	if p.Not {
		c.fail("Q58", p.Range(), "%s says whose %s are asked for, so it has no not", diag.Quote(c.said(p.Relation.Range())), c.noun)
		return
	}
	for _, o := range p.Relation.Operands {
		switch {
		case o.Group != nil && o.NameList() == nil:
			c.fail("Q58", o.Range(), "after %s stand numbers of jobs, not brackets", p.Relation.Word)
		case saysJob(o) && !strings.EqualFold(string(o.Leader), "job"):
			sel.EveryJob = true
			for _, j := range c.jobsHere() {
				sel.addJob(j.ID)
			}
		default:
			c.whoseNames(sel, o, p.Relation)
		}
	}
}

func (c *checker) whoseNames(sel *Select, o *syntax.Operand, r *syntax.Relation) {
	if lead := strings.ToLower(string(o.Leader)); lead != "" && lead != "job" {
		c.fail("Q58", o.Range(), "%s are of a job, not of a %s", c.noun, lead)
		return
	}
	for _, n := range operandNames(o) {
		name, _ := c.resolve(n, []words.Noun{words.Jobs}, r)
		for _, f := range name.Found {
			for _, id := range f.Texts {
				sel.addJob(id)
			}
		}
	}
}

// addJob adds a job once: members of a stack know the same ones.
func (s *Select) addJob(id string) {
	if !slices.Contains(s.Jobs, id) {
		s.Jobs = append(s.Jobs, id)
	}
}

// jobsHere are the jobs that the members know, each once.
func (c *checker) jobsHere() (all []*board.Job) {
	seen := map[string]bool{}
	for _, m := range c.scope.Members {
		if m.Knowledge == nil {
			continue
		}
		for i := range m.Knowledge.Jobs {
			if j := &m.Knowledge.Jobs[i]; !seen[j.ID] {
				seen[j.ID] = true
				all = append(all, j)
			}
		}
	}
	return all
}

// onlyJob takes the job that is open, if there is just one, where suspects or tests
// are asked for and the question does not say of which.
func (c *checker) onlyJob(sel *Select, s *syntax.Selection) {
	if c.scope.Lenient {
		d := c.fail("Q55", s.Range(), "%s are worked out of one job, and a job is of one device, so they are not asked of every board", c.noun)
		d.Help = append(d.Help, "the bench as a whole: jobs in every board without closed")
		return
	}
	if sel.Jobs != nil || sel.EveryJob || c.list.HasErrors() {
		return
	}
	var open []string
	for _, j := range c.jobsHere() {
		if j.Closed.IsZero() {
			open = append(open, j.ID)
		}
	}
	head := s.Heads[0].Words[len(s.Heads[0].Words)-1].Range()
	if len(open) == 1 {
		sel.Jobs = open
		c.report(diag.Diagnostic{Code: "Q58", Severity: diag.Note, Message: fmt.Sprintf("%s are taken to be those of job %s, the only one that is open", c.noun, words.QuoteName(open[0]))}, head)
		return
	}
	which := "no job is open here"
	if len(open) > 1 {
		which = fmt.Sprintf("%d jobs are open: %s", len(open), some(open))
	}
	d := c.fail("Q58", head, "of which job are the %s asked for? %s", c.noun, which)
	for _, id := range open {
		c.suggest(d, diag.Range{Start: head.End, End: head.End}, " in job "+words.QuoteName(id))
	}
	if open == nil {
		d.Help = append(d.Help, "say which: "+c.noun.String()+" in job 1042", "netlore job open HERON opens one")
	}
}

// callable are the nouns whose things have names, so that they need not stand in
// brackets.
func callable(nouns []words.Noun) (all []words.Noun) {
	for _, n := range nouns {
		if !ofJob(n) {
			all = append(all, n)
		}
	}
	return all
}

// usable makes of suspects what a relation can tie to: the parts, pads and branches
// that they are, as far as it takes such things. It is nil if it takes none.
func (c *checker) usable(set Set, nouns []words.Noun) Operand {
	if set.Noun() != words.Suspects {
		return nil
	}
	var all []Operand
	for _, n := range []words.Noun{words.Parts, words.Pads, words.Branches} {
		if slices.Contains(nouns, n) {
			in := Related{Relation: words.In, Operand: Sub{set}, Span: set.Range()}
			all = append(all, Sub{&Select{Of: n, Where: in, Members: every(c.scope), Span: set.Range()}})
		}
	}
	switch len(all) {
	case 0:
		return nil
	case 1:
		return all[0]
	}
	return Either{all}
}

// hintMembership tells, where things are put together with suspects, how those of
// them are asked for that are suspects, or are none.
func (c *checker) hintMembership(op SetOp, n words.Noun, right Set) {
	if right.Noun() == words.Suspects && slices.Contains(words.In.Operands(n), words.Suspects) {
		in := map[SetOp]string{Except: " not in ("}[op]
		d := &c.list[len(c.list)-1]
		d.Help = append(d.Help, "what can be asked: "+n.String()+cmp.Or(in, " in (")+c.said(right.Range())+")")
	}
}
