package sheet

import (
	"math/bits"
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

// fill reads the attributes of a line by its form. It complains of all that is
// wrong with the line, and reports whether nothing was.
func (p *parser) fill(l *line, f *form) bool {
	c := &p.cur
	c.l, c.form, c.toks, c.i, c.terse = l, f, p.f.lineTokens(l), 0, p.full()
	before := p.bad
	p.bad = false
	if p.lead(c) && p.rest(c) {
		p.whole(c)
	}
	sound := !p.bad
	p.bad = p.bad || before
	return sound
}

// lead reads the attributes that stand first, and the word of the form in its
// place. It reports false if one is missing or cannot be read: then nothing
// can be said of the others.
func (p *parser) lead(c *cursor) bool {
	for slot := 0; ; slot++ {
		if c.i == c.form.wordAt {
			c.i++
		}
		if slot == c.form.lead {
			return true
		}
		a := &c.form.attributes[slot]
		if a.optional && c.atWordOrEnd() {
			continue
		}
		if !p.read(c, a, slot) {
			return false
		}
	}
}

// atWordOrEnd reports whether an optional attribute of the lead is left out.
func (c *cursor) atWordOrEnd() bool {
	t, ok := c.peek()
	if !ok || t.marks&quoted != 0 {
		return true
	}
	_, isWord := c.form.lookup.find(c.f.tokenText(t))
	return isWord
}

// read reads the value of one attribute and notes it.
func (p *parser) read(c *cursor, a *attribute, slot int) bool {
	first := c.i
	p.val.reset()
	problem := a.shape.read(c, a, &p.val)
	if problem == nil && !a.shape.list && c.i > first && c.i > 0 && c.toks[c.i-1].marks&comma != 0 {
		problem = c.strayComma(c.toks[c.i-1])
	}
	if problem == nil {
		problem = p.spreads(c, a, first)
	}
	if problem != nil {
		p.complain(c.l, *problem)
		return false
	}
	p.f.attrs = append(p.f.attrs, attr{token: c.l.token + uint32(first), tokens: uint16(c.i - first), slot: uint8(slot)})
	c.l.attrs++
	return true
}

// strayComma complains of the comma after a token. If it stands where the
// decimal point should, what follows is left out.
func (c *cursor) strayComma(t token) *problem {
	if p := c.parted(t); p != nil {
		return p
	}
	end := int(t.start) + int(t.size)
	return &problem{Code: "S216", Message: "a comma cannot stand after " + c.f.tokenText(t) + " here", Help: []string{"only lists have commas"},
		Range: diag.Range{Start: end, End: end + 1}}
}

// maxSpread is how many bytes of canonical text the ranges of one file may
// stand for: as much as a file may have.
const maxSpread = MaxFile

// spreads counts what the ranges just read stand for. A list stays in its line;
// else all of the line is said of each name.
func (p *parser) spreads(c *cursor, a *attribute, first int) *problem {
	n, words := max(len(p.val.names), len(p.val.targets)), c.i-first
	if n <= words {
		return nil // no range is among them
	}
	each := int(c.l.end - c.l.start)
	if a.shape == pinsShape || a.shape == targetsShape {
		each /= words
	}
	if p.spread += n * each; p.spread > maxSpread {
		return c.fault(c.toks[first], "S213", "the ranges of this file stand for too many names", "split the file")
	}
	return nil
}

// rest reads the attributes after the lead, in any order. It reports false if
// it is enough to know that the line is wrong.
func (p *parser) rest(c *cursor) bool {
	seen := uint16(0) // the slots that have been read, a bit each
	lost := -2        // the last token that could not be placed
	for c.i < len(c.toks) {
		if p.bad && c.terse {
			return false
		}
		at := c.i
		slot, problem := c.slot()
		if problem != nil {
			c.i = at + 1
			// What follows an unknown word often belongs to it.
			if lost != at-1 || len(problem.Edits) > 0 {
				p.complain(c.l, *problem)
			}
			lost = at
			continue
		}
		if p.read(c, &c.form.attributes[slot], slot) {
			if seen>>slot&1 == 1 {
				p.twice(c, at, slot)
			}
			seen |= 1 << slot
		}
		c.i = max(c.i, at+1)
	}
	return !p.bad || !c.terse
}

// slot tells which attribute the next token belongs to, and leaves the cursor
// at its value.
func (c *cursor) slot() (int, *problem) {
	t := c.toks[c.i]
	if t.marks&quoted != 0 {
		if slot := c.form.bare[bareText]; slot >= 0 {
			return int(slot), nil
		}
		return 0, c.fault(t, "S201", "text cannot stand in "+c.form.title+"; expected "+c.form.usage(), "a comment starts with #")
	}
	s := c.f.tokenText(t)
	if e, ok := c.form.lookup.find(s); ok {
		if !e.value && t.marks&comma != 0 {
			return 0, c.strayComma(t)
		}
		if !e.value {
			c.i++
		}
		return int(e.slot), nil
	}
	if slot := c.bareSlot(s); slot >= 0 {
		return int(slot), nil
	}
	return 0, c.unknown(t, s)
}

// bareSlot tells by the look of a value, that stands without a word, which
// attribute it is; -1 if none.
func (c *cursor) bareSlot(s string) int8 {
	f := c.form
	switch {
	case s[0] == '$':
		return f.bare[bareParameter]
	case looksLikeTolerance(s):
		return f.bare[bareTolerance]
	case !isDigit(s[0]) && s[0] != '.' && s[0] != '-' && s[0] != '+' && s[0] != 0xe2: // the minus sign, U+2212
		return -1
	case f.bare[bareChip] >= 0 && isDigit(s[len(s)-1]) && board.ChipCode(s):
		return f.bare[bareChip]
	}
	if q, ok := c.memo.parse(s); ok {
		return f.units[q.Unit]
	}
	if f.bare[bareSize] >= 0 && looksLikeSize(s) {
		return f.bare[bareSize]
	}
	return f.bare[bareQuantity]
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
	d := c.fault(c.toks[at], "S203", c.form.title+" has one "+a.what()+"; this line says "+x+" and "+y, "leave one of them out")
	switch {
	case a.lists() && x != y && x != "nothing" && y != "nothing":
		d.Message = diag.Quote(a.word) + " stands twice in this line"
		d.Help = []string{"write one list: " + a.word + " " + x + "," + y}
	case x == y && a.word != "":
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

// unknown complains of a word that has no place in the line.
func (c *cursor) unknown(t token, s string) *problem {
	if q, ok := c.memo.parse(s); ok {
		return c.fault(t, "S207", diag.Quote(s)+" is "+q.Unit.Measures()+", which "+c.form.title+" does not have", c.canHave())
	}
	p := c.fault(t, "S201", diag.Quote(s)+" is no word of "+c.form.title)
	if c.terse {
		return p
	}
	if p.Help = suggest(s, c.form.words()); len(p.Help) > 0 {
		p.Edits = editOf(*p)
		return p
	}
	p.Help = append(c.form.strayHelp(s), c.canHave())
	return p
}

func (c *cursor) canHave() string {
	if usage := c.form.usage(); usage != "" {
		return "after its name, " + c.form.title + " can have: " + usage
	}
	return c.form.title + " has nothing after its name"
}

// strayHelp tells where a word that cannot be placed may belong.
func (f *form) strayHelp(s string) []string {
	switch {
	case f.id == formPart:
		return []string{"write package " + s + ` if that is its package, or "` + s + `" if that is what the part is`}
	case f.id == formNet:
		return []string{"parts on the net go on indented lines below it"}
	case f.bare[bareText] >= 0:
		return []string{`free text stands in quotation marks: "` + s + `"`}
	}
	return nil
}

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
		problem.Message = diag.Unexpected("", "in "+c.form.title, a.word+" and "+a.expects())
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
	return &problem{Code: "S204", Message: a + " needs " + b + " as well", Range: diag.Range{Start: int(c.l.end) - 1, End: int(c.l.end)}}
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
