package sheet

import (
	"fmt"
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

// A Slot is what can stand at a place of a sheet.
type Slot struct {
	// At is the word at the place, or of a list the item. It is what a
	// completion takes the place of.
	At diag.Range
	// Typed is what of the word stands before the place, quotation marks
	// included.
	Typed string
	Words []Suggestion
	// Names are the sorts of names that can stand here.
	Names []Sort
	// Place says that [ROLE:]NAME[.PIN] is written here.
	Place bool
	// RoleFirst says that the role must be written.
	RoleFirst bool
	Of        string // of pins: the part

	place placing
}

// Written is a name as it must be written here; pin says that it is the pin in
// [ROLE:]NAME[.PIN].
func (s *Slot) Written(name string, pin bool) string {
	p := s.place
	if pin && s.Place {
		p = isPin
	}
	if p.needsQuotes(name) {
		return string(appendQuoted(nil, name))
	}
	return name
}

// SlotAt tells what can stand at a byte offset of a sheet. Only the line of
// the offset is read, and those above it back to their statement.
func SlotAt(text string, offset int) Slot {
	offset = max(0, min(offset, len(text)))
	start := strings.LastIndexByte(text[:offset], '\n') + 1
	words, comment := cutWords(text, start, offset)
	if comment || offset-start > MaxLine {
		return Slot{At: diag.Range{Start: offset, End: offset}}
	}
	s := Slot{At: diag.Range{Start: offset, End: wordEnd(text, offset)}}
	head := offset
	if n := len(words); n > 0 && words[n-1].end == offset && !words[n-1].comma {
		s.At.Start, head = words[n-1].start, words[n-1].start
		words = words[:n-1]
	}
	// What stands before the place in a list belongs to the list.
	for n := len(words); n > 0 && words[n-1].comma; n-- {
		head = words[n-1].start
	}
	s.Typed = text[s.At.Start:offset]
	if len(words) == 0 && s.At.Start > start {
		s.place = leadsMember
	}
	if start == 0 && head == 0 {
		s.offer([]Suggestion{{fmt.Sprintf("%s %d", headWord, Major), "the first line of a sheet"}})
	}
	s.fill(text[:start], text[start:head], head < s.At.Start)
	return s
}

// A wordPlace is where a word of a line stands.
type wordPlace struct {
	start, end int
	comma      bool // a comma follows
}

// cutWords finds the words of a line up to an offset. A quotation mark that is
// not closed there goes on to it. It reports whether the offset is in a
// comment.
func cutWords(text string, start, offset int) (words []wordPlace, comment bool) {
	for i := start; i < offset; {
		if classes[text[i]] == blankByte {
			i++
			continue
		}
		if text[i] == '#' && (i == start || classes[text[i-1]] == blankByte) {
			return words, true
		}
		w := wordPlace{start: i}
		for i < offset && classes[text[i]] != blankByte && classes[text[i]] != commaByte {
			if text[i] == '"' {
				if i = closing(text[:offset], i); i < 0 {
					i = offset - 1
				}
			}
			i++
		}
		w.end, w.comma = i, i < offset && text[i] == ','
		if w.comma {
			i++
		}
		words = append(words, w)
	}
	return words, false
}

// wordEnd is where the word that an offset is in ends.
func wordEnd(text string, offset int) int {
	for offset < len(text) {
		switch classes[text[offset]] {
		case blankByte, commaByte, controlByte:
			return offset
		}
		offset++
	}
	return offset
}

// fill says what can follow the start of a line; inList, that it goes on with
// a list.
func (s *Slot) fill(above, head string, inList bool) {
	p := &parser{f: &File{text: head}, memo: newMemo(0)}
	p.f.lines = []line{{end: uint32(len(head))}}
	l := &p.f.lines[0]
	if !p.scan(l) {
		return
	}
	forms, choice := p.formsOf(l, above, isIndented(head))
	for _, f := range forms {
		if a, slot := p.wanted(l, f); a != nil {
			s.want(p, f, a, slot, above)
			inList = inList || !choice && !a.optional
		}
	}
	if !inList {
		s.offer(candidates(above, head))
	}
}

// offer adds the words that start with what is typed.
func (s *Slot) offer(words []Suggestion) {
	for _, w := range words {
		if strings.HasPrefix(w.Word, s.Typed) {
			s.Words = append(s.Words, w)
		}
	}
}

// formsOf lists the forms that a line with such a start can have, and reports
// whether the next word may be one that chooses among them.
func (p *parser) formsOf(l *line, above string, indented bool) (all []*form, choice bool) {
	toks := p.f.lineTokens(l)
	if !indented {
		if len(toks) > 0 && toks[0].marks == 0 {
			if id, ok := kindByWord(p.f.tokenText(toks[0])); ok {
				all = append(all, formOf(id))
			}
		}
		return all, false
	}
	p.above = formAbove(above)
	switch {
	case p.above == nil || len(p.above.members) == 0:
		return nil, false
	case len(toks) > p.above.memberWord:
		if f := p.memberForm(l); f != nil {
			all = append(all, f)
		}
		return all, false
	}
	for _, id := range p.above.members {
		if f := formOf(id); f.wordAt < 0 {
			all = append(all, f)
		}
	}
	return all, true
}

// wanted returns the attribute of a form whose value stands next after the
// words of a line; nil if any attribute can start there.
func (p *parser) wanted(l *line, f *form) (*attribute, int) {
	c := &p.cur
	*c = cursor{f: p.f, l: l, form: f, toks: p.f.lineTokens(l), memo: p.memo}
	for slot := 0; ; slot++ {
		if c.i == f.wordAt {
			c.i++
		}
		if slot == f.lead {
			break
		}
		if a := &f.attributes[slot]; p.awaits(c, a, slot) || a.shape == pinsShape {
			return a, slot
		}
	}
	for c.i < len(c.toks) {
		at := c.i
		slot, problem := c.slot()
		if problem == nil {
			if a := &f.attributes[slot]; a.shape != flagShape && p.awaits(c, a, slot) {
				return a, slot
			}
		}
		c.i = max(c.i, at+1)
	}
	return nil, 0
}

// awaits reports whether the words of the line end before the value of an
// attribute does.
func (p *parser) awaits(c *cursor, a *attribute, slot int) bool {
	return c.i >= len(c.toks) || p.read(c, a, slot) != nil && c.i >= len(c.toks)
}

// want says that the value of an attribute can stand here.
func (s *Slot) want(p *parser, f *form, a *attribute, slot int, above string) {
	s.offer(a.suggestions())
	sort := sortsOf()[f.id][slot]
	switch {
	case sort == NoSort:
		return
	case a.shape == endShape:
		s.RoleFirst, s.Place = true, true
	case sort == AnySort:
		s.wantTarget(p)
		return
	case sort == DeviceSort:
		s.Names = []Sort{BoardSort, StackSort}
		return
	case sort == PinSort:
		s.Of = p.partBefore(f, above)
	case a.shape == overShape:
		s.place = leadsOver
	}
	s.Names = append(s.Names, sort)
}

// wantTarget says that a target can stand here, of one kind only if the word
// for it is the last of the line.
func (s *Slot) wantTarget(p *parser) {
	s.Place = true
	if n := len(p.cur.toks); n > 0 {
		if kind, ok := board.TargetKindByWord(p.f.tokenText(p.cur.toks[n-1])); ok {
			s.Names = []Sort{targetSorts[kind]}
			if kind == board.OnPin {
				s.Names = []Sort{PartSort}
			}
			return
		}
	}
	s.Names, s.place = []Sort{NetSort, PadSort, PartSort, CoverSort, BranchSort}, isTarget
	for kind := board.OnBoard; kind <= board.OnBranch; kind++ {
		s.offer([]Suggestion{{kind.String(), "a " + kind.String() + " follows"}})
	}
}

// partBefore is the part whose pins can stand here.
func (p *parser) partBefore(f *form, above string) string {
	if f.id != formPin {
		return p.f.nameIn(p.cur.toks[0])
	}
	for above != "" {
		start := strings.LastIndexByte(strings.TrimSuffix(above, "\n"), '\n') + 1
		if line := above[start:]; strings.TrimSpace(line) != "" && !isIndented(line) && line[0] != '#' {
			if words, _ := cutWords(line, 0, len(strings.TrimRight(line, "\r\n"))); len(words) > 1 {
				return named(line[words[1].start:words[1].end])
			}
			return ""
		}
		above = above[:start]
	}
	return ""
}

// SplitTyped takes apart what somebody has typed of [ROLE:]NAME[.PIN]: the
// role, if its colon is there; the name, as it is written; and, if a dot is in
// that, the part and what is written of its pin.
func SplitTyped(typed string) (role, name, part, pin string) {
	head, _, rest := cutPart(typed)
	if strings.HasPrefix(rest, ":") {
		role = head
		typed = rest[1:]
		head, _, rest = cutPart(typed)
	}
	if strings.HasPrefix(rest, ".") {
		return role, typed, head, rest[1:]
	}
	if dot := strings.LastIndexByte(typed, '.'); dot > 0 && !strings.HasPrefix(typed, `"`) {
		return role, typed, typed[:dot], typed[dot+1:]
	}
	return role, typed, "", ""
}
