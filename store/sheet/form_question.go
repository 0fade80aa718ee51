package sheet

import (
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

var questionForm = form{word: "question", title: "a saved question", lead: 1, named: true,
	doc:     "a question kept under a name, to be asked again or as a part of others; it is about no board",
	example: `question suspectcaps $rail $size "capacitors on $rail with value at least $size"`,
	attributes: []attribute{nameOfIt("the name of the question"),
		{shape: parametersShape, label: "the parameters, each with a $", noun: "list of parameters",
			set: func(s *subject, v *value) { s.question.Parameters = parametersOf(s.keep(v.text)) },
			get: func(s *subject, v *value) bool {
				v.text = ""
				for _, p := range s.question.Parameters {
					v.text += " $" + p
				}
				v.text = strings.TrimPrefix(v.text, " ")
				return v.text != ""
			}},
		called("question", textAttribute(func(s *subject) *string { return &s.question.Text }, "the question in quotation marks", true))},
	check: checkSavedName}

// parametersShape is words of $ and a name, with blanks between them. Their
// order counts, so they are one text and no set of names.
var parametersShape = &shape{read: readParameters, print: printParameters, want: "parameters such as $rail $size", bare: bareParameter, same: sameParameters}

// parametersOf takes the names out of such a text.
func parametersOf(text string) []string {
	names := strings.Fields(text)
	for i, name := range names {
		names[i] = name[1:]
	}
	return names
}

func readParameters(c *cursor, a *attribute, v *value) *problem {
	for first := c.i; ; {
		t, ok := c.peek()
		if !ok || t.marks&quoted != 0 || c.f.tokenText(t)[0] != '$' {
			return nil
		}
		name, before := c.f.tokenText(t)[1:], parametersOf(v.text)
		switch {
		case !board.SavedName(name) || t.marks&comma != 0:
			return c.fault(t, "S220", diag.Quote("$"+name)+" is no parameter; it is $ and a name in small letters, with a blank behind it", "write $rail $size")
		case slices.Contains(before, name):
			return c.fault(t, "S220", "the parameter $"+name+" stands twice in this line", "leave one of them out")
		}
		if v.text += " "; c.i == first {
			v.text = ""
		}
		v.text += "$" + name
		c.i++
	}
}

func printParameters(dst []byte, a *attribute, v *value, m *memo) []byte {
	return append(dst, v.text...)
}

func sameParameters(*memo, *File, []token) bool { return true }

// checkSavedName checks that a question can ask for the name like for a noun.
func checkSavedName(c *cursor) *problem {
	t := c.toks[1]
	name := c.f.nameIn(t)
	if board.SavedName(name) {
		return nil
	}
	p := c.fault(t, "S220", diag.Quote(name)+" is no name of a saved question; it is a small letter, then small letters, digits, - and _")
	if low := strings.ToLower(name); board.SavedName(low) {
		p.Help = []string{"write " + low}
		p.Edits = []diag.Edit{{Range: p.Range, New: low}}
	}
	return p
}

func (r *reader) readQuestion(group []*block) {
	q := board.SavedQuestion{Name: r.bu.Intern(group[0].name)}
	r.s.question = &q
	r.take()
	r.content.Knowledge.Questions = append(r.content.Knowledge.Questions, q)
}

// A Question is a saved question and where it stands in a file.
type Question struct {
	board.SavedQuestion
	file *File
	line *line
	text token
}

// Questions are the saved questions of the file that could be read, in the
// order of its lines.
func (f *File) Questions() []Question {
	var all []Question
	f.cut(func(b block) {
		if b.form != formQuestion {
			return
		}
		q := Question{file: f, line: b.line()}
		g := newGatherer(0)
		q.Name = strings.Clone(g.decode(&b, 0).text)
		q.Parameters = parametersOf(strings.Clone(g.decode(&b, 1).text))
		q.Text = strings.Clone(g.decode(&b, 2).text)
		at, _ := b.attribute(2)
		q.text = f.tokens[at.token]
		all = append(all, q)
	})
	return all
}

// OnlyShared reports whether the file holds saved questions, meters and chances,
// which are about no board, and nothing else.
func (f *File) OnlyShared() bool {
	n := 0
	for i := range f.lines {
		switch {
		case f.lines[i].state == statementLine && f.lines[i].form >= formQuestion:
			n++
		case f.lines[i].state == statementLine || f.lines[i].state >= keptLine:
			return false
		}
	}
	return n > 0
}

// Place gives a complaint about the question, whose range counts in its text,
// the place in the file. Edits count in the file, too.
func (q Question) Place(d diag.Diagnostic) diag.Diagnostic {
	if d.Line == 0 && d.Range == (diag.Range{}) && d.Message != "" { // it is about no place in the text
		return q.file.about(q.line, q.NameAt(), d)
	}
	for i := range d.Edits {
		e := &d.Edits[i]
		e.Range = q.InFile(e.Range)
		quoted := appendQuoted(nil, e.New)
		e.New = string(quoted[1 : len(quoted)-1])
	}
	return q.file.about(q.line, q.InFile(d.Range), d)
}

// InFile is where a part of the text stands in the file: behind the quotation
// mark, and behind the backslashes before it.
func (q Question) InFile(at diag.Range) diag.Range {
	written := q.file.tokenText(q.text)
	place := func(want int) int {
		i := 1 // after the quotation mark
		for n := 0; n < want && i < len(written)-1; n++ {
			if written[i] == '\\' {
				i++
			}
			i++
		}
		return int(q.text.start) + i
	}
	return diag.Range{Start: place(at.Start), End: max(place(at.End), place(at.Start))}
}

// InText is which byte of the text stands at a byte of the file. It reports
// false outside the quotation marks.
func (q Question) InText(offset int) (int, bool) {
	written, at := q.file.tokenText(q.text), offset-int(q.text.start)
	if at < 1 || at >= len(written) {
		return 0, false
	}
	n := 0
	for i := 1; i < at; i++ {
		if written[i] == '\\' && i+1 < at {
			i++
		}
		n++
	}
	return n, true
}

// NameAt is where the name stands in the file.
func (q Question) NameAt() diag.Range {
	t := q.file.tokens[q.line.token+1]
	return span(t, 0, int(t.size))
}

// QuestionAt is the saved question in whose text a byte of a sheet stands, and
// which byte of the text that is. Only the line is read, so the places of the
// question count in it; start is where it begins. The closing quotation mark may
// not be typed yet.
func QuestionAt(text string, offset int) (q Question, at, start int, ok bool) {
	offset = max(0, min(offset, len(text)))
	start = strings.LastIndexByte(text[:offset], '\n') + 1
	line, _, _ := strings.Cut(text[start:], "\n")
	line = strings.TrimSuffix(line, "\r")
	if !strings.HasPrefix(line, questionForm.word+" ") || len(line) > MaxLine {
		return q, 0, start, false
	}
	for _, whole := range []string{line, line + `"`} {
		f, _ := Parse("", []byte(whole))
		for _, q := range f.Questions() {
			if at, inside := q.InText(offset - start); inside {
				return q, at, start, true
			}
		}
	}
	return q, 0, start, false
}
