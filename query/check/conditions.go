package check

import (
	"strings"

	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/query/words"
)

// conditions checks what follows `with` or `where` in phrase p.
func (c *checker) conditions(cs *syntax.Conditions, p *syntax.Phrase) Pred {
	var runs []Pred
	for _, run := range cs.Runs {
		var list []Pred
		for _, one := range run.List {
			list = append(list, c.condition(one, p))
		}
		runs = append(runs, all(list))
	}
	return anyOf(runs)
}

func (c *checker) condition(one *syntax.Condition, p *syntax.Phrase) Pred {
	pred := c.plainCondition(one, p)
	if one.Not && pred != nil {
		return Not{pred}
	}
	return pred
}

func (c *checker) plainCondition(one *syntax.Condition, p *syntax.Phrase) Pred {
	if one.Group != nil {
		return c.conditions(one.Group, p)
	}
	if one.Things != nil {
		return c.culprit(one)
	}
	name := one.Field
	if one.Unknown != nil {
		name = one.Unknown
	}
	f, ok := c.field(name)
	switch {
	case !ok:
		return nil
	case f.ID == words.Verdict && c.noun.Measurable():
		return c.verdictField(f, one)
	case one.Unknown != nil:
		return IsUnknown{f}
	case one.Tests == nil:
		return Has{f}
	}
	var tests []Pred
	for _, t := range one.Tests {
		tests = append(tests, c.compare(f, t, p))
	}
	return anyOf(tests)
}

var compareOps = map[syntax.Keyword]CompareOp{
	"=": Equal, "is": Equal, "!=": NotEqual, "is not": NotEqual,
	"<": Less, "below": Less, "is below": Less, ">": Greater, "above": Greater, "is above": Greater,
	"<=": LessEqual, "at most": LessEqual, "is at most": LessEqual,
	">=": GreaterEqual, "at least": GreaterEqual, "is at least": GreaterEqual,
}

// compare checks one comparison.
func (c *checker) compare(f Field, t *syntax.Compare, p *syntax.Phrase) Pred {
	if f.Type == words.ThingNames {
		c.sayRelation(f, t, p)
		return nil
	}
	if t.Low != nil {
		return c.between(f, t)
	}
	compare := Compare{Field: f, Op: compareOps[t.Op], Span: t.Range()}
	ordering := compare.Op != Equal && compare.Op != NotEqual
	switch {
	case ordering && (f.Type == words.TextType || f.Type == words.Choice):
		d := c.fail("Q43", t.Range(), "the field %s of %s has no order, so nothing is %s it", f.Word, c.noun, orderWord(compare.Op))
		d.Help = append(d.Help, "compare it with = or is not")
		return nil
	case ordering && len(t.Values) > 1:
		c.fail("Q43", t.Range(), "%q compares with one value, not with several", string(t.Op))
		return nil
	}
	for _, v := range t.Values {
		value, ok := c.value(f, v, ordering)
		if !ok {
			return nil
		}
		compare.Values = append(compare.Values, value)
	}
	return compare
}

func orderWord(op CompareOp) string {
	if op == Less || op == LessEqual {
		return "below"
	}
	return "above"
}

func (c *checker) between(f Field, t *syntax.Compare) Pred {
	if f.Type == words.TextType || f.Type == words.Choice {
		c.fail("Q43", t.Range(), "the field %s of %s has no order, so nothing is between", f.Word, c.noun)
		return nil
	}
	low, ok1 := c.value(f, t.Low, true)
	high, ok2 := c.value(f, t.High, true)
	if !ok1 || !ok2 {
		return nil
	}
	v := Value{Low: low.Quantity, High: high.Quantity, From: low.From, To: high.To, Span: t.Range()}
	swapped := low.From > high.From
	if f.Type != words.TimeType {
		swapped = v.Low.SameUnit(v.High) && v.Low.Compare(v.High) > 0
		if !v.Low.SameUnit(v.High) {
			c.fail("Q41", t.Range(), "%s is %s, and %s is %s", c.said(t.Low.Range()), v.Low.Unit.Measures(), c.said(t.High.Range()), v.High.Unit.Measures())
			return nil
		}
	}
	if swapped {
		d := c.fail("Q46", t.Range(), "between wants the smaller one first")
		at := diag.Range{Start: t.Low.Range().Start, End: t.High.Range().End}
		c.suggest(d, at, c.said(t.High.Range())+" and "+c.said(t.Low.Range()))
		return nil
	}
	return Compare{Field: f, Op: Between, Values: []Value{v}, Span: t.Range()}
}

// sayRelation words `with net = VMAIN`, which is said by a relation.
func (c *checker) sayRelation(f Field, t *syntax.Compare, p *syntax.Phrase) {
	for _, r := range c.noun.Relations() {
		for _, n := range r.Operands(c.noun) {
			if n != f.Names || r == words.Within || r == words.Behind || r.Traced() {
				continue
			}
			d := c.fail("Q43", diag.Range{Start: f.Span.Start, End: t.Range().End}, "the field %s of %s is not compared: it is asked with the word %q", f.Word, c.noun, r)
			if t.Low == nil && len(t.Values) == 1 && t.Values[0].Text != nil {
				c.suggest(d, p.Range(), notFor(p, t)+r.String()+" "+bareWhere(t.Values[0].Text.Text))
			}
			return
		}
	}
	d := c.fail("Q43", diag.Range{Start: f.Span.Start, End: t.Range().End}, "the field %s of %s can be shown, but not compared", f.Word, c.noun)
	d.Help = append(d.Help, "what can be asked: "+c.noun.String()+" show "+f.Word)
}

// verdictField checks `pads with verdict`, which are those that were measured. A
// verdict itself is said before the noun, where it can be said whose readings
// count.
func (c *checker) verdictField(f Field, one *syntax.Condition) Pred {
	if one.Unknown == nil && one.Tests == nil {
		return c.counting(Reads{Text: words.Measured.String(), Span: f.Span})
	}
	d := c.fail("Q43", one.Range(), "the field verdict of %s can be shown, but not compared: a verdict stands before %[1]s", c.noun)
	for _, v := range Choices(f.Field) {
		if len(one.Tests) > 0 && strings.Contains(strings.ToLower(c.said(one.Range())), v) {
			d.Help = append(d.Help, "what can be asked: "+v+" "+c.noun.String())
		}
	}
	if d.Help == nil {
		d.Help = []string{"what can be asked: low " + c.noun.String()}
	}
	d.Help = append(d.Help, "the verdicts are "+strings.Join(Choices(f.Field), ", "))
	return nil
}

// notFor is "not " if the phrase and the comparison together deny.
func notFor(p *syntax.Phrase, t *syntax.Compare) string {
	if (compareOps[t.Op] == NotEqual) != p.Not {
		return "not "
	}
	return ""
}

// bareWhere takes off the quotes that another language would want.
func bareWhere(name string) string { return strings.Trim(name, "'") }
