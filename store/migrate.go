package store

import (
	"bytes"
	"context"
	"errors"
	"slices"

	"netlore/query/diag"
	"netlore/store/board"
)

// jobsApart reports whether all jobs of the base are subjects of their own. In a
// base of layout 1 or 2 they are statements of boards and stacks.
func jobsApart(r reader) (bool, error) {
	_, err := r.get(keyJobsApart)
	if errors.Is(err, errNoKey) {
		return false, nil
	}
	return err == nil, err
}

// mover is the author of the changes that move jobs. What was said of them
// keeps the author and time that it had.
const mover = "netlore"

// moveJobs makes the jobs of a base of an earlier layout subjects of their own,
// one board or stack after the other: what is cut short is taken up again by the
// next process that opens the base for writing. A job whose number another one
// has already, on another board, stays where it is.
func (b *Base) moveJobs(ctx context.Context) error {
	apart := false
	if err := b.kv.view(func(r reader) (err error) {
		apart, err = jobsApart(r)
		return err
	}); err != nil || apart {
		return err
	}
	subjects, err := b.subjects(true, kindBoard, kindStack)
	if err != nil {
		return err
	}
	for _, s := range subjects {
		if err := b.moveJobsOf(ctx, s); err != nil {
			return err
		}
	}
	return b.kv.update(putJobsApart)
}

func putJobsApart(w writer) error { return w.put(keyJobsApart, []byte{1}) }

func (b *Base) moveJobsOf(ctx context.Context, home Subject) error {
	var jobs []board.Job
	err := b.kv.view(func(r reader) error {
		rec, err := current(r, home)
		if err == nil {
			jobs, err = jobsWithin(r, rec)
		}
		return err
	})
	if err != nil || len(jobs) == 0 {
		return err
	}
	c := &change{subject: home}
	older, err := b.load(c)
	if err != nil {
		return err
	}
	m := newMerge(c, Addition{Subject: home}, older)
	changes := []*change{c}
	for i := range jobs {
		moved, ids, err := b.moved(ctx, JobSubject(jobs[i].ID), home, older)
		var contradictions diag.List
		if errors.As(err, &contradictions) {
			continue
		}
		if err != nil {
			return err
		}
		changes = append(changes, moved)
		for some := range slices.Chunk(m.supersede(ids), maxIDs) {
			c.entries = append(c.entries, Entry{Retracts: some})
		}
	}
	content, err := m.read(m.heldFiles())
	if err != nil {
		return damage(home, err)
	}
	c.event.Kind, c.event.Withdrawn = MovedOut, len(m.gone)
	c.sign(mover, b.now())
	m.see(content)
	return b.commit(ctx, changes)
}

// jobsWithin are the jobs that are statements of a board or stack. Most have
// none, which is seen without reading all that is known of them.
func jobsWithin(r reader, rec subjectRecord) ([]board.Job, error) {
	text, err := r.get(viewKey(rec.ID, rec.View, partKnown))
	if err != nil {
		return nil, missingView(err, Subject{Ref: rec.Summary.Ref})
	}
	if !bytes.Contains(text, []byte("\njob ")) {
		return nil, nil
	}
	content, err := readText(text, rec.Summary.Ref)
	if err != nil {
		return nil, err
	}
	return content.Knowledge.Jobs, nil
}

// moved makes a subject of what entries of a board or stack say of a job.
func (b *Base) moved(ctx context.Context, job, home Subject, older []heldBatch) (*change, []ID, error) {
	a := Addition{Subject: job, Author: mover}
	var ids []ID
	first := Event{}
	from := map[string]held{}
	for _, h := range older {
		for _, e := range h.entries {
			if !names(e.text, job.String()) {
				continue
			}
			if ids == nil {
				first = h.event
			}
			ids = append(ids, e.id)
			s := statement{source: e.source, home: home}
			s.Text, s.Kind, s.Key = e.text, "job", job.String()
			from[e.text] = e
			a.statements = append(a.statements, s)
		}
	}
	c, err := b.prepare(ctx, a)
	if err != nil {
		return nil, nil, err
	}
	c.event.Author, c.event.Time, c.event.Files = first.Author, first.Time, first.Files
	for i := range c.entries {
		e := &c.entries[i]
		was := from[e.Text]
		e.Author, e.Time = was.author, was.time()
	}
	return c, ids, nil
}
