package store

import (
	"context"
	"errors"
	"strings"

	"netlore/store/board"
)

// Origins finds where statements about a board came from, or, if no board has
// the name, about the stack of that name: for each, the entries that hold and
// say it, oldest first. Nothing is found of what the base does not hold.
func (b *Base) Origins(_ context.Context, ref board.Ref, statements []board.Statement) ([][]board.Origin, error) {
	found, err := b.origins(BoardSubject(ref), statements)
	if errors.Is(err, ErrUnknownSubject) && ref.Revision == "" {
		return b.origins(StackSubject(ref.Name), statements)
	}
	return found, err
}

func (b *Base) origins(s Subject, statements []board.Statement) ([][]board.Origin, error) {
	found := make([][]board.Origin, len(statements))
	err := b.kv.view(func(r reader) error {
		rec, err := current(r, s)
		if err != nil {
			return err
		}
		held, err := heldBatches(r, rec.ID)
		for _, h := range held {
			for _, e := range h.entries {
				for i := range statements {
					if says(e.text, &statements[i]) {
						found[i] = append(found[i], board.Origin{Source: e.source, Author: e.author, Time: e.time()})
					}
				}
			}
		}
		if err != nil {
			return err
		}
		return jobOrigins(r, s, statements, found)
	})
	return found, err
}

// says reports whether a canonical block holds a statement.
func says(text string, s *board.Statement) bool {
	if !begins(text, s.Head) {
		return false
	}
	if s.Member == "" {
		return true
	}
	for line := range strings.Lines(text) {
		if member, indented := strings.CutPrefix(line, "  "); indented && begins(member, s.Member) {
			return true
		}
	}
	return false
}

// begins reports whether a line begins with whole words.
func begins(line, words string) bool {
	rest, ok := strings.CutPrefix(line, words)
	return ok && (rest == "" || rest[0] == ' ' || rest[0] == '\n')
}
