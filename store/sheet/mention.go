package sheet

import (
	"iter"
	"sort"
	"strings"

	"golang.org/x/text/unicode/norm"

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
}

// Teller tells what a target is that does not say so itself. It returns
// board.AnyTarget if nothing has the name.
type Teller func(t board.Target) board.TargetKind

// TellerOf tells targets by the boards they can be on. Its argument returns
// the board in a role, the role "" being the board that a sheet is about; nil
// if that board is not known.
func TellerOf(boards func(role string) *board.Board) Teller {
	return func(t board.Target) board.TargetKind {
		if b := boards(t.Role); b != nil {
			if found := resolve(b, t); len(found.kinds) > 0 {
				return found.kinds[0]
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
		if !m.attribute(f.attributes[at.slot].shape) {
			return false
		}
	}
	return true
}

// declares reports whether a line of the form is about what it leads with.
func (f *form) declares() bool {
	return f.named && (f.id <= formJob || f.id == formRole || f.id == formPin)
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

// pieces are where the parts of ROLE:NAME.PIN stand in a token; a part that is
// not there is empty.
type pieces struct {
	role, name, pin diag.Range
	bare            bool // the name is not in quotation marks
}

// cutPieces finds the parts as splitPlace reads them.
func cutPieces(s string) (p pieces) {
	_, quoted, rest := cutPart(s)
	start := 0
	if strings.HasPrefix(rest, ":") {
		p.role = diag.Range{End: len(s) - len(rest)}
		start = len(s) - len(rest) + 1
		_, quoted, rest = cutPart(s[start:])
	}
	end := len(s) - len(rest)
	if rest != "" && !quoted && strings.HasSuffix(s[:end], ".") {
		end--
	}
	p.name, p.bare = diag.Range{Start: start, End: end}, !quoted
	if end < len(s) {
		p.pin = diag.Range{Start: end + 1, End: len(s)}
	}
	return p
}

// named is what a piece of a token names.
func named(s string) string {
	if len(s) > 1 && s[0] == '"' {
		s = unescape(s[1:len(s)-1], escaped)
	}
	return norm.NFC.String(s)
}

// end yields an end of a join.
func (m *mentioner) end(t token) bool {
	text := m.f.tokenText(t)
	p := cutPieces(text)
	x := m.base
	x.Role = named(text[p.role.Start:p.role.End])
	return m.role(t, x.Role, p) && m.place(t, p, x)
}

// role yields the role before a name, if there is one.
func (m *mentioner) role(t token, role string, p pieces) bool {
	return role == "" || m.one(role, span(t, p.role.Start, p.role.End), Mention{Sort: RoleSort})
}

// place yields the name in a token, or those of a range.
func (m *mentioner) place(t token, p pieces, x Mention) bool {
	text, at := m.f.tokenText(t)[p.name.Start:p.name.End], span(t, p.name.Start, p.name.End)
	if p.bare && isRange(text) {
		return m.each(norm.NFC.String(text), at, x)
	}
	return m.one(named(text), at, x)
}

// targets yields what targets name.
func (m *mentioner) targets() bool {
	c := cursor{f: m.f, l: m.l, toks: m.toks}
	for c.i < len(c.toks) {
		t, kind, ok := c.takeTarget()
		if ok && !m.target(t, kind) {
			return false
		}
	}
	return true
}

// targetSorts are the sorts of the kinds of targets.
var targetSorts = [...]Sort{board.OnBoard: BoardSort, board.OnPart: PartSort, board.OnPin: PinSort, board.OnNet: NetSort,
	board.OnPad: PadSort, board.OnCover: CoverSort, board.OnBranch: BranchSort}

func (m *mentioner) target(t token, kind board.TargetKind) bool {
	text := m.f.tokenText(t)
	p := cutPieces(text)
	target := splitPlace(m.f.inNFC(t)).target(kind)
	if target.Role != "" && !m.role(t, target.Role, p) {
		return false
	}
	if target.Kind == board.AnyTarget {
		if first, _, _ := board.ExpandRange(target.Name); p.bare && isRange(target.Name) && len(first) > 0 {
			target.Name = first[0]
		}
		if target.Kind = m.tell(target); target.Kind == board.AnyTarget {
			return true
		}
	}
	x := m.base
	x.Role, x.Sort = target.Role, targetSorts[target.Kind]
	if target.Kind == board.OnPin {
		return m.pin(t, p, x)
	}
	return m.place(t, p, x)
}

// pin yields a part and its pin.
func (m *mentioner) pin(t token, p pieces, x Mention) bool {
	text := m.f.tokenText(t)
	if p.bare && p.pin.End == 0 && isRange(text) {
		return m.pinRange(t, p, x)
	}
	if p.pin.End == 0 {
		dot := strings.LastIndexByte(text[p.name.Start:p.name.End], '.') + p.name.Start
		if dot <= p.name.Start {
			return true
		}
		p.pin = diag.Range{Start: dot + 1, End: p.name.End}
		p.name.End = dot
	}
	part := x
	part.Sort = PartSort
	x.Of = named(text[p.name.Start:p.name.End])
	if !m.one(x.Of, span(t, p.name.Start, p.name.End), part) {
		return false
	}
	return m.one(named(text[p.pin.Start:p.pin.End]), span(t, p.pin.Start, p.pin.End), x)
}

// pinRange yields the pins of a range such as U3.4..U3.7, and their part.
func (m *mentioner) pinRange(t token, p pieces, x Mention) bool {
	names, _, err := board.ExpandRange(norm.NFC.String(m.f.tokenText(t)[p.name.Start:p.name.End]))
	if err != nil {
		return true
	}
	at := span(t, p.name.Start, p.name.End)
	x.Range = true
	for _, name := range names {
		dot := max(strings.LastIndexByte(name, '.'), 0)
		part, pin := x, x
		part.Sort, pin.Of = PartSort, name[:dot]
		if !m.one(name[:dot], at, part) || !m.one(strings.TrimPrefix(name[dot:], "."), at, pin) {
			return false
		}
	}
	return true
}
