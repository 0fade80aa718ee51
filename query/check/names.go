package check

import (
	"iter"
	"slices"
	"strings"

	"golang.org/x/text/unicode/norm"

	"netlore/query/value"
	"netlore/query/words"
	"netlore/store/board"
)

// lookup is one name as it was written: VMAIN, lower:VMAIN, VBAT*, P11..P14,
// "a name".
type lookup struct {
	role    string
	text    string // without role and quotes, in normal form C
	pattern *value.Pattern
	fold    bool            // case does not count
	list    []string        // the names of a range; else only text
	folded  map[string]bool // the names of a range without regard to case
}

// folding is the lookup without regard to case.
func (l lookup) folding() lookup {
	l.fold = true
	if len(l.list) > 1 {
		l.folded = make(map[string]bool, len(l.list))
		for _, name := range l.list {
			l.folded[folded(name)] = true
		}
	}
	return l
}

// folded is the same for names that strings.EqualFold calls equal.
func folded(name string) string { return strings.ToLower(strings.ToUpper(name)) }

// readName takes a name apart. It reports false for a range that is none.
func readName(written string) (lookup, bool) {
	l := lookup{text: written}
	if !strings.HasPrefix(written, `"`) {
		if role, rest, ok := strings.Cut(written, ":"); ok && role != "" && rest != "" {
			l.role, l.text = role, rest
		}
	}
	if strings.HasPrefix(l.text, `"`) {
		l.text, _ = board.Unquote(l.text)
		l.text = norm.NFC.String(l.text)
		l.list = []string{l.text}
		return l, true
	}
	l.text = norm.NFC.String(l.text)
	if strings.ContainsAny(l.text, "*?") {
		l.pattern, l.fold = value.NewPattern(l.text), true
		return l, true
	}
	list, err := expand(l.text)
	l.list = list
	return l, err == nil
}

// expand is board.ExpandRange, and U300.A4..A7 is four pins.
func expand(text string) ([]string, error) {
	from, to, found := strings.Cut(text, "..")
	if dot := strings.LastIndexByte(from, '.'); found && dot >= 0 && !strings.Contains(to, ".") {
		names, _, err := board.ExpandRange(from[dot+1:] + ".." + to)
		for i := range names {
			names[i] = from[:dot+1] + names[i]
		}
		return names, err
	}
	names, _, err := board.ExpandRange(text)
	return names, err
}

// Lookup tells how a name of a question finds things: among the names that begin
// with one of the prefixes, whatever the case of their letters, it finds no other
// than those that fit. It reports false for a name with a role, for one of which
// no beginning is known, and for what may be a piece that tracks leave.
func Lookup(written string) (prefixes []string, fits func(name string) bool, ok bool) {
	l, ok := readName(written)
	if !ok || l.role != "" || mayBePiece(l.text) {
		return nil, nil, false
	}
	if l.pattern == nil {
		return l.list, l.folding().fits, true
	}
	prefix := l.text[:strings.IndexAny(l.text, "*?")]
	return []string{prefix}, l.fits, prefix != ""
}

// PlainName is a name of a question without its quotes and role.
func PlainName(written string) string {
	l, _ := readName(written)
	return l.text
}

// find are the things of a noun in member i that the name stands for, by id in
// ascending order; for nouns without ids the result has any one number for each.
func (l lookup) find(s *Scope, i int, noun words.Noun) []int32 {
	m := s.Members[i]
	if l.role != "" && !strings.EqualFold(l.role, m.Role) {
		return nil
	}
	if !l.fold && l.pattern == nil {
		return l.exact(s, m, noun)
	}
	var ids []int32
	for id, name := range l.among(s, m, noun) {
		if l.fits(name) {
			ids = append(ids, id)
		}
	}
	return unique(ids)
}

// exact finds the names as they are written.
func (l lookup) exact(s *Scope, m Member, noun words.Noun) []int32 {
	var ids []int32
	for _, name := range l.list {
		ids = findExact(ids, s, m, noun, name)
	}
	return unique(ids)
}

func unique(ids []int32) []int32 {
	slices.Sort(ids)
	return slices.Compact(ids)
}

// findExact finds one thing by name and adds its id. The nouns without ids are
// few and short.
func findExact(ids []int32, s *Scope, m Member, noun words.Noun, name string) []int32 {
	b := m.Board
	switch noun {
	case words.Parts:
		return withKnown(ids, b.FindPart(name))
	case words.Nets:
		return withKnown(ids, b.FindNet(name))
	case words.Pads:
		return withKnown(ids, b.FindPad(name))
	case words.Covers:
		return withKnown(ids, b.FindCover(name))
	case words.Pins:
		return withKnown(ids, findPin(b, name))
	}
	for id, n := range (lookup{text: name}).among(s, m, noun) {
		if n == name {
			ids = append(ids, id)
		}
	}
	return ids
}

// among gives the names to look among.
func (l lookup) among(s *Scope, m Member, noun words.Noun) iter.Seq2[int32, string] {
	if noun == words.Branches && !mayBePiece(l.text) {
		return named(len(m.Board.Branches), func(i int) string { return m.Board.Branches[i].Name })
	}
	return namesOf(s, m, noun)
}

func withKnown[ID ~int32](ids []int32, id ID) []int32 {
	if id == board.None {
		return ids
	}
	return append(ids, int32(id))
}

// findPin finds U300.A4. Part and pin names may have dots of their own.
func findPin(b *board.Board, name string) board.PinID {
	for i := len(name) - 1; i > 0; i-- {
		if name[i] != '.' {
			continue
		}
		if p := b.FindPart(name[:i]); p != board.None {
			if pin := b.FindPin(p, name[i+1:]); pin != board.None {
				return pin
			}
		}
	}
	return board.None
}

// fits reports whether a name is one of those looked for.
func (l lookup) fits(name string) bool {
	if l.pattern != nil {
		return l.pattern.Fits(name)
	}
	if l.folded != nil {
		return l.folded[folded(name)]
	}
	return strings.EqualFold(l.list[0], name)
}
