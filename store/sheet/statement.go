package sheet

import "netlore/query/diag"

// A Statement is one statement of a file, for those who show what is in it.
type Statement struct {
	Kind string // net, expect
	// Title is its name, or what it is about: "VMAIN", "diode VMAIN".
	Title string
	At    diag.Range // where the title stands; where its kind does if it has none
	// Whole is from the start of its first line to the end of its last member.
	Whole   diag.Range
	Members []Member
}

// A Member is an indented line of a statement.
type Member struct {
	Title string     // "C12", "pad P11", "3 tape"
	At    diag.Range // where the title stands
	Whole diag.Range // all words of the line
}

// Statements lists the statements of the file that could be read, in the order
// of its lines.
func (f *File) Statements() []Statement {
	all := make([]Statement, 0, f.countStatements())
	f.cut(func(b block) {
		l := b.line()
		s := Statement{Kind: formOf(b.form).word, Whole: diag.Range{Start: int(l.start), End: int(l.end)}}
		s.Title, s.At = f.title(l, 1)
		for i := b.head + 1; i < b.last; i++ {
			if m := &f.lines[i]; m.state == memberLine {
				title, at := f.title(m, 0)
				s.Members = append(s.Members, Member{title, at, f.words(m)})
				s.Whole.End = int(m.end)
			}
		}
		all = append(all, s)
	})
	return all
}

// Has reports whether the file has a statement of a kind.
func (f *File) Has(kind string) bool {
	id, ok := kindByWord(kind)
	for i := range f.lines {
		if ok && f.lines[i].state == statementLine && f.lines[i].form == id {
			return true
		}
	}
	return false
}

// title is what stands first in a line, from one of its words on: what its
// form leads with, or without that the first attribute.
func (f *File) title(l *line, from int) (string, diag.Range) {
	form, toks := formOf(l.form), f.lineTokens(l)
	to := from + 1
	for _, at := range f.lineAttrs(l) {
		end := int(at.token-l.token) + int(at.tokens)
		if int(at.slot) < form.lead && form.attributes[at.slot].shape != pinsShape || end > from && to == from+1 && form.lead == 0 {
			to = max(to, end)
		}
	}
	if form.wordAt > 0 {
		to = max(to, form.wordAt+1)
	}
	if from >= len(toks) {
		from = 0
	}
	to = min(to, len(toks))
	last := toks[to-1]
	at := diag.Range{Start: int(toks[from].start), End: int(last.start) + int(last.size)}
	if to == from+1 {
		return f.plain(toks[from]), at
	}
	return f.text[at.Start:at.End], at
}
