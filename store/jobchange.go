package store

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"netlore/store/board"
	"netlore/store/sheet"
)

var (
	// ErrJobThere says that a number has a job already.
	ErrJobThere = errors.New("is a job already")
	// ErrJobClosed says that a closed job takes no steps.
	ErrJobClosed = errors.New("is closed")
	// ErrJobOpen says that a job is not closed.
	ErrJobOpen = errors.New("is not closed")
	// ErrNoStep says that a job has no step to take back.
	ErrNoStep = errors.New("has no steps")
)

// OpenJob opens a job on a board or stack and returns its number: the next free
// one if the job has none. What is private is kept in the same change.
func (b *Base) OpenJob(ctx context.Context, j board.Job, home Subject, private Private, author string) (string, error) {
	if author == "" {
		return "", errNoAuthor
	}
	b.changing.Lock()
	defer b.changing.Unlock()
	if j.ID == "" {
		var err error
		if j.ID, err = b.nextJob(); err != nil {
			return "", err
		}
	}
	c := &change{subject: JobSubject(j.ID)}
	older, err := b.load(c)
	switch {
	case err != nil:
		return "", err
	case len(older) > 0:
		return "", fmt.Errorf("job %s %w", j.ID, ErrJobThere)
	}
	text, err := jobText(j)
	if err != nil {
		return "", err
	}
	e := jobEdit{newMerge(c, Addition{Subject: c.subject}, older), &HeldJob{j, []Subject{home}}}
	c.event.Kind, c.event.New = Opened, 1
	c.entries = []Entry{{Text: text, Source: c.subject.String(), Homes: []Subject{home}}}
	_, err = b.commitJob(ctx, e, author, func(w writer) error { return putPrivate(w, j.ID, private) })
	return j.ID, err
}

// nextJob is one more than the largest number that a job has, or had.
func (b *Base) nextJob() (string, error) {
	last := 0
	err := b.kv.view(func(r reader) error {
		return r.scan([]byte{keySubject, kindJob}, func(key, _ []byte) error {
			s, err := subjectOfKey(key)
			if n, bad := strconv.Atoi(s.Ref.Name); bad == nil && n < 1_000_000_000 {
				last = max(last, n)
			}
			return err
		})
	})
	return strconv.Itoa(last + 1), err
}

// Log adds a step to a job that is open: see LogSteps.
func (b *Base) Log(ctx context.Context, id, step, author string) (*HeldJob, error) {
	return b.LogSteps(ctx, id, []string{step}, author)
}

// LogSteps adds steps to a job that is open, all of them or none: the words of a
// step in a sheet, without its number. Numbers go on from the last; the time and
// the author are added unless a step says them, the author only if another one
// opened the job. It returns the job afterwards, whose last steps are these. A step
// that cannot be read is a diag.List.
func (b *Base) LogSteps(ctx context.Context, id string, steps []string, author string) (*HeldJob, error) {
	return b.editJob(ctx, id, author, func(e jobEdit) error {
		if !e.job.Closed.IsZero() {
			return fmt.Errorf("job %s %w", id, ErrJobClosed)
		}
		number := 1
		for _, s := range e.job.Steps {
			number = max(number, s.Number+1)
		}
		c := e.m.change
		c.event.Kind, c.event.New = Logged, len(steps)
		var told []string
		for i, words := range steps {
			by := author
			if author == e.job.By {
				by = ""
			}
			said, err := b.signedStep(id, number+i, words, by)
			if err != nil {
				return err
			}
			text, err := jobText(board.Job{ID: id, Steps: []board.Step{said}})
			if err != nil {
				return err
			}
			told = append(told, stepText(said))
			c.entries = append(c.entries, Entry{Text: text, Source: e.m.add.Subject.String(), Homes: e.job.Homes})
		}
		c.event.Step = strings.Join(told, "\n")
		return nil
	})
}

