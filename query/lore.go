package query

import (
	"context"

	"netlore/query/check"

	"netlore/query/run"
)

// Lore says what of the expected values is asked for.
type Lore struct {
	Place string // a net or another place and what belongs to it; empty for all
	Meter string // the meter that will read; empty if it is not known
	Guess bool   // with nets of which nothing is known, as far as others are like them
}

// Expected lists what is expected: what is stated, and what readings of good
// boards say. Complaints are a diag.List.
func Expected(ctx context.Context, src run.Source, opt Options, what Lore) (*run.Answer, error) {
	scope, err := comparing(ctx, src, opt, "")
	if err != nil {
		return nil, err
	}
	l := run.Lore{Scope: scope, Meter: what.Meter, Guess: what.Guess}
	if what.Place != "" {
		place, ok := placeOf(scope, what.Place)
		if !ok {
			return nil, noSource(what.Place, places(scope), nil, "no net, pad, pin or part here is called")
		}
		l.Place = place
	}
	if what.Guess {
		if l.Before, err = otherRevisions(ctx, src, scope); err != nil {
			return nil, err
		}
	}
	answer := run.Expected(ctx, l)
	answer.Cut(opt.Rows)
	return answer, nil
}

// otherRevisions are, for each member, the other revisions of its board, the
// newest first.
func otherRevisions(ctx context.Context, src run.Source, scope *check.Scope) ([][]check.Member, error) {
	all, err := src.Catalogue(ctx)
	if err != nil {
		return nil, err
	}
	before := make([][]check.Member, len(scope.Members))
	for i, m := range scope.Members {
		for k := len(all.Boards) - 1; k >= 0; k-- {
			ref := all.Boards[k].Ref
			if ref.Name != m.Board.Name || ref == m.Board.Ref {
				continue
			}
			other, err := member(ctx, src, ref)
			if err != nil {
				return nil, err
			}
			before[i] = append(before[i], other)
		}
	}
	return before, nil
}

// Meters lists how far the meters read off each other. Complaints are a
// diag.List.
func Meters(ctx context.Context, src run.Source, opt Options) (*run.Answer, error) {
	scope, err := comparing(ctx, src, opt, "")
	if err != nil {
		return nil, err
	}
	return run.Meters(ctx, scope), nil
}

// Contradictions lists what rings, or does not, against what is known, with where
// both come from. Complaints are a diag.List.
func Contradictions(ctx context.Context, src run.Source, opt Options) (*run.Answer, error) {
	t, err := comparedOn(ctx, src, opt, "")
	if err != nil {
		return nil, err
	}
	scope, err := t.load(ctx, src)
	if err != nil {
		return nil, err
	}
	answer := run.Contradictions(ctx, scope)
	answer.Cut(opt.Rows)
	return answer, t.addOrigins(ctx, src, answer)
}
