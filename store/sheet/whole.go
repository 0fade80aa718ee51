package sheet

import (
	"math/bits"
	"slices"
	"strings"

	"netlore/query/diag"
)

// whole checks the line now that all of it has been read.
func (p *parser) whole(c *cursor) {
	have := uint16(0)
	for _, at := range c.f.lineAttrs(c.l) {
		have |= 1 << at.slot
	}
	c.i, c.flawed = len(c.toks), p.bad
	for lacking := c.form.musts &^ have; lacking != 0; lacking &= lacking - 1 {
		p.lacks(c, &c.form.attributes[bits.TrailingZeros16(lacking)])
	}
	var problem *problem
	if c.form.aparts {
		problem = c.apart()
	}
	if problem == nil && c.form.check != nil {
		problem = c.form.check(c)
	}
	if problem != nil {
		p.complain(c.l, *problem)
	}
}

// lacks complains of an attribute that must be there, unless the line has been
// complained of already: then that may be why it was not found.
func (p *parser) lacks(c *cursor, a *attribute) {
	if p.bad {
		return
	}
	problem := c.missing(a)
	problem.Code = "S204"
	if a.word != "" {
		problem.Message = c.form.title + " needs " + diag.Quote(a.word) + ", and then " + a.expects()
	}
	p.complain(c.l, *problem)
}

// apart complains of two attributes that exclude each other.
func (c *cursor) apart() *problem {
	var first attr
	for _, at := range c.f.lineAttrs(c.l) {
		group := c.form.attributes[at.slot].apart
		switch {
		case group == 0:
		case first.tokens == 0:
			first = at
		default:
			a, b := &c.form.attributes[first.slot], &c.form.attributes[at.slot]
			return c.fault(c.f.tokens[at.token], "S214", c.form.title+" has either a "+a.what()+" or a "+b.what()+", not both", "leave one of them out")
		}
	}
	return nil
}

// oneOf complains if none of the attributes of these words is there, or could
// not be read.
func (c *cursor) oneOf(words ...string) *problem {
	if c.flawed {
		return nil
	}
	for _, w := range words {
		if c.has(w) {
			return nil
		}
	}
	c.i = len(c.toks)
	return &problem{Code: "S204", Message: diag.Unexpected("", "in "+c.form.title, diag.OneOf(words...)), Range: diag.Range{Start: int(c.l.end) - 1, End: int(c.l.end)}}
}

// together complains if one of two attributes is there without the other.
func (c *cursor) together(a, b string) *problem {
	if c.has(a) == c.has(b) || c.flawed {
		return nil
	}
	if c.has(b) {
		a, b = b, a
	}
	return &problem{Code: "S204", Message: diag.Quote(a) + " needs " + diag.Quote(b) + " as well", Range: diag.Range{Start: int(c.l.end) - 1, End: int(c.l.end)}}
}

// has reports whether the line has the attribute of a word.
func (c *cursor) has(word string) bool {
	slot := uint8(c.form.slotOf(word))
	for _, at := range c.f.lineAttrs(c.l) {
		if at.slot == slot {
			return true
		}
	}
	return false
}

// twice complains of the attribute just read, which starts at token at and
// which the line has already.
func (p *parser) twice(c *cursor, at, slot int) {
	if c.terse {
		p.complain(c.l, problem{Code: "S203"})
		return
	}
	a, attrs := &c.form.attributes[slot], c.f.lineAttrs(c.l)
	first := attrs[slices.IndexFunc(attrs, func(x attr) bool { return int(x.slot) == slot })]
	x, y := c.attrText(first), c.attrText(attrs[len(attrs)-1])
	if a.shape == valueShape && !(c.isValue(x) && c.isValue(y)) {
		return // one of them is complained of when the class is known
	}
	d := c.fault(c.toks[at], "S203", c.form.title+" has one "+a.what()+"; this line says "+x+" and "+y, "leave one of them out")
	switch {
	case a.lists() && x != y && x != "nothing" && y != "nothing":
		d.Message = diag.Quote(a.word) + " stands twice in this line"
		d.Help = []string{"write one list: " + a.word + " " + x + "," + y}
	case x == y && at > 0 && c.f.tokenText(c.toks[at]) == a.word:
		d.Message = diag.Quote(strings.TrimSpace(a.word+" "+x)) + " stands twice in this line"
	case x == y:
		d.Message = diag.Quote(c.f.plain(c.toks[at])) + " stands twice in this line"
	}
	p.complain(c.l, *d)
}

// attrText is the value of an attribute as it is written, cut if it is long.
func (c *cursor) attrText(at attr) string {
	toks := c.f.tokens[at.token : at.token+uint32(at.tokens)]
	if len(toks) == 0 {
		return ""
	}
	last := toks[len(toks)-1]
	const most = 40
	if text := []rune(c.f.text[toks[0].start : last.start+uint32(last.size)]); len(text) > most {
		return string(text[:most]) + "…"
	}
	return c.f.text[toks[0].start : last.start+uint32(last.size)]
}