// signedStep reads a step and adds the time, and who made it unless by is empty,
// where it does not say them.
func (b *Base) signedStep(id string, number int, step, by string) (board.Step, error) {
	said, err := ReadStep(id, number, step)
	if err != nil {
		return said, err
	}
	words := said.Text // without a comment, behind which nothing can be added
	if said.When.IsZero() {
		words += " when " + b.now().UTC().Truncate(time.Second).Format(time.RFC3339)
	}
	if said.By == "" && by != "" {
		words += " by " + board.QuoteName(by)
	}
	if signed, err := ReadStep(id, number, words); err == nil { // not if it says the year 1, or is as long as a line can be
		said = signed
	}
	return said, nil
}

// ReadStep reads the words of a step as it stands in a sheet, after its number.
// What is wrong with it is a diag.List, in the third line of a sheet.
func ReadStep(id string, number int, step string) (board.Step, error) {
	text := fmt.Sprintf("%sjob %s\n  %d %s\n", sheetHead, board.QuoteName(id), number, step)
	file, list := sheet.Parse("", []byte(text))
	content, more := sheet.Read(file)
	if err := append(list, more...).Err(); err != nil {
		return board.Step{}, err
	}
	if jobs := content.Knowledge.Jobs; len(jobs) == 1 && len(jobs[0].Steps) == 1 {
		return jobs[0].Steps[0], nil
	}
	return board.Step{}, errors.New("say one step: separated, or reading diode pad P11 4mV")
}

func stepText(s board.Step) string { return strconv.Itoa(s.Number) + " " + s.Text }

// Undo takes back the last step of a job that is open, and returns it. History
// keeps it.
func (b *Base) Undo(ctx context.Context, id, author string) (board.Step, error) {
	gone, err := b.UndoFrom(ctx, id, math.MaxInt, author)
	if err != nil {
		return board.Step{}, err
	}
	return gone[0], nil
}

// UndoFrom takes back the steps of a job that is open from a number on, at least
// the last one, all of them or none. It returns them in order.
func (b *Base) UndoFrom(ctx context.Context, id string, from int, author string) (gone []board.Step, err error) {
	_, err = b.editJob(ctx, id, author, func(e jobEdit) error {
		switch {
		case !e.job.Closed.IsZero():
			return fmt.Errorf("job %s %w", id, ErrJobClosed)
		case len(e.job.Steps) == 0:
			return fmt.Errorf("job %s %w", id, ErrNoStep)
		}
		from = min(from, slices.MaxFunc(e.job.Steps, byNumber).Number)
		var told []string
		for _, s := range e.job.Steps {
			if s.Number >= from {
				gone, told = append(gone, s), append(told, stepText(s))
			}
		}
		e.m.change.event.Kind, e.m.change.event.Step = Undone, strings.Join(told, "\n")
		return e.restate(func(j *board.Job) bool {
			n := len(j.Steps)
			j.Steps = slices.DeleteFunc(j.Steps, func(s board.Step) bool { return s.Number >= from })
			return len(j.Steps) < n
		})
	})
	return gone, err
}

func byNumber(x, y board.Step) int { return x.Number - y.Number }

// Closing is how a job ended.
type Closing struct {
	Closed   time.Time
	Culprits []board.Target
	Outcome  string // repaired, not economic, returned
	Remark   string
}

// CloseJob closes a job that is open.
func (b *Base) CloseJob(ctx context.Context, id string, end Closing, author string) (*HeldJob, error) {
	return b.editJob(ctx, id, author, func(e jobEdit) error {
		if !e.job.Closed.IsZero() {
			return fmt.Errorf("job %s %w", id, ErrJobClosed)
		}
		if err := e.restate(reopened); err != nil {
			return err
		}
		text, err := jobText(board.Job{ID: id, Closed: end.Closed, Culprits: end.Culprits, Outcome: end.Outcome, Remark: end.Remark})
		e.m.change.event.Kind, e.m.change.event.New = Closed, 1
		e.m.change.entries = append(e.m.change.entries, Entry{Text: text, Source: e.m.add.Subject.String(), Homes: e.job.Homes})
		return err
	})
}

