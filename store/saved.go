package store

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"netlore/store/board"
	"netlore/store/sheet"
)

// Saved is a saved question with who saved it, and when.
type Saved struct {
	board.SavedQuestion
	Author string
	Time   time.Time
}

// ErrUnknownQuestion says that no question is saved under a name.
var ErrUnknownQuestion = errors.New("not a saved question")

// Meter is a meter with who stated it last, and when.
type Meter struct {
	board.Meter
	Author string
	Time   time.Time
}

// ErrUnknownMeter says that nothing is stated of a meter.
var ErrUnknownMeter = errors.New("no meter that anything is stated of")

// Saved lists the saved questions in natural order of their names.
func (b *Base) Saved(context.Context) (all []Saved, err error) {
	err = b.shared(QuestionsSubject(), func(k *board.Knowledge, e Event) {
		for _, q := range k.Questions {
			all = append(all, Saved{q, e.Author, e.Time})
		}
	})
	slices.SortFunc(all, func(x, y Saved) int { return board.CompareNatural(x.Name, y.Name) })
	return all, err
}

// Meters lists the meters in natural order of their names.
func (b *Base) Meters(ctx context.Context) ([]Meter, error) {
	_, held, err := b.Stated(ctx, MetersSubject())
	if errors.Is(err, ErrUnknownSubject) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	all := make([]Meter, len(held.Meters))
	for i, m := range held.Meters {
		all[i].Meter = m
	}
	err = b.shared(MetersSubject(), func(k *board.Knowledge, e Event) {
		for _, m := range k.Meters {
			i := slices.IndexFunc(all, func(x Meter) bool { return x.Name == m.Name })
			all[i].Author, all[i].Time = e.Author, e.Time
		}
	})
	return all, err
}

// Chance is what is stated of how likely something is, with who stated it last, and
// when.
type Chance struct {
	board.Chance
	Author string
	Time   time.Time
}

// ErrUnknownChance says that nothing is stated of how likely something is.
var ErrUnknownChance = errors.New("nothing that a chance is stated of")

// Chances lists what is stated of chances, in natural order.
func (b *Base) Chances(ctx context.Context) ([]Chance, error) {
	_, held, err := b.Stated(ctx, ChancesSubject())
	if errors.Is(err, ErrUnknownSubject) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	all := make([]Chance, len(held.Chances))
	for i, c := range held.Chances {
		all[i].Chance = c
	}
	err = b.shared(ChancesSubject(), func(k *board.Knowledge, e Event) {
		for _, c := range k.Chances {
			i := slices.IndexFunc(all, func(x Chance) bool { return x.Of == c.Of })
			all[i].Author, all[i].Time = e.Author, e.Time
		}
	})
	return all, err
}

// shared gives what each change says that still holds of what is about no board,
// the oldest first.
func (b *Base) shared(s Subject, each func(*board.Knowledge, Event)) error {
	older, err := b.load(&change{subject: s})
	for _, h := range older {
		for _, e := range h.entries {
			file, _ := sheet.Parse("the knowledge base", []byte("netlore 1\n"+e.text))
			content, _ := sheet.Read(file)
			each(content.Knowledge, h.event)
		}
	}
	return err
}

// Save keeps a question under its name. A question that has the name already
// gives way to it; its history stays.
func (b *Base) Save(ctx context.Context, q board.SavedQuestion, author string) (Result, error) {
	return b.keep(ctx, QuestionsSubject(), &board.Knowledge{Questions: []board.SavedQuestion{q}}, "netlore save", author)
}

// StateMeter keeps what is stated of a meter. What was stated otherwise gives
// way; what was stated besides stays.
func (b *Base) StateMeter(ctx context.Context, m board.Meter, author string) (Result, error) {
	return b.keep(ctx, MetersSubject(), &board.Knowledge{Meters: []board.Meter{m}}, "netlore profile", author)
}

// StateChance keeps what is stated of how likely something is. What was stated
// otherwise gives way; what was stated besides stays.
func (b *Base) StateChance(ctx context.Context, c board.Chance, author string) (Result, error) {
	return b.keep(ctx, ChancesSubject(), &board.Knowledge{Chances: []board.Chance{c}}, "netlore chances", author)
}

func (b *Base) keep(ctx context.Context, s Subject, k *board.Knowledge, source, author string) (Result, error) {
	file, list := sheet.Parse(source, sheet.Write(&sheet.Content{Knowledge: k}))
	if err := list.Err(); err != nil {
		return Result{}, err
	}
	results, err := b.Add(ctx, Addition{Subject: s, Files: []*sheet.File{file}, Author: author, Mode: Correct,
		Made: func(*sheet.File) bool { return true }})
	if err != nil {
		return Result{}, err
	}
	return results[0], nil
}

// Forget withdraws a saved question. History stays. ErrUnknownQuestion if there
// is none of the name.
func (b *Base) Forget(ctx context.Context, name, author string) (Result, error) {
	return b.dropShared(ctx, QuestionsSubject(), "question", name, author, ErrUnknownQuestion)
}

// ForgetMeter withdraws all that is stated of a meter. History stays, and so do
// its readings. ErrUnknownMeter if nothing is.
func (b *Base) ForgetMeter(ctx context.Context, name, author string) (Result, error) {
	return b.dropShared(ctx, MetersSubject(), "meter", board.QuoteName(name), author, ErrUnknownMeter)
}

// ForgetChance withdraws all that is stated of how likely something is. History
// stays. ErrUnknownChance if nothing is.
func (b *Base) ForgetChance(ctx context.Context, of, author string) (Result, error) {
	return b.dropShared(ctx, ChancesSubject(), "chance", of, author, ErrUnknownChance)
}

func (b *Base) dropShared(ctx context.Context, s Subject, kind, name, author string, unknown error) (Result, error) {
	return b.retract(ctx, s, author, func(m *merge) ([]ID, error) {
		ids := m.byKey()[kind+" "+name]
		if len(ids) == 0 {
			return nil, fmt.Errorf("%s is %w", name, unknown)
		}
		return ids, nil
	})
}
