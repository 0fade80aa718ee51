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

// Saved lists the saved questions in natural order of their names.
func (b *Base) Saved(context.Context) ([]Saved, error) {
	c := &change{subject: QuestionsSubject()}
	older, err := b.load(c)
	if err != nil {
		return nil, err
	}
	var all []Saved
	for _, h := range older {
		for _, e := range h.entries {
			for _, q := range questionsOf(e.text) {
				all = append(all, Saved{q.SavedQuestion, h.event.Author, h.event.Time})
			}
		}
	}
	slices.SortFunc(all, func(x, y Saved) int { return board.CompareNatural(x.Name, y.Name) })
	return all, nil
}

func questionsOf(text string) []sheet.Question {
	file, _ := sheet.Parse("the knowledge base", []byte("netlore 1\n"+text))
	return file.Questions()
}

// Save keeps a question under its name. A question that has the name already
// gives way to it; its history stays.
func (b *Base) Save(ctx context.Context, q board.SavedQuestion, author string) (Result, error) {
	text := sheet.Write(&sheet.Content{Knowledge: &board.Knowledge{Questions: []board.SavedQuestion{q}}})
	file, list := sheet.Parse("netlore save", text)
	if err := list.Err(); err != nil {
		return Result{}, err
	}
	results, err := b.Add(ctx, Addition{Subject: QuestionsSubject(), Files: []*sheet.File{file}, Author: author, Mode: Correct,
		Made: func(*sheet.File) bool { return true }})
	if err != nil {
		return Result{}, err
	}
	return results[0], nil
}

// Forget withdraws a saved question. History stays. ErrUnknownQuestion if there
// is none of the name.
func (b *Base) Forget(ctx context.Context, name, author string) (Result, error) {
	return b.retract(ctx, QuestionsSubject(), author, func(m *merge) ([]ID, error) {
		ids := m.byKey()["question "+name]
		if len(ids) == 0 {
			return nil, fmt.Errorf("%s is %w", name, ErrUnknownQuestion)
		}
		return ids, nil
	})
}
