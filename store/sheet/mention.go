package sheet

import (
	"iter"
	"sort"

	"netlore/query/diag"
	"netlore/store/board"
)

// A Mention is one place where a sheet names something.
type Mention struct {
	Sort Sort
	Name string
	Of   string // of a pin: the part
	Role string // in a sheet about a stack: the role of the board that has it
	// At is where the name stands, its quotation marks included.
	At diag.Range
	// Declares says that the statement, or the member, is about this thing.
	Declares bool
	// Structure says that naming it makes it known (R8.6). Readings and notes
	// only speak of things.
	Structure bool
	// Range says that the name is one of those that a range stands for.
	Range bool

	place placing
}

// A placing says what of its place a name must be in quotation marks for.
type placing uint8

const (
	leadsMember placing = iota + 1 // the word pad would be read as such
	leadsOver                      // so would nothing
	isTarget                       // so would the kind of a target
	beforePin                      // a dot at its end would be read as the one that parts the two
	isPin                          // so would a dot in it
)

// Teller tells what a target is that does not say so itself. It returns
// board.AnyTarget if nothing has the name.
type Teller func(t board.Target) board.TargetKind

// TellerOf tells targets by the boards they can be on. Its argument returns
// the board in a role, the role "" being the board that a sheet is about; nil
// if that board is not known.
func TellerOf(boards func(role string) *board.Board) Teller {
	return func(t board.Target) board.TargetKind {
		if b := boards(t.Role); b != nil {
			if found := b.Find(t); len(found.Kinds) > 0 {
				return found.Kinds[0]
			}
		}
		return board.AnyTarget
	}
}

// Mentions lists all names in the lines of the file that could be read, in
// their order. Targets that tell does not know are left out.
func (f *File) Mentions(tell Teller) iter.Seq[Mention] {
	return func(yield func(Mention) bool) {
		m := mentioner{f: f, tell: tell, yield: yield}
		for i := range f.lines {
			if !m.line(i) {
				return
			}
		}
	}
}

// MentionAt returns what is named at a byte offset of the file: of a range, its
// first name. It reports false if no name stands there.
func (f *File) MentionAt(offset int, tell Teller) (found Mention, ok bool) {
	i := sort.Search(len(f.lines), func(i int) bool { return int(f.lines[i].end) >= offset })
	if i == len(f.lines) {
		return found, false
	}
	m := mentioner{f: f, tell: tell, yield: func(m Mention) bool {
		if m.At.Start <= offset && offset <= m.At.End {
			found, ok = m, true
		}
		return !ok
	}}
	m.head = f.headOf(i)
	m.line(i)
	return found, ok
}

// headOf returns the line of the statement that a line belongs to.
func (f *File) headOf(i int) int {
	for i > 0 && f.lines[i].state != statementLine {
		i--
	}
	return i
}

// A mentioner walks over lines and yields the names in them.
type mentioner struct {
	f     *File
	tell  Teller
	yield func(Mention) bool
	head  int // the line of the statement at hand
	l     *line
	toks  []token // of the attribute at hand
	base  Mention // what all names of the attribute have in common
}

// line yields the names of one line; false if enough has been yielded.
func (m *mentioner) line(i int) bool {
	m.l = &m.f.lines[i]
	if m.l.state == statementLine {
		m.head = i
	} else if m.l.state != memberLine {
		return true
	}
	f := formOf(m.l.form)
	for _, at := range m.f.lineAttrs(m.l) {
		sort := sortsOf()[m.l.form][at.slot]
		if sort == NoSort {
			continue
		}
		m.toks = m.f.tokens[at.token : at.token+uint32(at.tokens)]
		m.base = Mention{Sort: sort, Declares: at.slot == 0 && f.declares(), Structure: m.l.form < formExpect || m.l.form > formJob && m.l.form < formStep}
		if sort == PinSort {
			m.base.Of = m.partOf()
		}
		if m.l.state == memberLine && at.slot == 0 {
			m.base.place = leadsMember
		}
		if !m.attribute(f.attributes[at.slot].shape) {
			return false
		}
	}
	return true
}

// declares reports whether a line of the form is about what it leads with.
func (f *form) declares() bool {
	return f.named && (f.id <= formJob || f.id == formMeter || f.id == formRole || f.id == formPin)
}

// partOf is the part whose pins the line names.
func (m *mentioner) partOf() string {
	if m.l.form == formPin {
		return m.f.nameIn(m.f.tokens[m.f.lines[m.head].token+1])
	}
	return m.f.nameIn(m.f.tokens[m.l.token])
}

func (m *mentioner) attribute(s *shape) bool {
	switch s {
	case endShape:
		return m.end(m.toks[0])
	case targetShape, targetsShape:
		return m.targets()
	case overShape:
		if t := m.toks[0]; t.marks == 0 && m.f.tokenText(t) == "nothing" {
			return true
		}
		m.base.place = leadsOver
	}
	for _, t := range m.toks {
		if !m.nameOrRange(t, s == rangeShape || s == pinsShape) {
			return false
		}
	}
	return true
}

// nameOrRange yields what a token names, which may be several things.
func (m *mentioner) nameOrRange(t token, ranges bool) bool {
	if ranges && t.marks&(quoted|odd) == odd && isRange(m.f.tokenText(t)) {
		return m.each(m.f.inNFC(t), span(t, 0, int(t.size)), m.base)
	}
	return m.one(m.f.nameIn(t), span(t, 0, int(t.size)), m.base)
}

// one yields a name.
func (m *mentioner) one(name string, at diag.Range, x Mention) bool {
	x.Name, x.At = name, at
	return m.yield(x)
}

// each yields the names that a range stands for.
func (m *mentioner) each(text string, at diag.Range, x Mention) bool {
	names, isRange, err := board.ExpandRange(text)
	if err != nil {
		return true
	}
	x.Range = isRange
	for _, name := range names {
		if !m.one(name, at, x) {
			return false
		}
	}
	return true
}

// span is bytes from to to of a token, in the file.
func span(t token, from, to int) diag.Range {
	return diag.Range{Start: int(t.start) + from, End: int(t.start) + to}
}
