package check

import (
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/query/words"
)

// isJobScope reports whether a relation says whose readings count: in job 1042.
// For nouns that stand in a relation to jobs it is that relation.
func (c *checker) isJobScope(r *syntax.Relation) bool {
	if r == nil || r.Word != "in" {
		return false
	}
	return !slices.Contains(words.In.Operands(c.noun), words.Jobs) && saysJob(r.Operands[0])
}

// saysJob reports whether an operand is `job 1042` or `every job`.
func saysJob(o *syntax.Operand) bool {
	switch strings.ToLower(string(o.Leader)) {
	case "job":
		return true
	case "every", "any":
		return strings.EqualFold(o.Name.Text, "job") || strings.EqualFold(o.Name.Text, "jobs")
	}
	return false
}

// jobScope takes `in job 1042` as what is said of the readings in a selection.
func (c *checker) jobScope(p *syntax.Phrase) {
	switch {
	case p.Not:
		c.fail("Q56", p.Range(), "in job says whose readings count, so it has no not")
		return
	case !c.noun.Measurable():
		c.noJobOf(p.Relation)
		return
	case c.jobs == nil:
		c.jobs = &Jobs{Names: []string{}} // none, until one is found
	}
	for _, o := range p.Relation.Operands {
		if o.Name == nil {
			c.fail("Q56", o.Range(), "after in job stand numbers of jobs")
			continue
		}
		if saysJob(o) && !strings.EqualFold(string(o.Leader), "job") {
			c.jobs.Every = true
			continue
		}
		name, _ := c.resolve(o.Name, []words.Noun{words.Jobs}, p.Relation)
		for _, f := range name.Found {
			for _, id := range f.Texts { // members of a stack know the same jobs
				if !slices.Contains(c.jobs.Names, id) {
					c.jobs.Names = append(c.jobs.Names, id)
				}
			}
		}
	}
}

// noJobOf words `parts in job 1042`.
func (c *checker) noJobOf(r *syntax.Relation) {
	d := c.fail("Q24", r.Range(), "%s are in no job; a job has readings, observations, and pads, nets and pins that were measured", c.noun)
	if said := c.said(r.Range()); !strings.Contains(said, "(") {
		d.Help = append(d.Help, "what can be asked: readings "+said, "what can be asked: measured pads "+said)
	}
}

// jobsAreUsed complains of `pads in job 1042`, where nothing is said of
// readings.
func (c *checker) jobsAreUsed(s *syntax.Selection) {
	if c.jobs == nil || c.reads || c.list.HasErrors() {
		return
	}
	head := s.Heads[0].Words[len(s.Heads[0].Words)-1].Range()
	d := c.fail("Q56", head, "in job says whose readings count, but nothing is said of readings; say which %s: measured, unmeasured, shorted, low, matching, high or open", c.noun)
	c.suggest(d, diag.Range{Start: head.Start, End: head.Start}, "measured ")
}
