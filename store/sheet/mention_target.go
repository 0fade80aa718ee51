package sheet

import (
	"strings"

	"golang.org/x/text/unicode/norm"

	"netlore/query/diag"
	"netlore/store/board"
)

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
	if x.Role == "" && kind == board.AnyTarget {
		x.place = isTarget
	}
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
		dot, ok := pinDot(text[p.name.Start:p.name.End])
		if !ok {
			return true
		}
		dot += p.name.Start
		p.pin = diag.Range{Start: dot + 1, End: p.name.End}
		p.name.End = dot
	}
	part := x
	part.Sort, part.place, x.place = PartSort, beforePin, isPin
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
		dot, ok := pinDot(name)
		if !ok {
			continue
		}
		part, pin := x, x
		part.Sort, pin.Of = PartSort, name[:dot]
		if !m.one(name[:dot], at, part) || !m.one(name[dot+1:], at, pin) {
			return false
		}
	}
	return true
}

// pinDot finds the dot that parts a part from its pin. It reports false if
// either would have no name, whatever the name is said to be.
func pinDot(s string) (int, bool) {
	dot := strings.LastIndexByte(s, '.')
	return dot, dot > 0 && dot < len(s)-1
}
