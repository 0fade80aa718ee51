package sheet

import (
	"cmp"
	"slices"

	"netlore/query/diag"
	"netlore/store/board"
)

// Read makes the union of files about one subject. What is said twice is
// harmless, and lists add up; where statements contradict each other, the
// first one holds, and an error names both places. The order of files and of
// lines does not matter otherwise.
//
// Content is never nil, and holds what could be read even when there are
// complaints.
func Read(files ...*File) (*Content, diag.List) {
	r := &reader{gatherer: gather(files...), order: make(map[*File]int, len(files))}
	for i, f := range files {
		r.order[f] = i
	}
	r.subject()
	r.bu = board.NewBuilder(board.Ref{})
	r.bu.Grow(len(r.of(formPart)), len(r.of(formNet)), r.countMembers())
	r.s = subject{bu: r.bu, b: r.bu.Board(), keep: r.bu.Intern, ref: &r.bu.Board().Ref}
	r.content.Knowledge = &board.Knowledge{}
	r.groups(r.group)
	if r.hasBoard {
		r.content.Board = r.bu.Build()
	}
	return &r.content, r.list()
}

// A reader turns the statements of files into content.
type reader struct {
	*gatherer
	complaints
	order    map[*File]int // in which the files were given
	bu       *board.Builder
	s        subject
	content  Content
	hasBoard bool
	outline  *block // the first
	first    *block // the line that names the subject; nil if none does
	kinds    [lastStatement + 1]bool
}

// countMembers counts indented lines, which is about how many pins there are.
func (r *reader) countMembers() int {
	n := 0
	for i := range r.blocks {
		n += int(r.blocks[i].last - r.blocks[i].head - 1)
	}
	return n
}

// group reads the statements about one thing.
func (r *reader) group(group []*block) {
	b := group[0]
	if !r.belongs(b) {
		return
	}
	r.hasBoard = r.hasBoard || b.form == formBoard || onBoard(b.form)
	lines := r.heads(group)
	if b.key != nil && len(lines) > 1 {
		slices.SortStableFunc(lines, r.before)
	}
	r.claims.collect(formOf(b.form), lines)
	r.contradictions(b.title)
	readers[b.form](r, group)
}

// before is the order in which lines were given: of two that contradict each
// other the complaint is about the later one.
func (r *reader) before(a, b source) int {
	return cmp.Or(cmp.Compare(r.order[a.f], r.order[b.f]), cmp.Compare(a.line, b.line))
}

// readers are what reads each kind. The claims of the group are collected.
var readers = [...]func(r *reader, group []*block){
	formBoard:      (*reader).readBoard,
	formStack:      (*reader).readStack,
	formOutline:    (*reader).readOutline,
	formCover:      (*reader).readCover,
	formPart:       (*reader).readPart,
	formNet:        (*reader).readNet,
	formPad:        (*reader).readPad,
	formBranch:     (*reader).readBranch,
	formJoin:       (*reader).readJoin,
	formVia:        (*reader).readVia,
	formHole:       (*reader).readHole,
	formTrack:      (*reader).readTrack,
	formExpect:     (*reader).readExpected,
	formReading:    (*reader).readReading,
	formNote:       (*reader).readNote,
	formContinuity: (*reader).readLink,
	formJob:        (*reader).readJob,
	formQuestion:   (*reader).readQuestion,
	formMeter:      (*reader).readMeter,
	formChance:     (*reader).readChance,
}

// title names what a block is about, for messages: "net VMAIN".
func (b *block) title() string {
	f := formOf(b.form)
	switch {
	case f.named:
		return string(appendName([]byte(f.word+" "), b.name))
	case b.form == formJoin:
		return "the join of " + b.name + " and " + b.second
	}
	return "this " + f.word
}

// take puts all that is claimed into the subject.
func (r *reader) take() {
	for slot := range r.claims.form.attributes {
		if set := r.claims.form.attributes[slot].set; set != nil && r.claims.first[slot].f != nil {
			set(&r.s, r.value(&r.claims, slot))
		}
	}
}

// contradictions complains of whatever the claims contradict each other in.
func (r *reader) contradictions(title func() string) {
	c := &r.claims
	if len(c.more) == 0 && !c.form.aparts {
		return
	}
	for _, x := range r.clashes(c) {
		r.contradicts(title(), c.form, x)
	}
}

func (r *reader) contradicts(title string, f *form, x clash) {
	a, b := &f.attributes[x.first.slot], &f.attributes[x.second.slot]
	message := "two statements about " + title + " differ in the " + a.what() + ": " +
		x.second.text() + " here, " + x.first.text() + " elsewhere"
	if x.first.slot != x.second.slot {
		message = "two statements about " + title + " exclude each other: the " + b.what() + " " + x.second.text() + " here, the " +
			a.what() + " " + x.first.text() + " elsewhere"
	}
	r.add(x.second.f.about(x.second.l, x.second.span(), diag.Diagnostic{Code: "S301", Message: message,
		Help:    []string{"take out the one that is wrong"},
		Related: []diag.Related{x.first.f.related(x.first.l, x.first.span(), "said otherwise here")}}))
}

// span is where an attribute's value stands.
func (x said) span() diag.Range {
	toks := x.f.tokens[x.at.token : x.at.token+uint32(max(x.at.tokens, 1))]
	last := toks[len(toks)-1]
	return diag.Range{Start: int(toks[0].start), End: int(last.start) + int(last.size)}
}

func (x said) text() string { return x.f.text[x.span().Start:x.span().End] }

// number is the 1-based number of a line of the file.
func (f *File) number(l *line) int {
	i, _ := slices.BinarySearchFunc(f.lines, l.start, func(m line, start uint32) int { return int(m.start) - int(start) })
	return i + 1
}

// about fills in the place of a complaint.
func (f *File) about(l *line, at diag.Range, d diag.Diagnostic) diag.Diagnostic {
	d.Range = at
	return f.at(l, f.number(l), d)
}

func (f *File) related(l *line, at diag.Range, message string) diag.Related {
	d := f.about(l, at, diag.Diagnostic{})
	return diag.Related{File: d.File, Range: at, Line: d.Line, Column: d.Column, Excerpt: d.Excerpt, Before: d.Before, Message: message}
}

// words is where all words of a line stand.
func (f *File) words(l *line) diag.Range {
	toks := f.lineTokens(l)
	if len(toks) == 0 {
		return diag.Range{Start: int(l.start), End: int(l.end)}
	}
	last := toks[len(toks)-1]
	return diag.Range{Start: int(toks[0].start), End: int(last.start) + int(last.size)}
}
