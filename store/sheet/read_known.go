package sheet

import (
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

func (r *reader) readExpected(group []*block) {
	var e board.Expected
	r.s.expected = &e
	r.take()
	r.content.Knowledge.Expected = append(r.content.Knowledge.Expected, e)
}

func (r *reader) readReading(group []*block) {
	var x board.Reading
	r.s.reading = &x
	r.take()
	r.content.Knowledge.Readings = append(r.content.Knowledge.Readings, x)
}

func (r *reader) readNote(group []*block) {
	var n board.Note
	r.s.note = &n
	r.take()
	r.content.Knowledge.Notes = append(r.content.Knowledge.Notes, n)
}

func (r *reader) readLink(group []*block) {
	var l board.Link
	r.s.link = &l
	r.take()
	b := group[0]
	first := r.keepOne(b, 0)
	second := r.keepOne(b, 1)
	if string(appendTarget(nil, &first)) != b.name {
		first, second = second, first
	}
	l.A, l.B = first, second
	r.content.Knowledge.Links = append(r.content.Knowledge.Links, l)
}

func (r *reader) keepOne(b *block, slot int) board.Target {
	return r.s.keepTarget(r.decode(b, slot).targets[0])
}

func (r *reader) readJob(group []*block) {
	j := board.Job{ID: r.bu.Intern(group[0].name)}
	r.s.job = &j
	r.take()
	r.members(group, func(rows []row) { j.Steps = append(j.Steps, r.step(group[0], rows)) })
	r.content.Knowledge.Jobs = append(r.content.Knowledge.Jobs, j)
}

// step makes one step of the rows with its number. It complains if they
// differ.
func (r *reader) step(job *block, rows []row) board.Step {
	text := r.stepText(&rows[0])
	for i := range rows[1:] {
		row := &rows[1+i]
		if r.stepText(row) == text {
			continue
		}
		first := &rows[0]
		l, m := &row.f.lines[row.line], &first.f.lines[first.line]
		r.add(row.f.about(l, row.f.words(l), diag.Diagnostic{Code: "S306",
			Message: job.title() + " has two different steps of one number",
			Help:    []string{"number one of them anew"},
			Related: []diag.Related{first.f.related(m, first.f.words(m), "the other one")}}))
	}
	return r.doneIn(&rows[0], text)
}

// doneIn takes apart what a step says.
func (r *reader) doneIn(row *row, text string) board.Step {
	f := formOf(row.form)
	step := board.Step{Number: row.number, Text: text}
	step.Kind, _ = board.StepKindByWord(f.word)
	r.s.step = &step
	r.claims.collect(f, []source{row.source})
	r.take()
	return step
}

// stepText is the canonical text of a step after its number.
func (r *reader) stepText(row *row) string {
	line := string(r.appendMemberLine(nil, []source{row.source}))
	_, text, _ := strings.Cut(line, " ")
	return text
}
