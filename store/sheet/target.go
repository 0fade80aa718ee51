package sheet

import (
	"slices"
	"strings"

	"netlore/store/board"
)

// A place is a token that names something by its parts: ROLE:NAME.PIN, of
// which only the name must be there. Each part may be in quotation marks.
type place struct {
	role, name, pin string
	bareName        bool   // name is not in quotation marks
	fault           string // why it is none
}

// splitPlace reads ROLE:NAME.PIN. A name without quotation marks keeps its
// dots: only the one who knows the board can tell a pin from a name with a dot.
func splitPlace(s string) (p place) {
	head, quoted, rest := cutPart(s)
	if strings.HasPrefix(rest, ":") {
		p.role = head
		if head == "" {
			p.fault = "the board before the colon is missing"
		} else if !quoted && !board.BareName(head) {
			p.fault = "the name before the colon needs quotation marks"
		}
		head, quoted, rest = cutPart(rest[1:])
	}
	if rest != "" && !quoted { // the dot before a pin in quotation marks
		if name, ok := strings.CutSuffix(head, "."); ok {
			head, rest = name, "."+rest
		}
	}
	p.name, p.bareName = head, !quoted
	switch {
	case p.name == "":
		p.fault = "the name is missing"
	case rest == "":
	case p.bareName && strings.HasSuffix(head, "."):
		p.fault = "a name that ends in a dot needs quotation marks before its pin"
	case rest[0] == '.':
		var quotedPin bool
		p.pin, quotedPin, rest = cutPart(rest[1:])
		if p.pin == "" || rest != "" || !quotedPin && !board.BareName(p.pin) {
			p.fault = "the pin after the dot cannot be read"
		}
	case rest[0] == ':':
		p.fault = "it has two colons, and one board stands before a name at most"
	default:
		p.fault = "a quotation mark stands inside a word"
	}
	return p
}

// cutPart takes a quoted part off the front of s, or what there is up to a
// colon or a quotation mark.
func cutPart(s string) (part string, isQuoted bool, rest string) {
	if strings.HasPrefix(s, `"`) {
		if end := closing(s, 0); end > 0 {
			return unescape(s[1:end], escaped), true, s[end+1:]
		}
	}
	if i := strings.IndexAny(s, `:"`); i >= 0 {
		return s[:i], false, s[i:]
	}
	return s, false, ""
}

// target makes what a token names out of its kind word and itself.
func (p place) target(kind board.TargetKind) board.Target {
	t := board.Target{Kind: kind, Role: p.role, Name: p.name, Pin: p.pin}
	if kind == board.OnPin && t.Pin == "" {
		if i := strings.LastIndexByte(t.Name, '.'); i > 0 {
			t.Name, t.Pin = t.Name[:i], t.Name[i+1:]
		}
	}
	if kind == board.AnyTarget && t.Pin != "" {
		t.Kind = board.OnPin
	}
	return t
}

// readTarget reads [kind] [ROLE:]NAME[.PIN].
func readTarget(c *cursor, a *attribute, v *value) *problem {
	t, kind, ok := c.takeTarget()
	if !ok {
		return c.missing(a)
	}
	target, p := c.target(t, kind)
	if p == nil {
		v.targets = append(v.targets, target)
	}
	return p
}

// takeTarget takes the word that may stand before a target, and the target.
func (c *cursor) takeTarget() (token, board.TargetKind, bool) {
	kind := board.AnyTarget
	if t, ok := c.peek(); ok && t.marks&(quoted|comma) == 0 {
		if k, isKind := board.TargetKindByWord(c.f.tokenText(t)); isKind {
			kind = k
			c.i++
		}
	}
	t, ok := c.take()
	return t, kind, ok
}

func (c *cursor) target(t token, kind board.TargetKind) (board.Target, *problem) {
	text := c.f.inNFC(t)
	p := splitPlace(text)
	if p.fault == "" && p.bareName && !nameOf(p.name, t.marks) {
		p.fault = p.needsQuotes()
	}
	if _, reserved := board.TargetKindByWord(text); reserved && kind == board.AnyTarget {
		p.fault = "a thing that is called " + text + " needs quotation marks"
	}
	if p.fault != "" {
		return board.Target{}, c.fault(t, "S212", diagQuote(text)+" names nothing: "+p.fault, "a name is written NAME, NAME.PIN or ROLE:NAME")
	}
	target := p.target(kind)
	return target, c.checkPin(t, kind, target)
}

// checkPin complains of a target that has a pin where the word before it says
// that there is none, or the other way round.
func (c *cursor) checkPin(t token, kind board.TargetKind, target board.Target) *problem {
	switch {
	case (kind == board.OnPart || kind == board.OnNet || kind > board.OnPin) && target.Pin != "":
		return c.fault(t, "S212", "a pin follows the name, but the word before it says "+kind.String(), "write pin before it, or nothing")
	case target.Kind == board.OnPin && target.Pin == "":
		return c.fault(t, "S212", "after pin, "+diagQuote(c.f.inNFC(t))+" does not say which pin", "write PART.PIN, as in C12.1")
	}
	return nil
}

