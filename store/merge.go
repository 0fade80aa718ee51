package store

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/store/sheet"
)

// merge puts new statements of one subject to those that the base holds.
type merge struct {
	change      *change
	add         Addition
	older       []heldSheet
	own         *sheet.File // names the subject, if nothing else does
	stated      []statement // the new statements
	texts       map[string]bool
	gone        map[ID]bool     // held entries that will not hold any more
	corrections listing         // of a change that corrects
	picked      listing         // the new saved questions, meters or chances, or statements on a job, out of the files
	silent      map[string]bool // of a job: sheets on what, none of which says what the job is of
}

// statement is a new one and where it stands.
type statement struct {
	sheet.Block
	source string
	home   Subject // of a job's: what the sheet is about that it stands in
}

func newMerge(c *change, a Addition, older []heldBatch) *merge {
	m := &merge{change: c, add: a, texts: map[string]bool{}, gone: map[ID]bool{}, corrections: newListing("\x00corrections"), picked: newListing("\x00picked")}
	for i := range older {
		m.older = append(m.older, heldSheet{older[i], newListing(fmt.Sprintf("\x00held %d", i))})
	}
	return m
}

var eventKinds = map[Mode]EventKind{Union: Added, Correct: Corrected, Replace: Replaced}

func (m *merge) run(ctx context.Context) error {
	m.collect()
	if err := ctx.Err(); err != nil {
		return err
	}
	m.change.event.Kind = eventKinds[m.add.Mode]
	switch m.add.Mode {
	case Correct:
		if err := m.correct(); err != nil {
			return err
		}
	case Replace:
		m.withdraw()
		m.addNew()
	default:
		m.addNew()
	}
	m.change.event.Withdrawn = len(m.gone)
	return m.finish()
}

// collect takes the new statements out of the files, and sees to it that one
// statement names the subject.
func (m *merge) collect() {
	named := m.add.Subject.Shared() || m.add.Subject.Job
	own := m.add.Subject.String()
	for _, h := range m.older {
		for _, e := range h.entries {
			for _, said := range e.said() {
				m.texts[said] = true
			}
			named = named || names(e.text, own)
		}
	}
	if m.add.Subject.Job {
		m.collectJob()
		return
	}
	for _, f := range m.add.Files {
		for _, b := range f.Blocks() {
			if !m.belongs(b) {
				continue
			}
			m.stated = append(m.stated, statement{Block: b, source: m.add.source(f, b.Line)})
			named = named || names(b.Text, own)
		}
	}
	if !named {
		m.own, _ = sheet.Parse("the name given", []byte("netlore 1\n"+own+"\n"))
		m.stated = append(m.stated, statement{Block: m.own.Blocks()[0]})
	}
}

// belongs reports whether a statement is kept with the subject. A sheet on a
// board can hold saved questions, meters, chances and jobs, too.
func (m *merge) belongs(b sheet.Block) bool {
	switch b.Kind {
	case "question":
		return m.add.Subject.Questions
	case "meter":
		return m.add.Subject.Meters
	case "chance":
		return m.add.Subject.Chances
	case "job":
		return false
	}
	return !m.add.Subject.Shared()
}

// made reports whether the lines of a file lead nowhere.
func (a *Addition) made(f *sheet.File) bool { return a.Made != nil && a.Made(f) }

// source is where a statement stands: "heron.lore:12", or the file alone.
func (a *Addition) source(f *sheet.File, line int) string {
	name := filepath.Base(f.Name())
	if a.made(f) {
		return name
	}
	return fmt.Sprintf("%s:%d", name, line)
}

// names reports whether a statement is the one of a subject.
func names(text, subject string) bool {
	return strings.HasPrefix(text, subject+" ") || strings.HasPrefix(text, subject+"\n")
}

// files are the new statements as they came.
func (m *merge) files() []*sheet.File {
	if m.add.Subject.Shared() || m.add.Subject.Job {
		m.picked = newListing(m.picked.name)
		for _, s := range m.stated {
			m.picked.add(m.worded(s.Text, []string{s.home.String()}), s.source)
		}
		return []*sheet.File{m.picked.file()}
	}
	if m.own == nil {
		return m.add.Files
	}
	return append(slices.Clone(m.add.Files), m.own)
}

