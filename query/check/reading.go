package check

import (
	"strings"

	"netlore/query/diag"
	"netlore/query/readings"
	"netlore/query/syntax"
	"netlore/query/words"
	"netlore/store/board"
)

// verdicts takes the adjectives that speak of readings out of a selection and
// makes them conditions.
func (c *checker) verdicts(sel *Select, head *syntax.Head) []Pred {
	var preds []Pred
	var rest []words.Adjective
	for i, a := range sel.Adjectives {
		r := Reads{Text: a.String(), Span: head.Words[i].Range()}
		v, isVerdict := a.Verdict()
		switch {
		case isVerdict:
			r.Verdicts = readings.Of(v)
			preds = append(preds, c.counting(r))
		case a == words.Measured:
			preds = append(preds, c.counting(r))
		case a == words.Unmeasured:
			r.Text = words.Measured.String()
			preds = append(preds, Not{c.counting(r)})
		default:
			rest = append(rest, a)
		}
	}
	sel.Adjectives = rest
	return preds
}

// counting adds whose readings count.
func (c *checker) counting(r Reads) Reads {
	c.reads = true
	if c.jobs == nil {
		return r
	}
	r.Jobs = *c.jobs
	if r.Text += " in every job"; !r.Jobs.Every {
		r.Text = strings.TrimSuffix(r.Text, "every job") + "job " + strings.Join(r.Jobs.Names, ", ")
	}
	return r
}

// reading checks `reading below expected by 15%`.
func (c *checker) reading(p *syntax.Phrase) Pred {
	if !c.noun.Measurable() {
		d := c.fail("Q24", diag.Range{Start: p.Reading.Range().Start, End: p.Reading.Range().Start + len("reading")}, "%q does not follow %s; readings are taken at pads, nets and pins", "reading", c.noun)
		d.Help = append(d.Help, "what can be asked: pads "+c.said(p.Reading.Range()))
		return nil
	}
	var tests []Pred
	for _, t := range p.Reading.Tests {
		r := Reads{Text: "reading " + strings.TrimPrefix(c.said(t.Range()), "reading "), Span: t.Range()}
		if c.readTest(&r, t, p) {
			tests = append(tests, c.counting(r))
		}
	}
	return anyOf(tests)
}

var sides = map[syntax.Keyword]readings.Verdict{"below": readings.Low, "above": readings.High}

// readTest fills in what a reading is tested for. It reports false if it has
// complained.
func (c *checker) readTest(r *Reads, t *syntax.ReadTest, p *syntax.Phrase) (ok bool) {
	switch {
	case t.Compare != nil:
		return c.readCompare(r, t.Compare, p)
	case t.Inside:
		r.Verdicts = readings.Of(readings.Matching)
		return true
	case t.Around != nil:
		r.Side = readings.Matching
		r.By, ok = c.width(t.Around, "within takes")
		return ok
	case t.By != nil:
		r.Side = sides[t.Side]
		r.By, ok = c.width(&syntax.Value{Span: t.By.Span, Text: t.By.Text}, "by takes")
		return ok
	case t.Side == "below":
		r.Verdicts = readings.Of(readings.Shorted) | readings.Of(readings.Low)
		return true
	}
	r.Verdicts = readings.Of(readings.High) | readings.Of(readings.Open)
	return true
}

// width reads how far off: 15%, 20mV.
func (c *checker) width(v *syntax.Value, what string) (board.Quantity, bool) {
	q, ok := c.quantity(v, []board.Unit{board.Ratio, board.Volt, board.Ohm, board.Ampere}, what)
	if ok && q.Coef < 0 {
		c.fail("Q42", v.Range(), "%s is below zero; %s an amount", v.Text.Text, what)
		return q, false
	}
	return q, ok
}

// readCompare checks the comparison of a reading with a number.
func (c *checker) readCompare(r *Reads, t *syntax.Compare, p *syntax.Phrase) bool {
	if len(t.Values) == 1 && t.Values[0].Text != nil && strings.EqualFold(t.Values[0].Text.Text, "expected") {
		c.signBeforeExpected(t)
		return false
	}
	noun, kinds := c.noun, c.kinds
	defer func() { c.noun, c.kinds = noun, kinds }()
	c.noun, c.kinds = words.Readings, nil
	pred := c.compare(Field{words.FieldByID(words.Readings, words.Value), t.Range()}, t, p)
	compare, ok := pred.(Compare)
	r.Compare = &compare
	return ok
}

// signBeforeExpected words `reading < expected`.
func (c *checker) signBeforeExpected(t *syntax.Compare) {
	instead := map[CompareOp]string{Less: "below expected", LessEqual: "below expected", Greater: "above expected", GreaterEqual: "above expected", Equal: "within expected"}[compareOps[t.Op]]
	d := c.fail("Q15", t.Range(), "what is expected has a tolerance, so a reading is below, above or within it")
	if instead != "" {
		c.suggest(d, t.Range(), instead)
	}
}
