package store

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Purge deletes statements for good: their text is in no file of the base any more
// once it is closed, opened, flattened and closed again, be it of this shop or another. Of another shop's, it is
// noted that it does not come back with the next pack. What holds is withdrawn
// first, if it is what is known of a board or stack; what a board is made of, and
// steps of a job that hold, are not purged, nor is what other shops hold of us: that
// has to be withdrawn there first. The history keeps that there was something.
//
// What is cut short is finished by doing it once more: a statement is found until
// all that is known of it is gone, and the base keeps in mind that its files may hold
// some, which Purging tells, until Flatten is done. ErrUnpurged says that it was cut
// short.
func (b *Base) Purge(ctx context.Context, all []Found, author string) error {
	if err := mayPurge(all); err != nil {
		return err
	}
	if err := b.purge(ctx, all, author); err != nil {
		return fmt.Errorf("%w: %w", ErrUnpurged, err)
	}
	return nil
}

// ErrUnpurged says that a purge was cut short.
var ErrUnpurged = errors.New("not all of it has left the base and its files yet")

func (b *Base) purge(ctx context.Context, all []Found, author string) error {
	if err := b.withdrawFound(ctx, all, author); err != nil {
		return err
	}
	others := slices.DeleteFunc(slices.Clone(all), func(f Found) bool { return !f.Shop.Known() || f.Made })
	if _, err := b.shun(ctx, others, Shunned{Author: author, Purged: true}); err != nil {
		return err
	}
	b.changing.Lock()
	defer b.changing.Unlock()
	rows, err := b.remainsOf(ctx, all)
	if err != nil {
		return err
	}
	// The steps come first: what they are told by is dropped last.
	if err := b.forgetSteps(all, Purging{Author: author, Time: b.now().UTC().Truncate(time.Second)}); err != nil {
		return err
	}
	return b.dropCounted(rows)
}

// Purging says that files may still hold what was deleted.
type Purging struct {
	Author string
	Time   time.Time
}

// Purging tells of a purge that has begun and was not flattened; nil if there is none.
func (b *Base) Purging() (*Purging, error) {
	var p *Purging
	err := b.kv.view(func(r reader) error {
		value, err := r.get(keyPurging)
		if errors.Is(err, errNoKey) {
			return nil
		}
		if err != nil {
			return err
		}
		p = &Purging{}
		return decodeRecord(value, p)
	})
	return p, err
}

// Flatten leaves nothing in the files of what was deleted before the base was opened.
// It writes the tables anew that still have some.
func (b *Base) Flatten() error {
	b.changing.Lock()
	defer b.changing.Unlock()
	if b.readOnly {
		return errReadOnly
	}
	if err := b.kv.flatten(); err != nil {
		return fmt.Errorf("%w: %w", ErrUnpurged, err)
	}
	return b.kv.update(func(w writer) error { return w.delete(keyPurging) })
}

// mayPurge says which statement cannot be purged, and why.
func mayPurge(all []Found) error {
	for i := range all {
		f := &all[i]
		switch {
		case f.Made && !f.Gone:
			return fmt.Errorf("%s: it was signed for other shops; netlore withdraw takes it back, and the next pack with it, so that they lose it, too", f.line())
		case f.Shop.Known() || !f.Holds:
		case f.Copy():
			return fmt.Errorf("%s: it counts because other shops say so; purge what they say", f.line())
		default:
			if err := f.MayWithdraw(); err != nil {
				return err
			}
		}
	}
	return nil
}

// remainsOf are the keys under which the texts of statements lie: their own, and that
// of what counted of another shop's.
func (b *Base) remainsOf(ctx context.Context, all []Found) (rows []countedRow, err error) {
	taken := map[ID]bool{}
	for _, f := range all {
		row := countedRow{key: f.key}
		if f.Shop.Known() {
			row.shop, row.entries, taken[f.ID] = f.Shop, 1, true
		}
		rows = append(rows, row)
	}
	copies, err := b.Find(ctx, func(f *Found) bool { return f.Copy() && taken[f.from] })
	for _, f := range copies {
		rows = append(rows, countedRow{key: f.key})
	}
	return rows, err
}

// forgetSteps takes the words of steps out of the history of their jobs, and notes that
// a purge has begun.
func (b *Base) forgetSteps(all []Found, begun Purging) error {
	of := map[Subject][]string{}
	for _, f := range all {
		if f.Subject.Job {
			of[f.Subject] = append(of[f.Subject], f.Text)
		}
	}
	return b.kv.update(func(w writer) error {
		if err := putRecord(w, keyPurging, begun); err != nil {
			return err
		}
		for s, texts := range of {
			rec, err := subject(w, s)
			if err != nil {
				return err
			}
			done, err := batches(w, rec.ID)
			if err != nil {
				return err
			}
			for _, one := range done {
				was := one.Step
				if one.Step = withoutWords(was, texts); one.Step == was {
					continue
				}
				if err := putRecord(w, batchPrefix(keyBatch, rec.ID, one.Number), one); err != nil {
					return err
				}
			}
		}
		return nil
	})
}

// withoutWords leaves of the steps of an event that stand in some statements their
// numbers alone.
func withoutWords(steps string, texts []string) string {
	lines := strings.Split(steps, "\n")
	for i, step := range lines {
		if step != "" && slices.ContainsFunc(texts, func(text string) bool { return strings.Contains(text, "  "+step) }) {
			lines[i], _, _ = strings.Cut(step, " ")
		}
	}
	return strings.Join(lines, "\n")
}
