package sheet

import (
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

// onBoard reports whether statements of a kind are about a board.
func onBoard(id formID) bool {
	return formOutline <= id && id <= formBranch || formVia <= id && id <= formTrack
}

// A Subject is what a file says it is about. Neither Board nor Stack is set if
// it does not say.
type Subject struct {
	Board board.Ref
	Stack string
}

// Known reports whether the file says what it is about.
func (s Subject) Known() bool { return s != Subject{} }

// Subject returns the first subject that the file names.
func (f *File) Subject() Subject {
	s, _ := f.subject()
	return s
}

// subject returns the first subject and its line.
func (f *File) subject() (Subject, *line) {
	g := newGatherer(len(f.text))
	for i := range f.lines {
		l := &f.lines[i]
		if l.state != statementLine || l.form != formBoard && l.form != formStack {
			continue
		}
		b := block{f: f, head: int32(i), last: int32(f.blockEnd(i)), form: l.form}
		name := strings.Clone(g.decode(&b, 0).text)
		if l.form == formStack {
			return Subject{Stack: name}, l
		}
		return Subject{Board: board.Ref{Name: name, Revision: g.revision(&b)}}, l
	}
	return Subject{}, nil
}

func (g *gatherer) revision(b *block) string {
	g.claims.collect(formOf(formBoard), g.heads([]*block{b}))
	if g.claims.first[1].f == nil {
		return ""
	}
	return strings.Clone(g.value(&g.claims, 1).text)
}

// BySubject divides files into those about one subject each, in the order in
// which the subjects come up. A board without revision is the one of that name
// whose revision is known, if there is only one. Files that name no subject are
// one group, unless there is only one other, to which they then belong.
func BySubject(files ...*File) [][]*File {
	var subjects []Subject
	for _, f := range files {
		subjects = append(subjects, f.Subject())
	}
	var order []Subject
	groups := map[Subject][]*File{}
	for i, f := range files {
		s := complete(subjects[i], subjects)
		if _, ok := groups[s]; !ok {
			order = append(order, s)
		}
		groups[s] = append(groups[s], f)
	}
	var all [][]*File
	for _, s := range order {
		all = append(all, groups[s])
	}
	return all
}

// complete completes a subject that says less than one, and only one, of the
// others.
func complete(s Subject, others []Subject) Subject {
	if s.Stack != "" || s.Board.Revision != "" {
		return s
	}
	found := s
	for _, o := range others {
		if o == s || !o.Known() || s.Known() && (o.Board.Name != s.Board.Name || o.Board.Revision == "") {
			continue
		}
		if found != s && found != o {
			return s
		}
		found = o
	}
	return found
}

// subject complains if the files have more than one.
func (r *reader) subject() {
	var first *block
	for _, b := range r.sorted {
		if b.form != formBoard && b.form != formStack {
			break
		}
		if first == nil {
			first = b
		}
		if b.form != first.form || b.name != first.name {
			r.add(b.f.about(b.line(), b.f.words(b.line()), diag.Diagnostic{Code: "S303",
				Message: "these files are about " + first.title() + " and about " + b.title() + "; files that are read as one have one subject",
				Help:    []string{"read them apart, or split the file"},
				Related: []diag.Related{first.f.related(first.line(), first.f.words(first.line()), "the other subject")}}))
		}
	}
	r.kinds[formBoard] = first != nil && first.form == formBoard
	r.kinds[formStack] = first != nil && first.form == formStack
	r.first = first
}

// belongs reports whether a statement is about the subject of the files.
// Otherwise it has complained, once for each kind.
func (r *reader) belongs(b *block) bool {
	switch {
	case b.form == formBoard || b.form == formStack:
		return b.form == r.first.form && b.name == r.first.name
	case r.kinds[formStack] && onBoard(b.form):
		r.strays(b, "belongs to a board, but these files are about "+r.first.title(), "put it into a file with the board's line at its top")
		return false
	case r.kinds[formBoard] && b.form == formJoin:
		r.strays(b, "belongs to a stack, but these files are about "+r.first.title(), "put it into a file with the stack's line at its top")
		return false
	}
	return true
}

func (r *reader) strays(b *block, message, help string) {
	if r.kinds[b.form] {
		return
	}
	r.kinds[b.form] = true
	r.add(b.f.about(b.line(), b.f.words(b.line()), diag.Diagnostic{Code: "S304", Message: formOf(b.form).title + " " + message, Help: []string{help},
		Related: []diag.Related{r.first.f.related(r.first.line(), r.first.f.words(r.first.line()), "the subject")}}))
}

// readBoard reads the line that names the board.
func (r *reader) readBoard(group []*block) {
	r.bu.Board().Name = r.bu.Intern(group[0].name)
	r.take()
}

// readOutline reads the edge of the board, of which there is one.
func (r *reader) readOutline(group []*block) {
	if r.outline == nil {
		r.outline = group[0]
		r.s.outline = &r.bu.Board().Outline
		r.take()
		return
	}
	b, first := group[0], r.outline
	r.add(b.f.about(b.line(), b.f.words(b.line()), diag.Diagnostic{Code: "S305", Message: "the board has two different outlines",
		Help:    []string{"take out the one that is wrong"},
		Related: []diag.Related{first.f.related(first.line(), first.f.words(first.line()), "the other outline")}}))
}

// theStack is the stack being read.
func (r *reader) theStack() *board.Stack {
	if r.content.Stack == nil {
		r.content.Stack = &board.Stack{}
	}
	return r.content.Stack
}

func (r *reader) readStack(group []*block) {
	r.s.stack = r.theStack()
	r.s.stack.Name = r.bu.Intern(group[0].name)
	r.take()
	board1 := r.s.ref
	r.members(group, func(rows []row) {
		m := board.Member{Role: r.bu.Intern(rows[0].name)}
		r.s.ref = &m.Board
		r.take()
		r.s.stack.Members = append(r.s.stack.Members, m)
	})
	r.s.ref = board1
}

func (r *reader) readJoin(group []*block) {
	var j board.Join
	r.s.join = &j
	r.take()
	j.A, j.B = r.end(group[0].name), r.end(group[0].second)
	stack := r.theStack()
	stack.Joins = append(stack.Joins, j)
}

func (r *reader) end(text string) board.JoinEnd {
	p := splitPlace(text)
	return board.JoinEnd{Role: r.bu.Intern(p.role), Pad: r.bu.Intern(p.name)}
}

// members calls do with the rows about each member of a group, when their
// claims are collected and their contradictions complained of.
func (r *reader) members(group []*block, do func(rows []row)) {
	rows := r.rows(group)
	for i := 0; i < len(rows); {
		n := i + 1
		for n < len(rows) && sameRow(&rows[i], &rows[n]) {
			n++
		}
		f := formOf(rows[i].form)
		if f.id == formPin || f.id == formRole {
			r.claims.collect(f, rowSources(rows[i:n]))
			r.contradictions(func() string {
				return rowTitle(&rows[i]) + " of " + group[0].title()
			})
		}
		do(rows[i:n])
		i = n
	}
}

// rowTitle names a member for messages: "pin 1", "role upper".
func rowTitle(r *row) string {
	if r.form == formRole {
		return "role " + r.name
	}
	return "pin " + r.name
}

func rowSources(rows []row) []source {
	return slices.Collect(func(yield func(source) bool) {
		for i := range rows {
			if !rows[i].extra && !yield(rows[i].source) {
				return
			}
		}
	})
}