// knowledge are the kinds of statement that Replace leaves alone.
var knowledge = []string{"expect", "reading", "note", "continuity", "job", "question", "meter", "chance"}

// withdraw retracts held statements of structure that are not among the new.
// The one that names the subject stays unless there is a new one.
func (m *merge) withdraw() {
	stated := map[string]bool{}
	stay := slices.Clone(knowledge)
	for _, s := range m.stated {
		stated[s.Text] = true
	}
	if !slices.ContainsFunc(m.stated, func(s statement) bool { return s.Kind == "board" || s.Kind == "stack" }) {
		stay = append(stay, "board", "stack")
	}
	var ids []ID
	for _, h := range m.older {
		for _, e := range h.entries {
			kind, _, _ := strings.Cut(e.text, " ")
			if !stated[e.text] && !slices.Contains(stay, kind) {
				ids = append(ids, e.id)
				m.gone[e.id] = true
			}
		}
	}
	for some := range slices.Chunk(ids, maxIDs) {
		m.change.entries = append(m.change.entries, Entry{Retracts: some})
	}
}

// addNew makes entries of the statements that are not held.
func (m *merge) addNew() {
	for _, s := range m.stated {
		if m.texts[s.said()] {
			m.change.event.Known++
			continue
		}
		m.texts[s.said()] = true
		m.change.event.New++
		m.change.entries = append(m.change.entries, Entry{Text: s.Text, Source: s.source, Homes: s.homes()})
	}
}

// finish reads everything that will hold, and complains about contradictions.
func (m *merge) finish() error {
	files := m.heldFiles()
	if m.add.Mode == Correct {
		files = append(files, m.entryFile())
	} else {
		files = append(files, m.files()...)
	}
	content, err := m.read(files)
	if err != nil {
		return err
	}
	if err := m.isAbout(content); err != nil {
		return err
	}
	m.see(content)
	return nil
}

// see makes the view of what will hold.
func (m *merge) see(content *sheet.Content) {
	v := newView(m.add.Subject, content)
	if v.job != nil {
		v.job.Homes = m.homes()
	}
	m.change.view, m.change.event.Hash = v, v.summary.Hash
}

// isAbout reports an error if the statements are about another revision than
// the one that they are to be added to.
func (m *merge) isAbout(c *sheet.Content) error {
	got := Subject{}
	switch {
	case m.add.Subject.Shared(), m.add.Subject.Job: // picked out one by one
		return nil
	case c.Board != nil:
		got.Ref = c.Board.Ref
	case c.Stack != nil:
		got = StackSubject(c.Stack.Name)
	}
	if got == m.add.Subject {
		return nil
	}
	return fmt.Errorf("what is to be added to %s is about %s", m.add.Subject, got)
}

// read reads sheets; complaints about held statements get the places that
// those came from.
func (m *merge) read(files []*sheet.File) (*sheet.Content, error) {
	content, list := sheet.Read(files...)
	if !list.HasErrors() {
		return m.tidy(content), nil
	}
	for i := range list {
		m.place(&list[i])
	}
	switch {
	case m.add.Subject.Job && hintNumber(list):
	case m.add.Mode == Union:
		hintCorrect(list)
	}
	return content, list.Sort()
}

// tidy takes off what is kept as subjects of their own.
func (m *merge) tidy(content *sheet.Content) *sheet.Content {
	if k := content.Knowledge; k != nil && !m.add.Subject.Shared() && !m.add.Subject.Job {
		k.Questions, k.Meters, k.Chances, k.Jobs = nil, nil, nil, m.ownJobs(k.Jobs)
	}
	return content
}

// hintCorrect tells how to let the new statement win.
func hintCorrect(list diag.List) {
	i := slices.IndexFunc(list, func(d diag.Diagnostic) bool { return d.Severity == diag.Error && len(d.Related) > 0 })
	if i >= 0 {
		list[i].Help = append(slices.Clone(list[i].Help), "if the new one is right: add it with --correct")
	}
}

// damage says that an error is not about what is new: the base's own entries
// contradict each other.
func damage(s Subject, err error) error {
	var list diag.List
	if errors.As(err, &list) {
		return errDamaged("the statements on %s contradict each other: %v", s, err)
	}
	return err
}
