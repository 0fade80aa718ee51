package sheet

import (
	"bytes"
	"slices"

	"netlore/store/board"
)

// A set is lines about one thing that are printed as one.
type set struct {
	lines  []source
	claims claims
	text   string // as printed
	full   bool   // no more goes into it
}

// maxSet bounds the lines of a set that differ, and with it the time it takes
// to put them together.
const maxSet = 4096

// divide divides lines about one thing into sets, so that the lines of a set
// do not contradict each other and the line printed does not become too long.
// Lines are taken in the order of their canonical text, so that their order in
// the files does not matter; print prints a set.
//
// More than maxSets lines that contradict each other are no slip of anybody:
// then no lines are joined, since looking for what fits would take for ever.
func (g *gatherer) divide(lines []source, form func(s source) *form, print func(dst []byte, lines []source) []byte) [][]source {
	kept := g.joined(distinct(lines, form, print), print)
	if len(kept) > maxSets {
		kept = distinct(lines, form, print)
	}
	sortSets(kept)
	divided := make([][]source, len(kept))
	for i, k := range kept {
		divided[i] = k.lines
	}
	return divided
}

// maxSets is how many lines about one thing may contradict each other.
const maxSets = 1000

// joined puts each set into the first that it does not contradict. It gives up
// when there are more than maxSets.
func (g *gatherer) joined(sets []*set, print func(dst []byte, lines []source) []byte) (kept []*set) {
	for _, s := range sets {
		if len(kept) > maxSets {
			break
		}
		if !slices.ContainsFunc(kept, func(k *set) bool { return g.join(k, s, print) }) {
			kept = append(kept, s)
		}
	}
	return kept
}

// distinct makes a set of the lines of each canonical text.
func distinct(lines []source, form func(s source) *form, print func(dst []byte, lines []source) []byte) []*set {
	byText := map[string]*set{}
	var all []*set
	for _, s := range lines {
		text := string(print(nil, []source{s}))
		known := byText[text]
		if known == nil {
			known = &set{text: text}
			known.claims.collect(form(s), []source{s})
			byText[text] = known
			all = append(all, known)
		}
		known.lines = append(known.lines, s)
	}
	sortSets(all)
	return all
}

func sortSets(sets []*set) {
	slices.SortFunc(sets, func(a, b *set) int { return board.CompareNatural(a.text, b.text) })
}

// join puts the lines of s into k, if that can be.
func (g *gatherer) join(k, s *set, print func(dst []byte, lines []source) []byte) bool {
	if k.full || k.claims.form != s.claims.form || !g.agree(&k.claims, &s.claims) {
		return false
	}
	joined := append(slices.Clip(k.lines), s.lines...)
	text := print(nil, joined)
	if k.full = len(text)+len(memberIndent) > MaxLine || len(joined) > maxSet && len(s.lines) == 1; k.full {
		return false
	}
	k.lines, k.text = joined, string(text)
	k.claims.add(s.lines[0])
	return true
}

// agree reports whether two sets of claims do not contradict each other. Lists
// add up.
func (g *gatherer) agree(c, d *claims) bool {
	for _, slot := range d.slots {
		if first := c.first[slot]; first.f != nil && g.differ(c.form, first, d.first[slot]) {
			return false
		}
		for _, before := range c.slots {
			if before != slot && c.apart(slot, before) {
				return false
			}
		}
	}
	return true
}

// differ reports whether two lines say different things in one attribute.
func (g *gatherer) differ(f *form, x, y said) bool {
	a := &f.attributes[x.slot]
	return !a.many && !a.names && !g.sameText(a, x, y)
}

// A clash is two lines that cannot both hold.
type clash struct {
	first, second said
}

// clashes finds the attributes of which the claims differ, and those that
// exclude each other.
func (g *gatherer) clashes(c *claims) []clash {
	var all []clash
	for _, x := range c.more {
		if first := c.first[x.slot]; g.differ(c.form, first, x) {
			all = append(all, clash{first, x})
		}
	}
	for i, slot := range c.slots {
		for _, before := range c.slots[:i] {
			if c.apart(slot, before) {
				all = append(all, clash{c.first[before], c.first[slot]})
			}
		}
	}
	return all
}

// apart reports whether two attributes exclude each other.
func (c *claims) apart(a, b uint8) bool {
	group := c.form.attributes[a].apart
	return group > 0 && group == c.form.attributes[b].apart
}

// sameText reports whether an attribute has one canonical text in two lines.
func (g *gatherer) sameText(a *attribute, x, y said) bool {
	one := a.shape.print(nil, a, g.read(x.f, x.l, x.at), g.memo)
	two := a.shape.print(nil, a, g.read(y.f, y.l, y.at), g.memo)
	return bytes.Equal(one, two)
}

// A statement is lines that are printed as the first line of one, and the
// blocks of which the first line is among them.
type statement struct {
	lines  []source
	blocks []*block
}

// commented lists the lines whose comments belong to the statement: of a range,
// the first one has them.
func (s *statement) commented() []source {
	if len(s.blocks) == 1 && s.blocks[0].row == 0 {
		return s.lines
	}
	var lines []source
	for _, l := range s.lines {
		if !slices.ContainsFunc(s.blocks, func(b *block) bool { return b.row > 0 && b.source() == l }) {
			lines = append(lines, l)
		}
	}
	return lines
}

// statements divides the blocks of one thing into statements. What it returns
// holds until the next call.
func (g *gatherer) statements(group []*block) []statement {
	lines := g.heads(group)
	if len(lines) == 1 {
		g.single[0] = statement{lines, group}
		return g.single[:]
	}
	f := g.forms[group[0].form]
	sets := g.divide(lines, func(source) *form { return f }, func(dst []byte, lines []source) []byte {
		return g.appendHead(dst, group[0], lines)
	})
	at := make(map[source]*block, len(group))
	for _, b := range group {
		at[b.source()] = b
	}
	all := make([]statement, len(sets))
	for i, lines := range sets {
		all[i].lines = lines
		for _, s := range lines {
			if b := at[s]; b != nil {
				all[i].blocks = append(all[i].blocks, b)
			}
		}
	}
	return all
}

// heads are the lines that say what is printed on the first line of blocks.
// They hold until the next call.
func (g *gatherer) heads(blocks []*block) []source {
	g.lines = g.lines[:0]
	for _, b := range blocks {
		g.lines = append(g.lines, b.source())
		if b.form != formBoard {
			continue
		}
		for i := b.head + 1; i < b.last; i++ {
			if b.f.lines[i].form == formBoardMore && b.f.lines[i].state == memberLine {
				g.lines = append(g.lines, source{b.f, i})
			}
		}
	}
	return g.lines
}
