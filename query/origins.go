package query

import (
	"context"
	"slices"
	"strings"

	"netlore/query/run"
	"netlore/query/value"
	"netlore/store/board"
)

// origins is a source that knows where its statements came from: for each of
// some, the entries that say it.
type origins interface {
	Origins(ctx context.Context, ref board.Ref, statements []board.Statement) ([][]board.Origin, error)
}

// addOrigins fills in, for each reason of an answer, where the statements that
// it rests on came from, if the source can tell. Each board and stack is asked
// once.
func (t target) addOrigins(ctx context.Context, src run.Source, a *run.Answer) error {
	from, ok := src.(origins)
	if !ok {
		return nil
	}
	rests := map[board.Ref][]board.Statement{}
	for _, row := range a.Rows {
		for _, ref := range t.saidOf(row.Of.Board) {
			rests[ref] = append(rests[ref], row.Rests...)
		}
	}
	found := map[board.Ref][][]board.Origin{}
	for ref, statements := range rests {
		list, err := from.Origins(ctx, ref, statements)
		if err != nil {
			return err
		}
		found[ref] = list
	}
	for i := range a.Rows {
		row := &a.Rows[i]
		var texts []string
		if last := row.Cells[len(row.Cells)-1]; !last.Missing() {
			texts = append(texts, last.String())
		}
		for _, ref := range t.saidOf(row.Of.Board) {
			n := len(row.Rests)
			texts = appendOrigins(texts, found[ref][:n])
			found[ref] = found[ref][n:]
		}
		if len(texts) > 0 {
			row.Cells[len(row.Cells)-1] = value.OfText(strings.Join(texts, "; "))
		}
	}
	return nil
}

func appendOrigins(texts []string, found [][]board.Origin) []string {
	for _, list := range found {
		for _, o := range list {
			if text := o.String(); !slices.Contains(texts, text) {
				texts = append(texts, text)
			}
		}
	}
	return texts
}

// saidOf is where statements about a board are: its own, and its stack's.
func (t target) saidOf(ref board.Ref) []board.Ref {
	if s := t.stackOf(ref); s != "" {
		return []board.Ref{ref, {Name: s}}
	}
	return []board.Ref{ref}
}

// stackOf is the stack that a board is in, or "".
func (t target) stackOf(ref board.Ref) string {
	for _, s := range t.stacks {
		for _, m := range s.Members {
			if m.Board == ref {
				return s.Name
			}
		}
	}
	return ""
}
