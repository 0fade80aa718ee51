package sheet

import (
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
		if a.optional && c.leavesOut(a) {
			continue
		}
		if p.read(c, a, slot) != nil {
			return false
		}
	}
}

// afterLead is the index of the first token after the attributes that stand
// first.
func (f *form) afterLead() int {
	if f.wordAt < 0 {
		return f.lead
	}
	return f.lead + 1
}

// leavesOut reports whether an optional attribute of the lead is left out.
func (c *cursor) leavesOut(a *attribute) bool {
	t, ok := c.peek()
	if !ok || t.marks&quoted != 0 {
		return true
	}
	s := c.f.tokenText(t)
	_, isWord := c.form.lookup.find(s)
	return isWord || a.shape == halfShape && startsNumber(s)
}

// startsNumber reports whether a word looks like a number from its first byte on.
func startsNumber(s string) bool {
	return isDigit(s[0]) || s[0] == '.' || s[0] == '-' || s[0] == '+' || s[0] == 0xe2 // the minus sign, U+2212
}

// read reads the value of one attribute and notes it. It returns what it has
// complained of, or nil.
func (p *parser) read(c *cursor, a *attribute, slot int) *problem {
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
		return problem
	}
	p.f.attrs = append(p.f.attrs, attr{token: c.l.token + uint32(first), tokens: uint16(c.i - first), slot: uint8(slot)})
	c.l.attrs++
	return nil
}

// strayComma complains of the comma after a token. If it stands where the
// decimal point should, what follows is left out.
func (c *cursor) strayComma(t token) *problem {
	if p := c.parted(t); p != nil {
		return p
	}
	end := int(t.start) + int(t.size)
	p := &problem{Code: "S216", Message: "a comma cannot stand after " + c.f.tokenText(t) + " here",
		Help: []string{"only lists have commas; put a blank in its place"}, Range: diag.Range{Start: end, End: end + 1}}
	if c.form.named && c.i == c.form.afterLead() && t == c.toks[c.i-1] {
		p.Help = []string{"write a line for each of them"}
	}
	return p
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
	lost := -2        // the last token that could not be placed, or read
	for c.i < len(c.toks) {
		if p.bad && c.terse {
			return false
		}
		at := c.i
		if lost == at-1 && c.atPlainNumber() {
			lost, c.i = at, at+1 // it belongs to what stands before it
			continue
		}
		slot, problem := c.slot()
		unknown := problem != nil
		if !unknown {
			if problem = p.read(c, &c.form.attributes[slot], slot); problem == nil {
				if seen>>slot&1 == 1 {
					p.twice(c, at, slot)
				}
				seen |= 1 << slot
			}
		} else if lost != at-1 || len(problem.Edits) > 0 { // what follows an unknown word often belongs to it
			p.complain(c.l, *problem)
		}
		c.i = max(c.i, at+1)
		if problem != nil && (len(problem.Edits) == 0 || unknown && problem.Code == "S201") { // else it is known where it ends
			lost = c.i - 1
		}
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
	if problem := c.strayPlace(t); problem != nil {
		return 0, problem
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
	case !startsNumber(s):
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
