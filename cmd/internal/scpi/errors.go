package scpi

import (
	"context"
	"errors"
	"os"
	"strings"
)

// maxErrors is how many entries of an error queue are read at most.
const maxErrors = 100

// Errors reads and empties the instrument's error queue, the oldest first.
// Errors: M204, M304, and those of Ask.
func (r *Reader) Errors(ctx context.Context) ([]Entry, error) {
	var all []Entry
	for range maxErrors {
		a, err := r.Ask(ctx, nextError)
		if err != nil {
			return all, err
		}
		e, err := ParseEntry(a)
		if err != nil || e.Code == 0 {
			return all, err
		}
		all = append(all, e)
	}
	return all, newFault("M304", nil, []string{"switch it off and on"}, "the error queue of %s does not end: after %d entries it still says %s", r.Name(), maxErrors, all[maxErrors-1])
}

// Refused complains that the instrument answered with errors instead of doing
// what was asked of it.
func (r *Reader) Refused(what string, entries []Entry) error {
	var said []string
	for _, e := range entries {
		said = append(said, e.String())
	}
	return newFault("M302", nil, nil, "%s did not take %s and says: %s", r.Name(), what, strings.Join(said, "; "))
}

// Try asks a question that the instrument may not know, and does not wait in
// vain for it: right behind goes SYSTem:ERRor?, which always has an answer. It
// reports known false, and the errors that the question has left in the queue,
// if the instrument does not know it. The queue should be empty before.
func (r *Reader) Try(ctx context.Context, q Query) (a Answer, known bool, refused []Entry, err error) {
	if r.single {
		return r.tryAlone(ctx, q)
	}
	a, entry, err := r.both(ctx, q)
	switch {
	case CodeOf(err) == "M103" || err == nil && entry.interrupted():
		// It takes one question at a time, as IEEE 488.2 allows (6.3.2.3).
		r.single = true
		return r.tryAlone(ctx, q)
	case err != nil:
		return a, false, nil, err
	case a.Text != "":
		return a, true, nil, nil
	}
	refused, err = r.Errors(ctx)
	if entry.Code != 0 {
		refused = append([]Entry{entry}, refused...)
	}
	return a, false, refused, err
}

// both sends a question and SYSTem:ERRor? behind it. The answer is empty if
// only the second was answered.
func (r *Reader) both(ctx context.Context, q Query) (a Answer, entry Entry, err error) {
	a = Answer{To: q.text, From: r.Name()}
	queue := Answer{To: nextError.text, From: a.From}
	err = r.exchange(ctx, q.text+"\n"+nextError.text+"\n", func(l *link) (err error) {
		if a.Text, err = l.line(); err != nil {
			return err
		}
		queue.Text = a.Text
		if entry, err = ParseEntry(queue); err == nil {
			a.Text = ""
			return nil
		}
		if queue.Text, err = l.line(); err != nil {
			return err
		}
		entry, err = ParseEntry(queue)
		return err
	})
	return a, entry, err
}

// tryAlone asks one question after the other; one that is not known costs the
// whole time-out.
func (r *Reader) tryAlone(ctx context.Context, q Query) (a Answer, known bool, refused []Entry, err error) {
	a, err = r.Ask(ctx, q)
	if err == nil {
		return a, true, nil, nil
	}
	if !errors.Is(err, os.ErrDeadlineExceeded) || CodeOf(err) != "M103" {
		return a, false, nil, err
	}
	refused, err = r.Errors(ctx)
	return a, false, refused, err
}
