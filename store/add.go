package store

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"netlore/store/sheet"
)

// Mode says what happens to what the base holds already.
type Mode uint8

const (
	// Union adds what is new. A contradiction is an error that names both places.
	Union Mode = iota
	// Correct lets the new statement of a thing take the place of an older one
	// that it contradicts. Members of the older one stay, but for those that the
	// new one names too. What an author expects at a place takes the place of what he
	// expected there before.
	Correct
	// Replace withdraws, besides, every older statement on the board's structure
	// that is not among the new ones. Readings, expected values, notes,
	// continuity and jobs stay.
	Replace
)

// Addition is statements to add to one subject.
type Addition struct {
	Subject Subject
	Files   []*sheet.File
	Author  string
	Licence string
	Mode    Mode
	// Own are the names under which this shop shares: what it corrects in such a name
	// takes the place of what anybody here has said.
	Own []string
	// Made, when set, reports whether a sheet was made of other files, so that
	// nobody can look up a line of it: what it says is known by its name alone.
	Made func(*sheet.File) bool

	statements []statement // of a job, picked out of sheets on boards and stacks
}

// Result tells what an addition did, or would do.
type Result struct {
	Subject   Subject
	New       int // statements that were not held before
	Known     int // statements that were
	Withdrawn int // statements that no longer hold
	Unread    int // lines of a newer version of the sheet, which are not held
	Hash      string
}

// Add adds statements on any number of subjects: all of them, or none. It
// returns when they are on disk. Contradictions are a diag.List.
//
// The jobs in a sheet are kept as subjects of their own. They count in the
// result of the board or stack that the sheet is about.
func (b *Base) Add(ctx context.Context, additions ...Addition) ([]Result, error) {
	return b.add(ctx, additions, true)
}

// Preview tells what Add would do.
func (b *Base) Preview(ctx context.Context, additions ...Addition) ([]Result, error) {
	return b.add(ctx, additions, false)
}

func (b *Base) add(ctx context.Context, additions []Addition, write bool) ([]Result, error) {
	if err := b.mayChange(additions); err != nil {
		return nil, err
	}
	b.changing.Lock()
	defer b.changing.Unlock()
	var changes []*change
	results := make([]Result, len(additions))
	for i, a := range withJobs(additions) {
		c, err := b.prepare(ctx, a)
		if err != nil {
			return nil, err
		}
		changes = append(changes, c)
		if i < len(additions) {
			results[i] = c.result()
			continue
		}
		home := slices.IndexFunc(additions, func(of Addition) bool { return of.Subject == a.statements[0].home })
		results[home].count(c)
	}
	if !write {
		return results, nil
	}
	if err := b.commit(ctx, changes); err != nil {
		return nil, err
	}
	return results, b.revote(ctx, changes...)
}

// mayChange refuses additions that cannot be made, whatever they say.
func (b *Base) mayChange(additions []Addition) error {
	seen := map[Subject]bool{}
	for _, a := range additions {
		switch {
		case a.Author == "":
			return errNoAuthor
		case a.Subject.Job:
			return fmt.Errorf("%s is added with the sheet of the board or stack that it is on", a.Subject)
		case seen[a.Subject]:
			return fmt.Errorf("%s is named twice in one addition; give all its files at once", a.Subject)
		}
		seen[a.Subject] = true
	}
	return nil
}

var errNoAuthor = errors.New("nobody is named as the author of the change")

// change is what one addition comes to.
type change struct {
	subject Subject
	record  subjectRecord
	known   bool // the subject is in the base
	event   Event
	entries []Entry
	view    *view // nil when nothing is left of the subject
	unread  int   // lines of the files that were left out
}

func (c *change) result() Result {
	return Result{c.subject, c.event.New, c.event.Known, c.event.Withdrawn, c.unread, c.event.Hash}
}

// count adds what becomes of a job that the same sheet tells of.
func (r *Result) count(c *change) {
	r.New, r.Known, r.Withdrawn = r.New+c.event.New, r.Known+c.event.Known, r.Withdrawn+c.event.Withdrawn
}

// nothing reports whether the change need not be written.
func (c *change) nothing() bool { return len(c.entries) == 0 }

// prepare works out what an addition comes to, without changing anything.
func (b *Base) prepare(ctx context.Context, a Addition) (*change, error) {
	c := &change{subject: a.Subject}
	older, err := b.load(c)
	if err != nil {
		return nil, err
	}
	m := newMerge(c, a, older)
	if err := m.run(ctx); err != nil {
		return nil, err
	}
	c.sign(a.Author, b.now())
	for i := range c.entries {
		c.entries[i].Licence = a.Licence
	}
	for _, f := range a.Files {
		if !a.Subject.Shared() && !a.Subject.Job { // the same files are added to a board
			c.unread += f.Unread()
		}
		c.event.Files = append(c.event.Files, f.Name())
	}
	return c, nil
}

// sign says who makes a change, and when.
func (c *change) sign(author string, now time.Time) {
	now = now.UTC().Truncate(time.Second)
	c.event.Author, c.event.Time = author, now
	for i := range c.entries {
		c.entries[i].Subject, c.entries[i].Author, c.entries[i].Time = c.subject, author, now
	}
}

// load reads what the base holds of the subject.
func (b *Base) load(c *change) (older []heldBatch, err error) {
	err = b.kv.view(func(r reader) error {
		rec, err := subject(r, c.subject)
		if errors.Is(err, ErrUnknownSubject) {
			return nil
		}
		if err != nil {
			return err
		}
		c.record, c.known = rec, true
		older, err = heldBatches(r, rec.ID)
		return err
	})
	return older, err
}

// heldBatch is the entries of one addition that still hold.
type heldBatch struct {
	event   Event
	entries []held
}

func heldBatches(r reader, id subjectID) ([]heldBatch, error) {
	done, err := batches(r, id)
	if err != nil {
		return nil, err
	}
	entries, err := live(r, id, done)
	if err != nil {
		return nil, err
	}
	var all []heldBatch
	for _, rec := range done {
		n := 0
		for n < len(entries) && entries[n].batch == rec.Number {
			n++
		}
		if n > 0 {
			all = append(all, heldBatch{rec.Event, entries[:n]})
		}
		entries = entries[n:]
	}
	return all, nil
}

// Remove withdraws everything that the base holds of a subject. History stays.
// The jobs on a board or stack stay, too; the private details of a job that is
// removed are deleted.
func (b *Base) Remove(ctx context.Context, s Subject, author string) (Result, error) {
	if author == "" {
		return Result{}, errNoAuthor
	}
	b.changing.Lock()
	defer b.changing.Unlock()
	c := &change{subject: s}
	older, err := b.load(c)
	if err != nil {
		return Result{}, err
	}
	if !c.known || len(older) == 0 {
		return Result{}, ErrUnknownSubject
	}
	c.event.Kind = Removed
	var ids []ID
	for _, h := range older {
		for _, e := range h.entries {
			ids = append(ids, e.id)
		}
	}
	c.event.Withdrawn = len(ids)
	for some := range slices.Chunk(ids, maxIDs) {
		c.entries = append(c.entries, Entry{Retracts: some})
	}
	c.sign(author, b.now())
	if err := b.commit(ctx, []*change{c}); err != nil {
		return Result{}, err
	}
	return c.result(), b.sweepPhotos()
}

// maxIDs is how many entries one entry withdraws at most, so that none grows
// without bound.
const maxIDs = 500
