package query

import (
	"context"
	"fmt"
	"slices"

	"netlore/query/check"
	"netlore/query/run"
	"netlore/store/board"
)

// load reads the boards that a question is asked of. For a question of every
// board it reads the first only.
func (t target) load(ctx context.Context, src run.Source) (*check.Scope, error) {
	if t.every {
		return loadOne(ctx, src, t.boards[0])
	}
	scope := &check.Scope{Others: t.others}
	var shared *board.Knowledge
	if t.stack != nil {
		scope.Stack, scope.Joins = t.stack.Name, t.stack.Joins
		known, err := src.Knowledge(ctx, board.Ref{Name: t.stack.Name})
		if err != nil {
			return nil, fmt.Errorf("reading what is known of %s: %w", t.stack.Name, err)
		}
		shared = known
	}
	for _, m := range t.members {
		one, err := member(ctx, src, m.Board)
		if err != nil {
			return nil, err
		}
		one.Role = m.Role
		one.Knowledge = merged(one.Knowledge, shared, m.Role)
		scope.Members = append(scope.Members, one)
	}
	for _, ref := range t.named {
		one, err := member(ctx, src, ref)
		if err != nil {
			return nil, err
		}
		one.Extra = true
		scope.Members = append(scope.Members, one)
	}
	return scope, nil
}

// loadOne is the scope of one board among all.
func loadOne(ctx context.Context, src run.Source, ref board.Ref) (*check.Scope, error) {
	one, err := member(ctx, src, ref)
	if err != nil {
		return nil, err
	}
	return &check.Scope{Members: []check.Member{one}, Lenient: true}, nil
}

func member(ctx context.Context, src run.Source, ref board.Ref) (check.Member, error) {
	if err := ctx.Err(); err != nil {
		return check.Member{}, err
	}
	b, err := src.Board(ctx, ref)
	if err != nil {
		return check.Member{}, fmt.Errorf("reading %s: %w", ref, err)
	}
	known, err := src.Knowledge(ctx, ref)
	if err != nil {
		return check.Member{}, fmt.Errorf("reading what is known of %s: %w", ref, err)
	}
	return check.Member{Board: b, Knowledge: known}, nil
}

// merged adds what is said of a stack to what is known of one member: what is
// about that member, and what names no member. Neither argument is changed;
// both may be nil.
func merged(own, shared *board.Knowledge, role string) *board.Knowledge {
	if shared == nil {
		return own
	}
	all := board.Knowledge{}
	if own != nil {
		all = *own
	}
	mine := func(targets ...board.Target) bool {
		return slices.ContainsFunc(targets, func(t board.Target) bool { return t.Role == role || t.Role == "" })
	}
	all.Expected = plus(all.Expected, shared.Expected, func(e board.Expected) bool { return mine(e.On) })
	all.Readings = plus(all.Readings, shared.Readings, func(r board.Reading) bool { return mine(r.On) })
	all.Notes = plus(all.Notes, shared.Notes, func(n board.Note) bool { return mine(n.On...) })
	all.Links = plus(all.Links, shared.Links, func(l board.Link) bool { return mine(l.A, l.B) })
	all.Jobs = plus(all.Jobs, shared.Jobs, func(board.Job) bool { return true })
	return &all
}

// plus is a new slice of a and of what of b is wanted.
func plus[T any](a, b []T, want func(T) bool) []T {
	all := slices.Clone(a)
	for _, x := range b {
		if want(x) {
			all = append(all, x)
		}
	}
	return all
}
