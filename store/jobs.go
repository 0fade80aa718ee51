package store

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"io"
	"slices"
	"strings"
	"time"

	"netlore/store/board"
	"netlore/store/sheet"
)

// ErrUnknownJob says that the base holds no job of a number.
var ErrUnknownJob = errors.New("not a job in the knowledge base")

// JobLine is a job in one line of a list.
type JobLine struct {
	ID, Of, Symptom, Outcome string
	Opened, Closed           time.Time // to the second; Closed is zero while the job is open
	Steps                    int
	Homes                    []Subject // the boards and stacks in whose sheets it stands
}

// HeldJob is a job and where it stands.
type HeldJob struct {
	board.Job
	Homes []Subject
}

func lineOf(j *board.Job) *JobLine {
	return &JobLine{ID: j.ID, Of: j.Of, Symptom: j.Symptom, Outcome: j.Outcome, Opened: j.Opened, Closed: j.Closed, Steps: len(j.Steps)}
}

// encode adds to a record what the key and the summary do not tell.
func (l *JobLine) encode(value []byte) []byte {
	value = appendTexts(value, l.Of, l.Outcome)
	for _, n := range []int64{l.Opened.Unix(), l.Closed.Unix(), int64(l.Steps), int64(len(l.Homes))} {
		value = binary.AppendVarint(value, n)
	}
	for _, home := range l.Homes {
		value = appendTexts(value, home.String())
	}
	return value
}

func decodeJob(c *columnReader) *JobLine {
	l := &JobLine{Of: string(c.bytes()), Outcome: string(c.bytes())}
	l.Opened, l.Closed, l.Steps = time.Unix(c.int(), 0).UTC(), time.Unix(c.int(), 0).UTC(), int(c.int())
	for n := c.int(); n > 0 && c.err == nil; n-- {
		l.Homes = append(l.Homes, subjectOfText(string(c.bytes())))
	}
	return l
}

// Jobs lists the jobs of the base in natural order of their numbers. It reads no
// more of each than its line.
func (b *Base) Jobs(ctx context.Context) ([]JobLine, error) {
	var all []JobLine
	err := b.kv.view(func(r reader) error {
		err := r.scan([]byte{keySubject, kindJob}, func(key, value []byte) error {
			s, err := subjectOfKey(key)
			if err != nil {
				return errDamaged("%v", err)
			}
			rec, err := decodeSubject(s.Ref, value)
			if err == nil && rec.View != 0 {
				all = append(all, *rec.Job)
			}
			return errors.Join(err, ctx.Err())
		})
		if err != nil {
			return err
		}
		return embedded(r, func(home Subject, j *board.Job) {
			line := lineOf(j)
			line.Homes = []Subject{home}
			all = append(all, *line)
		})
	})
	slices.SortStableFunc(all, func(x, y JobLine) int { return board.CompareNatural(x.ID, y.ID) })
	return all, err
}

// Job reads one job. ErrUnknownJob if it is not held.
func (b *Base) Job(_ context.Context, id string) (*HeldJob, error) {
	var found *HeldJob
	err := b.kv.view(func(r reader) error {
		rec, err := current(r, JobSubject(id))
		if errors.Is(err, ErrUnknownSubject) {
			return embedded(r, func(home Subject, j *board.Job) {
				if j.ID == id && found == nil {
					found = &HeldJob{*j, []Subject{home}}
				}
			})
		}
		if err != nil {
			return err
		}
		content, err := readKnown(r, rec)
		if err == nil {
			found = &HeldJob{content.Knowledge.Jobs[0], rec.Job.Homes}
		}
		return err
	})
	if err == nil && found == nil {
		err = ErrUnknownJob
	}
	return found, err
}

// embedded yields the jobs of a base of an earlier layout, in which they are
// statements of boards and stacks.
func embedded(r reader, yield func(home Subject, j *board.Job)) error {
	if apart, err := jobsApart(r); apart || err != nil {
		return err
	}
	return scanKinds(r, []byte{kindBoard, kindStack}, func(key, value []byte) error {
		s, err := subjectOfKey(key)
		if err != nil {
			return err
		}
		rec, err := decodeSubject(s.Ref, value)
		if err != nil || rec.View == 0 {
			return err
		}
		jobs, err := jobsWithin(r, rec)
		for i := range jobs {
			yield(s, &jobs[i])
		}
		return err
	})
}

