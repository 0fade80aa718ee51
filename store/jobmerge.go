package store

import (
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
	"netlore/store/sheet"
)

// withJobs adds to additions on boards and stacks one for each job that stands
// in their sheets. Its statements come from all of these sheets: the sheet of a
// board and that of its stack may tell of one job.
func withJobs(additions []Addition) []Addition {
	all := slices.Clone(additions)
	at := map[string]int{}
	for _, a := range additions {
		for _, f := range a.Files {
			if a.Subject.Shared() || !f.Has("job") {
				continue
			}
			for _, b := range f.Blocks() {
				if b.Kind != "job" {
					continue
				}
				i, ok := at[b.Key]
				if !ok {
					i, at[b.Key] = len(all), len(all)
					all = append(all, Addition{Subject: jobOfKey(b.Key), Author: a.Author, Licence: a.Licence, Mode: a.Mode, Made: a.Made})
				}
				job := &all[i]
				job.statements = append(job.statements, statement{b, a.source(f, b.Line), a.Subject})
				if !slices.Contains(job.Files, f) {
					job.Files = append(job.Files, f)
				}
			}
		}
	}
	return all
}

// jobOfKey is the subject of statements of a key: "job 1042".
func jobOfKey(key string) Subject {
	return JobSubject(board.PlainName(strings.TrimPrefix(key, "job ")))
}

// said is by what a statement is known to be held: on a job, the sheets on two
// boards may say the same.
func (s *statement) said() string {
	if s.home == (Subject{}) {
		return s.Text
	}
	return s.Text + "\x00" + s.home.String()
}

func (s *statement) homes() []Subject {
	if s.home == (Subject{}) {
		return nil
	}
	return []Subject{s.home}
}

func (h *held) said() []string {
	if h.homes == nil {
		return []string{h.text}
	}
	all := make([]string, len(h.homes))
	for i, home := range h.homes {
		all[i] = h.text + "\x00" + home
	}
	return all
}

// collectJob takes the statements on a job, and finds the boards and stacks in
// whose sheets nothing says what the job is of.
func (m *merge) collectJob() {
	m.stated = m.add.statements
	m.silent = map[string]bool{}
	key := m.add.Subject.String() + " of "
	hear := func(home, text string) {
		silent, known := m.silent[home]
		m.silent[home] = (silent || !known) && !strings.HasPrefix(text, key)
	}
	for _, h := range m.older {
		for _, e := range h.entries {
			for _, home := range e.homes {
				hear(home, e.text)
			}
		}
	}
	for _, s := range m.stated {
		hear(s.home.String(), s.Text)
	}
	if len(m.silent) == 1 {
		m.silent = nil
	}
}

// worded is the text of a statement as it is read together with the others. One
// on a job that does not say what the job is of is about the board of its sheet;
// where there are sheets on several, it must say so, or the jobs of one number
// on two boards would be taken for one.
func (m *merge) worded(text string, homes []string) string {
	for _, home := range homes {
		if m.silent[home] {
			key := m.add.Subject.String()
			_, name, _ := strings.Cut(home, " ")
			if subject := subjectOfText(home); subject.Ref.Revision != "" || name != board.QuoteName(subject.Ref.Name) {
				name = board.QuoteName(subject.Ref.String())
			}
			return key + " of " + name + strings.TrimPrefix(text, key)
		}
	}
	return text
}

// otherDevice reports whether the new statements are of another device than the
// held ones, and from the sheet of another board. To correct one job by that of
// another would make one story of two.
func (m *merge) otherDevice(older, newer *sheet.Content) bool {
	if !m.add.Subject.Job || len(older.Knowledge.Jobs) == 0 || len(newer.Knowledge.Jobs) == 0 {
		return false
	}
	was, is := older.Knowledge.Jobs[0].Of, newer.Knowledge.Jobs[0].Of
	return was != is && !slices.ContainsFunc(m.stated, func(s statement) bool {
		return slices.ContainsFunc(m.older, func(h heldSheet) bool {
			return slices.ContainsFunc(h.entries, func(e held) bool { return slices.Contains(e.homes, s.home.String()) })
		})
	})
}

// hintNumber tells how to keep two devices apart that have jobs of one number.
func hintNumber(list diag.List) bool {
	i := slices.IndexFunc(list, func(d diag.Diagnostic) bool { return strings.Contains(d.Message, " differ in the device: ") })
	if i >= 0 {
		list[i].Help = []string{"a number is one device: give one of the two jobs another number"}
	}
	return i >= 0
}

// homes are the boards and stacks in whose sheets the job will stand.
func (m *merge) homes() []Subject {
	if !m.add.Subject.Job {
		return nil
	}
	var all []Subject
	for _, h := range m.older {
		for _, e := range h.entries {
			if m.gone[e.id] {
				continue
			}
			for _, home := range e.homes {
				addUp(&all, []Subject{subjectOfText(home)})
			}
		}
	}
	for _, s := range m.stated {
		addUp(&all, s.homes())
	}
	for i := range m.change.entries {
		addUp(&all, m.change.entries[i].Homes)
	}
	slices.SortFunc(all, func(x, y Subject) int { return strings.Compare(x.String(), y.String()) })
	return all
}

// subjectOfText reads "board Heron-A rev 3" or "stack Heron".
func subjectOfText(text string) Subject {
	file, _ := sheet.Parse("the knowledge base", []byte("netlore 1\n"+text+"\n"))
	s := file.Subject()
	if s.Stack != "" {
		return StackSubject(s.Stack)
	}
	return BoardSubject(s.Board)
}

// ownJobs are the jobs that statements of the board or stack itself tell of: in
// a base of an earlier layout, or where the number of a job was taken by
// another one already when the jobs were moved to subjects of their own.
func (m *merge) ownJobs(jobs []board.Job) []board.Job {
	return slices.DeleteFunc(jobs, func(j board.Job) bool {
		own := JobSubject(j.ID).String()
		for _, h := range m.older {
			if slices.ContainsFunc(h.entries, func(e held) bool { return names(e.text, own) && !m.gone[e.id] }) {
				return false
			}
		}
		return true
	})
}
