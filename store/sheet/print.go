package sheet

import (
	"slices"

	"netlore/store/board"
)

// A source is a line that says something about the thing being printed.
type source struct {
	f    *File
	line int32
}

// said is one attribute as one line says it.
type said struct {
	f    *File
	l    *line
	at   attr
	slot uint8 // in the form of the claims, which a board's indented lines do not have
}

// claims are all attributes that some lines say about one thing: the first of
// each, and the further ones.
type claims struct {
	form  *form
	first [maxSlots]said
	more  []said
	slots []uint8 // of the first
}

// collect gathers what the lines say, but for what goes without saying. The
// lines are of one form, but for the indented lines of a board, which count as
// its first.
func (c *claims) collect(f *form, lines []source) {
	c.form, c.more = f, c.more[:0]
	for _, slot := range c.slots {
		c.first[slot].f = nil
	}
	c.slots = c.slots[:0]
	for _, s := range lines {
		c.add(s)
	}
}

// add adds what one more line says.
func (c *claims) add(s source) {
	l := &s.f.lines[s.line]
	shift := uint8(0)
	if l.form == formBoardMore {
		shift = 1
	}
	for _, at := range s.f.lineAttrs(l) {
		x := said{s.f, l, at, at.slot + shift}
		if a := &c.form.attributes[x.slot]; a.silent != nil && a.silent(s.f.nameIn(s.f.tokens[l.token+1]), x.text()) {
			continue
		}
		if c.first[x.slot].f != nil {
			c.more = append(c.more, x)
			continue
		}
		c.first[x.slot] = x
		c.slots = append(c.slots, x.slot)
	}
}

// value decodes one attribute, with all that is added to a list.
func (g *gatherer) value(c *claims, slot int) *value {
	x := c.first[slot]
	v := g.read(x.f, x.l, x.at)
	if c.form.attributes[slot].many {
		g.addUp(c, slot)
	}
	sortNames(&v.names)
	sortTargets(&v.targets)
	return v
}

// addUp adds to the value at hand what further lines say in its slot. Repeats are
// dropped now and then, so that a list said again and again takes no more
// memory than what it says.
func (g *gatherer) addUp(c *claims, slot int) {
	full := tidyAt
	for _, x := range c.more {
		if int(x.slot) != slot {
			continue
		}
		sum := g.val
		g.val = g.spare
		v := g.read(x.f, x.l, x.at)
		sum.names = append(sum.names, v.names...)
		sum.targets = append(sum.targets, v.targets...)
		sum.word |= v.word
		g.spare, g.val = g.val, sum
		if len(g.val.names)+len(g.val.targets) > full {
			sortNames(&g.val.names)
			sortTargets(&g.val.targets)
			full = max(tidyAt, 2*(len(g.val.names)+len(g.val.targets)))
		}
	}
}

// tidyAt is how many names of a list may come together before repeats are
// looked for.
const tidyAt = 4096

// sortNames puts names into natural order and drops repeats.
func sortNames(names *[]string) {
	if len(*names) < 2 {
		return
	}
	if !slices.IsSortedFunc(*names, board.CompareNatural) {
		slices.SortFunc(*names, board.CompareNatural)
	}
	*names = slices.Compact(*names)
}

// appendHead prints the first line of a block, without its end, from what the
// lines say.
func (g *gatherer) appendHead(dst []byte, b *block, lines []source) []byte {
	if len(lines) == 1 && b.ownLine(lines[0]) {
		if text, ok := g.asIs(lines[0].f, &lines[0].f.lines[lines[0].line]); ok {
			return append(dst, text...)
		}
	}
	start := len(dst)
	f := g.forms[b.form]
	g.claims.collect(f, lines)
	dst = append(dst, f.word...)
	for slot := range f.lead {
		dst = g.appendLead(append(dst, ' '), b, &g.claims, slot)
	}
	dst = g.appendRest(dst, &g.claims)
	if len(dst)-start > MaxLine && len(lines) == 1 {
		return lines[0].appendTokens(dst[:start])
	}
	return dst
}

// ownLine reports whether what the line says is the block, and all of it.
func (b *block) ownLine(s source) bool {
	return b.row == 0 && s.f.lines[s.line].form == b.form && b.form != formJoin && b.form != formContinuity
}

// appendLead prints an attribute that stands first. Some of them the block
// itself knows.
func (g *gatherer) appendLead(dst []byte, b *block, c *claims, slot int) []byte {
	switch {
	case b.form == formJoin, b.form == formContinuity:
		if slot == 0 {
			return append(dst, b.name...)
		}
		return append(dst, b.second...)
	case slot == 0 && c.form.named:
		return appendName(dst, b.name)
	}
	a := &c.form.attributes[slot]
	return a.shape.print(dst, a, g.value(c, slot), g.memo)
}

// appendRest prints the attributes after the lead, each with a blank before.
func (g *gatherer) appendRest(dst []byte, c *claims) []byte {
	for slot := c.form.lead; slot < len(c.form.attributes); slot++ {
		if c.first[slot].f != nil {
			dst = c.form.attributes[slot].append(dst, g.value(c, slot), g.memo)
		}
	}
	return dst
}

// append prints a blank and the whole attribute with its word.
func (a *attribute) append(dst []byte, v *value, m *memo) []byte {
	start := len(dst)
	dst = append(dst, ' ')
	if a.say != nil {
		if dst = a.say(dst, v); len(dst) == start+1 {
			return dst[:start]
		}
		return dst
	}
	if a.word != "" && (a.alone == nil || !a.alone(v.text)) {
		dst = append(dst, a.word...)
		if a.shape == flagShape {
			return dst
		}
		dst = append(dst, ' ')
	}
	return a.shape.print(dst, a, v, m)
}

// appendTokens prints the words of a line as they are, with single blanks.
func (s source) appendTokens(dst []byte) []byte {
	for i, t := range s.f.lineTokens(&s.f.lines[s.line]) {
		if i > 0 && dst[len(dst)-1] != ',' {
			dst = append(dst, ' ')
		}
		dst = append(dst, s.f.tokenText(t)...)
		if t.marks&comma != 0 {
			dst = append(dst, ',')
		}
	}
	return dst
}