// needsQuotes says what is wrong with a name that is not bare.
func (p place) needsQuotes() string {
	if strings.Contains(p.name, "..") {
		return "a range cannot stand here"
	}
	return "it holds a character that needs quotation marks"
}

// nameOf reports whether a bare name is one, given the marks of its token.
func nameOf(name string, marks mark) bool {
	if marks&(odd|mixed) == 0 {
		return name != "" && name[0] != '#'
	}
	return board.BareName(name)
}

// readTargets reads targets with commas between them. A name may be a range.
func readTargets(c *cursor, a *attribute, v *value) *problem {
	for {
		t, kind, ok := c.takeTarget()
		if !ok {
			return c.missing(a)
		}
		if p := c.targetRange(t, kind, v); p != nil {
			return p
		}
		if !c.listGoesOn() {
			return nil
		}
	}
}

// targetRange reads one target, or those of a range: lower:P11..P14.
func (c *cursor) targetRange(t token, kind board.TargetKind, v *value) *problem {
	p := splitPlace(c.f.inNFC(t))
	if p.fault != "" || !p.bareName || p.pin != "" || !isRange(p.name) {
		target, problem := c.target(t, kind)
		if problem == nil {
			v.targets = append(v.targets, target)
		}
		return problem
	}
	v.names = v.names[:0]
	if problem := c.expand(t, p.name, v); problem != nil {
		return problem
	}
	for _, name := range v.names {
		p.name = name
		v.targets = append(v.targets, p.target(kind))
	}
	return c.checkPin(t, kind, v.targets[len(v.targets)-1])
}

func appendTargets(dst []byte, targets []board.Target) []byte {
	for i := range targets {
		if i > 0 {
			dst = append(dst, ',')
		}
		dst = appendTarget(dst, &targets[i])
	}
	return dst
}

func appendTarget(dst []byte, t *board.Target) []byte {
	if t.Kind != board.AnyTarget {
		dst = append(append(dst, t.Kind.String()...), ' ')
	}
	if t.Role != "" {
		dst = append(appendName(dst, t.Role), ':')
	}
	if t.Pin != "" {
		dst = append(appendPartName(dst, t.Name), '.')
		return appendPinName(dst, t.Pin)
	}
	if _, reserved := board.TargetKindByWord(t.Name); reserved && t.Kind == board.AnyTarget && t.Role == "" {
		return appendQuoted(dst, t.Name)
	}
	return appendName(dst, t.Name)
}

// appendPartName prints a part before its pin: one that ends in a dot is quoted,
// since it would make two dots with the one that parts them.
func appendPartName(dst []byte, part string) []byte {
	if strings.HasSuffix(part, ".") {
		return appendQuoted(dst, part)
	}
	return appendName(dst, part)
}

// appendPinName prints a pin after its part: one with a dot is quoted, since
// the last dot is what parts the two.
func appendPinName(dst []byte, pin string) []byte {
	if strings.Contains(pin, ".") {
		return appendQuoted(dst, pin)
	}
	return appendName(dst, pin)
}

// readEnd reads one end of a join, ROLE:PAD. The pad may be a range.
func readEnd(c *cursor, a *attribute, v *value) *problem {
	t, ok := c.take()
	if !ok {
		return c.missing(a)
	}
	text := c.f.inNFC(t)
	p := splitPlace(text)
	switch {
	case p.fault != "":
	case p.role == "" || p.pin != "":
		p.fault = "it does not say which board"
	case p.bareName && !isRange(p.name) && !board.BareName(p.name):
		p.fault = p.needsQuotes()
	}
	if p.fault != "" {
		return c.fault(t, "S212", diagQuote(text)+" is no end of a join: "+p.fault, "write ROLE:PAD, as in upper:P11")
	}
	v.text = p.role
	v.names = v.names[:0]
	if !p.bareName {
		v.names = append(v.names, p.name)
		return nil
	}
	return c.expand(t, p.name, v)
}

// sortTargets puts targets into natural order of their text, and drops
// repeats: a list of targets is a set.
func sortTargets(targets *[]board.Target) {
	if len(*targets) < 2 {
		return
	}
	slices.SortFunc(*targets, compareTargets)
	*targets = slices.Compact(*targets)
}

func compareTargets(a, b board.Target) int {
	if c := board.CompareNatural(a.Role, b.Role); c != 0 {
		return c
	}
	if c := board.CompareNatural(a.Name, b.Name); c != 0 {
		return c
	}
	if c := board.CompareNatural(a.Pin, b.Pin); c != 0 {
		return c
	}
	return int(a.Kind) - int(b.Kind)
}