// addJobs adds the jobs that stand in the sheets on a board or stack.
func addJobs(r reader, home Subject, k *board.Knowledge) error {
	var text bytes.Buffer
	text.WriteString(sheetHead)
	var ids []string
	prefix := homePrefix(home)
	if err := r.scan(prefix, func(key, _ []byte) error {
		ids = append(ids, string(key[len(prefix):]))
		return nil
	}); err != nil || ids == nil {
		return err
	}
	for _, id := range ids {
		rec, err := current(r, JobSubject(id))
		if err != nil {
			return errDamaged("%s is listed as on %s, and is not there", JobSubject(id), home)
		}
		one, err := r.get(viewKey(rec.ID, rec.View, partKnown))
		if err != nil {
			return missingView(err, JobSubject(id))
		}
		text.Write(bytes.TrimPrefix(one, []byte(sheetHead)))
	}
	content, err := readText(text.Bytes(), home.Ref)
	if err != nil {
		return err
	}
	k.Jobs = append(k.Jobs, content.Knowledge.Jobs...)
	slices.SortStableFunc(k.Jobs, func(x, y board.Job) int { return board.CompareNatural(x.ID, y.ID) })
	return nil
}

// sheetHead is how every sheet begins that the base writes.
const sheetHead = "netlore 1\n"

// exportJob writes the sheet of one job, which says what it is about by itself.
func (b *Base) exportJob(s Subject, content *sheet.Content, w io.Writer) error {
	err := b.kv.view(func(r reader) error {
		rec, err := current(r, s)
		if err != nil {
			return err
		}
		for _, home := range rec.Job.Homes {
			if home.Stack {
				content.Stack, content.Board = &board.Stack{Name: home.Ref.Name}, nil
				break
			}
			content.Board = &board.Board{Ref: home.Ref}
		}
		return nil
	})
	if err == nil {
		_, err = w.Write(sheet.Write(content))
	}
	return err
}

// endHomes keeps the rows that tell which jobs are on a board or stack.
func (c *change) endHomes(w writer) error {
	if !c.subject.Job {
		return nil
	}
	if c.record.Job != nil {
		for _, home := range c.record.Job.Homes {
			if err := w.delete(homeKey(home, c.subject.Ref.Name)); err != nil {
				return err
			}
		}
	}
	if c.view == nil {
		return w.delete(privateKey(c.subject.Ref.Name))
	}
	for _, home := range c.view.job.Homes {
		if err := w.put(homeKey(home, c.subject.Ref.Name), ringMark(c.view.rings)); err != nil {
			return err
		}
	}
	return nil
}

// verifyHomes compares what is kept of where a job stands with what its
// statements say.
func (c *change) verifyHomes(r reader) error {
	if !c.subject.Job {
		return nil
	}
	if !slices.Equal(c.record.Job.Homes, c.view.job.Homes) {
		return errDamaged("where %s stands is not what its statements say", c.subject)
	}
	for _, home := range c.view.job.Homes {
		if _, err := r.get(homeKey(home, c.subject.Ref.Name)); err != nil {
			return errDamaged("%s is not listed as on %s", c.subject, home)
		}
	}
	return nil
}

// jobOrigins finds where statements on jobs came from. What says that there is
// such a job, or such a step of it, is asked by how the job's line begins.
func jobOrigins(r reader, home Subject, statements []board.Statement, found [][]board.Origin) error {
	for i := range statements {
		s := &statements[i]
		if !strings.HasPrefix(s.Head, "job ") {
			continue
		}
		rec, err := current(r, jobOfKey(s.Head))
		if errors.Is(err, ErrUnknownSubject) || err == nil && !slices.Contains(rec.Job.Homes, home) {
			continue
		}
		if err != nil {
			return err
		}
		held, err := heldBatches(r, rec.ID)
		if err != nil {
			return err
		}
		for _, h := range held {
			for _, e := range h.entries {
				if says(e.text, s) && (s.Member != "" || !strings.HasPrefix(e.text, s.Head+"\n")) {
					found[i] = append(found[i], board.Origin{Source: e.source, Author: e.author, Time: e.time()})
				}
			}
		}
	}
	return nil
}
