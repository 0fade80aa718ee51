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
// it rests on came from, if the source can tell.
func (q *Question) addOrigins(ctx context.Context, src run.Source, a *run.Answer) error {
	from, ok := src.(origins)
	if !ok {
		return nil
	}
	for i := range a.Rows {
		row := &a.Rows[i]
		refs := []board.Ref{row.Board}
		if s := q.stackOf(row.Board); s != "" {
			refs = append(refs, board.Ref{Name: s})
		}
		var texts []string
		for _, ref := range refs {
			found, err := from.Origins(ctx, ref, row.Rests)
			if err != nil {
				return err
			}
			for _, list := range found {
				for _, o := range list {
					if text := o.String(); !slices.Contains(texts, text) {
						texts = append(texts, text)
					}
				}
			}
		}
		last := &row.Cells[len(row.Cells)-1]
		if !last.Missing() {
			texts = slices.Insert(texts, 0, last.String())
		}
		if len(texts) > 0 {
			*last = value.OfText(strings.Join(texts, "; "))
		}
	}
	return nil
}

// stackOf is the stack that a board is in, or "".
func (q *Question) stackOf(ref board.Ref) string {
	for _, s := range q.target.stacks {
		for _, m := range s.Members {
			if m.Board == ref {
				return s.Name
			}
		}
	}
	return ""
}
