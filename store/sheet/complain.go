package sheet

import (
	"fmt"
	"slices"
	"strings"

	"netlore/query/diag"
)

// maxComplaints is how many complaints of one run are kept.
const maxComplaints = 100

// complaints are the first of them, and a count of the others.
type complaints struct {
	found   diag.List
	dropped int
	worst   bool // one of the dropped is an error
	byLine  bool // of a line, only the first of the dropped is counted
}

func (c *complaints) add(d diag.Diagnostic) {
	if !c.full() {
		c.found = append(c.found, d)
		return
	}
	c.dropped++
	c.worst = c.worst || d.Severity == diag.Error
}

// more says how many were not kept.
func (c *complaints) more() string {
	s := "s"
	if c.dropped == 1 {
		s = ""
	}
	if c.byLine {
		return fmt.Sprintf("complaints about %d more line%s", c.dropped, s)
	}
	return fmt.Sprintf("%d more complaint%s", c.dropped, s)
}

// full reports whether further complaints are only counted.
func (c *complaints) full() bool { return len(c.found) >= maxComplaints }

// list returns the complaints in order of place, the last one counting those
// that were not kept.
func (c *complaints) list() diag.List {
	l := c.found.Sort()
	if c.dropped == 0 {
		return l
	}
	severity := diag.Warning
	if c.worst {
		severity = diag.Error
	}
	return append(l, diag.Diagnostic{Code: "S114", Severity: severity, File: l[0].File,
		Message: "and " + c.more(),
		Help:    []string{"mend the first ones and try again; perhaps this is not a sheet"}})
}

// complain adds a complaint about a place in a line; its range counts in the
// file. In a file of a newer minor version, what is wrong with a statement may
// only be new.
func (p *parser) complain(l *line, d diag.Diagnostic) {
	if p.newer && (d.Code[1] == '2' || d.Code == "S113" || d.Code == "S112") {
		d.Severity = diag.Warning
	}
	another := p.bad
	p.bad = true
	switch {
	case !p.full():
		p.add(p.f.at(l, p.lineNumber(l), d))
	case another:
		p.worst = p.worst || d.Severity == diag.Error
	default:
		p.add(d)
	}
}

// lineNumber is the number of the line being read. The header is looked at
// before any line is in the tree.
func (p *parser) lineNumber(l *line) int { return max(len(p.f.lines), 1) }

// at fills in the place of a complaint.
func (f *File) at(l *line, number int, d diag.Diagnostic) diag.Diagnostic {
	d.File = f.name
	return d.InLine(number, f.lineText(l), d.Range.Start-int(l.start), d.Range.End-int(l.start))
}

// unknownKind complains of the first word of a statement.
func (p *parser) unknownKind(l *line, t token) {
	word := p.f.plain(t)
	if p.full() {
		p.complain(l, diag.Diagnostic{Code: "S113"})
		return
	}
	d := diag.Diagnostic{Code: "S113", Range: diag.Range{Start: int(t.start), End: int(t.start) + int(t.size)},
		Message: diag.Unexpected(word, "at the start of a line", "a kind of statement")}
	if t.marks&(quoted|mixed) == 0 {
		d.Help = p.kindHelp(l, word)
		d.Edits = editOf(d)
	}
	if len(d.Help) == 0 {
		d.Help = append(d.Help, "a statement starts with "+diag.OneOf(kindWords()...))
	}
	p.complain(l, d)
}

// unknownMember complains of an indented line of which the word that tells
// its form is not known.
func (p *parser) unknownMember(l *line, toks []token) {
	if p.full() {
		p.complain(l, diag.Diagnostic{Code: "S218"})
		return
	}
	var words []string
	for _, id := range p.above.members {
		words = append(words, formOf(id).word)
	}
	at := p.above.memberWord
	if first := p.f.tokenText(toks[0]); slices.Contains(words, first) {
		p.fault(l, int(toks[0].start), int(toks[0].start)+int(toks[0].size), "S202", "the number of the step is missing before "+first, "write the number, then what was done")
		return
	}
	if at >= len(toks) {
		last := toks[len(toks)-1]
		p.fault(l, int(last.start), int(last.start)+int(last.size), "S218", "this step does not say what was done", "a step is written as its number and then "+diag.OneOf(words...))
		return
	}
	t := toks[at]
	d := diag.Diagnostic{Code: "S218", Range: diag.Range{Start: int(t.start), End: int(t.start) + int(t.size)},
		Message: diag.Unexpected(p.f.plain(t), "after the number of a step", "what was done"),
		Help:    likelyWord(p.f.plain(t), words, otherWords)}
	if at+1 < len(toks) {
		if whole := p.f.plain(t) + "-" + p.f.plain(toks[at+1]); slices.Contains(words, whole) {
			d.Help = []string{"did you mean " + whole + "?"} // cover off
		}
	}
	if len(d.Help) == 0 {
		d.Help = []string{"a step is one of " + diag.OneOf(words...)}
	} else {
		d.Edits = editOf(d)
	}
	p.complain(l, d)
}

// suggest is the help for a word that may be a slip for one of words.
func suggest(word string, words []string) []string {
	words = slices.DeleteFunc(slices.Clone(words), func(w string) bool { return len(w) < 2 }) // anything is close to one letter
	close := diag.Closest(word, words)
	if len(close) == 0 {
		return nil
	}
	return []string{"did you mean " + diag.OneOf(close...) + "?"}
}

// editOf puts the first suggestion of a complaint in the place of what it
// complains of.
func editOf(d diag.Diagnostic) []diag.Edit {
	if len(d.Help) == 0 {
		return nil
	}
	word, ok := strings.CutPrefix(d.Help[0], "did you mean ")
	if !ok {
		return nil
	}
	word, _, _ = strings.Cut(strings.TrimSuffix(word, "?"), " or ")
	return []diag.Edit{{Range: d.Range, New: word}}
}
