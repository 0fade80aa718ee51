package sheet

import (
	"cmp"
	"slices"

	"netlore/store/board"
)

// A row is one indented line of a statement, or one of those that a range or
// an over list stands for.
type row struct {
	source
	lead   int32 // the first of the comments and unread lines above that belong to it
	form   formID
	name   string
	number int  // of a step
	extra  bool // not the first of its line: the comments are not its own
}

// rows lists the indented lines of blocks in canonical order.
func (g *gatherer) rows(blocks []*block) []row {
	g.rowRoom = g.rowRoom[:0]
	for _, b := range blocks {
		if b.row > 0 {
			continue
		}
		if b.form == formCover {
			g.overRows(b)
		}
		g.blockRows(b)
	}
	if !slices.IsSortedFunc(g.rowRoom, compareRows) {
		slices.SortStableFunc(g.rowRoom, compareRows)
	}
	return g.rowRoom
}

func compareRows(a, b row) int {
	if c := cmp.Compare(a.number, b.number); c != 0 || a.number > 0 {
		return c
	}
	if a.form != b.form {
		return int(a.form) - int(b.form)
	}
	return board.CompareNatural(a.name, b.name)
}

func (g *gatherer) blockRows(b *block) {
	lead := b.head + 1
	for i := b.head + 1; i < b.last; i++ {
		l := &b.f.lines[i]
		if l.state != memberLine {
			continue
		}
		r := row{source: source{b.f, i}, lead: lead, form: l.form}
		lead = i + 1
		if l.form == formBoardMore {
			continue
		}
		if t := b.f.tokens[l.token]; t.marks == 0 && g.forms[l.form].named {
			r.name = b.f.tokenText(t) // by far the most, so without more ado
			g.rowRoom = append(g.rowRoom, r)
			continue
		}
		g.addRow(r, g.read(b.f, l, b.f.attrs[l.attr]))
	}
}

// addRow adds a row, or the rows of a range, by the value that it leads with.
func (g *gatherer) addRow(r row, v *value) {
	switch {
	case r.form >= formStep:
		r.number = int(v.number)
		g.rowRoom = append(g.rowRoom, r)
	case formOf(r.form).named:
		r.name = v.text
		g.rowRoom = append(g.rowRoom, r)
	default:
		for _, name := range v.names {
			r.name = name
			g.rowRoom = append(g.rowRoom, r)
			r.extra = true
		}
	}
}

// overRows adds the parts that a cover lists on its own line.
func (g *gatherer) overRows(b *block) {
	for _, at := range b.f.lineAttrs(b.line()) {
		if formOf(formCover).attributes[at.slot].shape != overShape {
			continue
		}
		for _, name := range g.read(b.f, b.line(), at).names {
			g.rowRoom = append(g.rowRoom, row{source: source{b.f, b.head}, form: formCoverPart, name: name, extra: true})
		}
	}
}

// sameRow reports whether two rows are about one member.
func sameRow(a, b *row) bool {
	return a.number == b.number && a.name == b.name && (a.form == b.form || a.number > 0)
}

// appendRow prints rows about one member, each line with two blanks before it
// and its end after it. Rows that contradict each other stay apart.
func (g *gatherer) appendRow(dst []byte, rows []row) []byte {
	if len(rows) == 1 && !rows[0].extra {
		if text, ok := g.asIs(rows[0].f, &rows[0].f.lines[rows[0].line]); ok {
			return append(append(append(dst, memberIndent...), text...), '\n')
		}
	}
	switch form := rows[0].form; form {
	case formCoverPart:
		return append(appendMember(append(dst, "  "...), rows[0].name), '\n')
	case formCoverPad, formBranchPad:
		return append(appendName(append(dst, "  pad "...), rows[0].name), '\n')
	case formNetPart, formBranchPart:
		return g.appendPins(dst, rows)
	}
	for _, sources := range g.agreeing(rows) {
		dst = append(g.appendMemberLine(append(dst, "  "...), sources), '\n')
	}
	return dst
}

// appendMember prints the name of a part that leads an indented line, where
// the word pad would be read as such.
func appendMember(dst []byte, name string) []byte {
	if name == "pad" {
		return appendQuoted(dst, name)
	}
	return appendName(dst, name)
}

// appendPins prints a part with the pins that all rows list.
func (g *gatherer) appendPins(dst []byte, rows []row) []byte {
	g.pins = g.pins[:0]
	for i := range rows {
		l := &rows[i].f.lines[rows[i].line]
		g.pins = append(g.pins, g.read(rows[i].f, l, rows[i].f.attrs[l.attr+1]).names...)
	}
	sortNames(&g.pins)
	return appendPinLines(dst, rows[0].name, g.pins)
}

// appendPinLines prints a part with its pins, on as many lines as it takes.
func appendPinLines(dst []byte, part string, pins []string) []byte {
	start := len(dst)
	dst = appendMember(append(dst, "  "...), part)
	head := len(dst)
	for _, pin := range pins {
		before := len(dst)
		if dst = appendName(append(dst, ' '), pin); len(dst)-start > MaxLine && before > head {
			start = before + 1
			dst = appendMember(append(dst[:before], "\n  "...), part)
			head = len(dst)
			dst = appendName(append(dst, ' '), pin)
		}
	}
	return append(dst, '\n')
}

// appendMemberLine prints a member that has attributes: a pin, a role, a step.
func (g *gatherer) appendMemberLine(dst []byte, sources []source) []byte {
	start := len(dst)
	f := formOf(sources[0].f.lines[sources[0].line].form)
	g.claims.collect(f, sources)
	for slot := range f.lead {
		if slot > 0 {
			dst = append(dst, ' ')
		}
		if slot == f.wordAt {
			dst = append(append(dst, f.word...), ' ')
		}
		if g.claims.first[slot].f == nil {
			dst = dst[:len(dst)-1]
			continue
		}
		a := &f.attributes[slot]
		dst = a.shape.print(dst, a, g.value(&g.claims, slot), g.memo)
	}
	if f.wordAt == f.lead {
		dst = append(append(dst, ' '), f.word...)
	}
	dst = g.appendRest(dst, &g.claims)
	if len(dst)-start+2 > MaxLine && len(sources) == 1 {
		return sources[0].appendTokens(dst[:start])
	}
	return dst
}

// agreeing divides rows into sets of lines that do not contradict each other.
func (g *gatherer) agreeing(rows []row) [][]source {
	sources := make([]source, len(rows))
	for i := range rows {
		sources[i] = rows[i].source
	}
	if len(sources) == 1 {
		return [][]source{sources}
	}
	return g.divide(sources, func(s source) *form { return g.forms[s.f.lines[s.line].form] }, g.appendMemberLine)
}