// ReopenJob withdraws that a job was closed, with what was the culprit, the
// outcome and the remark. It returns the job as it was; history keeps it, too.
func (b *Base) ReopenJob(ctx context.Context, id, author string) (was *HeldJob, err error) {
	_, err = b.editJob(ctx, id, author, func(e jobEdit) error {
		if e.job.Closed.IsZero() {
			return fmt.Errorf("job %s %w", id, ErrJobOpen)
		}
		was, e.m.change.event.Kind = e.job, Reopened
		return e.restate(reopened)
	})
	return was, err
}

// reopened takes out of a job how it ended. It reports whether anything was said
// of that.
func reopened(j *board.Job) bool {
	said := !j.Closed.IsZero() || j.Outcome != "" || j.Remark != "" || j.Culprits != nil
	j.Closed, j.Outcome, j.Remark, j.Culprits = time.Time{}, "", "", nil
	return said
}

// jobEdit is a job about to be changed.
type jobEdit struct {
	m   *merge
	job *HeldJob
}

// editJob reads a job, has entries made that change it, and commits them.
func (b *Base) editJob(ctx context.Context, id, author string, edit func(jobEdit) error) (*HeldJob, error) {
	if author == "" {
		return nil, errNoAuthor
	}
	b.changing.Lock()
	defer b.changing.Unlock()
	c := &change{subject: JobSubject(id)}
	older, err := b.load(c)
	if err != nil {
		return nil, err
	}
	if len(older) == 0 {
		return nil, ErrUnknownJob
	}
	m := newMerge(c, Addition{Subject: c.subject}, older)
	m.collect()
	content, err := m.read(m.heldFiles())
	if err != nil {
		return nil, damage(c.subject, err)
	}
	e := jobEdit{m, &HeldJob{content.Knowledge.Jobs[0], m.homes()}}
	if err := edit(e); err != nil {
		return nil, err
	}
	return b.commitJob(ctx, e, author)
}

// commitJob commits the entries of a change to a job.
func (b *Base) commitJob(ctx context.Context, e jobEdit, author string, also ...func(writer) error) (*HeldJob, error) {
	c := e.m.change
	c.event.Withdrawn = len(e.m.gone)
	content, err := e.m.read(append(e.m.heldFiles(), e.m.entryFile()))
	if err != nil {
		return nil, err
	}
	e.m.see(content)
	c.sign(author, b.now())
	if err := b.commit(ctx, []*change{c}, also...); err != nil {
		return nil, err
	}
	return &HeldJob{content.Knowledge.Jobs[0], c.view.job.Homes}, nil
}

// restate withdraws the entries in which a part of the job changes, and says
// the rest of them anew.
func (e jobEdit) restate(change func(*board.Job) bool) error {
	for _, h := range e.m.older {
		for _, old := range h.entries {
			content, err := readText([]byte(sheetHead+old.text), e.m.add.Subject.Ref)
			if err != nil {
				return err
			}
			part := content.Knowledge.Jobs[0]
			if !change(&part) {
				continue
			}
			ids := e.m.supersede([]ID{old.id})
			text, err := jobText(part)
			if err != nil {
				return err
			}
			if text == e.m.add.Subject.String()+"\n" {
				e.m.change.entries = append(e.m.change.entries, Entry{Retracts: ids})
				continue
			}
			rest := Entry{Text: text, Source: old.source, Supersedes: ids}
			for _, home := range old.homes {
				rest.Homes = append(rest.Homes, subjectOfText(home))
			}
			e.m.change.entries = append(e.m.change.entries, rest)
		}
	}
	return nil
}

// jobText is the canonical statement of a job. What cannot be said in a sheet is
// a diag.List.
func jobText(j board.Job) (string, error) {
	text := sheet.Write(&sheet.Content{Knowledge: &board.Knowledge{Jobs: []board.Job{j}}})
	file, list := sheet.Parse("job "+j.ID, text)
	if err := list.Err(); err != nil {
		return "", err
	}
	blocks := file.Blocks()
	if len(blocks) != 1 || blocks[0].Key != JobSubject(j.ID).String() {
		return "", fmt.Errorf("%q cannot be the number of a job", j.ID)
	}
	return blocks[0].Text, nil
}
