package store

import (
	"bytes"
	"context"

	"netlore/store/board"
)

// ringMark is the value of the row of a job on a board or stack: whether a step of
// it says what rings.
func ringMark(rings bool) []byte {
	if !rings {
		return nil
	}
	return []byte{1}
}

// ringing are the boards of which a job or a stack says what rings, so that more
// may be on their nets than an excerpt shows. What a board says of itself, its
// rows in the index of nets know.
func ringing(ctx context.Context, r reader) (map[board.Ref]bool, error) {
	homes := map[Subject]bool{}
	err := r.scan([]byte{keyHome}, func(key, value []byte) error {
		if home, ok := homeOfKey(key); ok && len(value) > 0 {
			homes[home] = true
		}
		return ctx.Err()
	})
	if err != nil {
		return nil, err
	}
	boards := map[board.Ref]bool{}
	for home := range homes {
		if !home.Stack {
			boards[home.Ref] = true
		}
	}
	return boards, addStacked(r, homes, boards)
}

// addStacked adds the members of stacks of which it is said what rings, by their
// own sheets or by jobs.
func addStacked(r reader, homes map[Subject]bool, boards map[board.Ref]bool) error {
	return r.scan([]byte{keySubject, kindStack}, func(key, value []byte) error {
		s, err := subjectOfKey(key)
		if err != nil {
			return errDamaged("%v", err)
		}
		rec, err := decodeSubject(s.Ref, value)
		if err != nil || rec.View == 0 {
			return err
		}
		text, err := r.get(viewKey(rec.ID, rec.View, partKnown))
		if err != nil {
			return missingView(err, s)
		}
		if !homes[s] && !mayRing(text) {
			return nil
		}
		content, err := readText(text, s.Ref)
		if err == nil && content.Stack != nil {
			for _, m := range content.Stack.Members {
				boards[m.Board] = true
			}
		}
		return err
	})
}

// mayRing reports whether a sheet that the base has written may say what rings.
func mayRing(text []byte) bool {
	return bytes.Contains(text, []byte(board.Continuity.String()))
}

// homeOfKey takes the board or stack out of the key of a job on it.
func homeOfKey(key []byte) (Subject, bool) {
	parts := bytes.SplitN(key, []byte{0}, 3)
	if len(parts) < 3 || len(parts[0]) < 2 {
		return Subject{}, false
	}
	ref := board.Ref{Name: string(parts[0][2:]), Revision: string(parts[1])}
	return Subject{Stack: parts[0][1] == kindStack, Ref: ref}, true
}
