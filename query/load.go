package query

import (
	"cmp"
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
		first := target{members: []board.Member{{Board: t.boards[0]}}, stacks: t.stacks, meters: t.meters, chances: t.chances, stated: t.stated}
		return first.loadOne(ctx, src)
	}
	scope := &check.Scope{Others: t.others, Meters: t.meters, Chances: t.chances}
	var shared *board.Knowledge
	if t.stack != nil {
		scope.Stack, scope.Joins = t.stack.Name, t.stack.Joins
		known, err := knownOf(ctx, src, t.stack)
		if err != nil {
			return nil, err
		}
		shared = known
	}
	for _, m := range t.members {
		one, err := member(ctx, src, m.Board)
		if err != nil {
			return nil, err
		}
		if one.Role = m.Role; t.stack == nil {
			err = t.addStacks(ctx, src, &one)
		}
		if err != nil {
			return nil, err
		}
		one.Knowledge = merged(one.Knowledge, shared, m.Role)
		t.ring(&one)
		scope.Members = append(scope.Members, one)
	}
	for _, ref := range t.named {
		one, err := member(ctx, src, ref)
		if err != nil {
			return nil, err
		}
		if err := t.addStacks(ctx, src, &one); err != nil {
			return nil, err
		}
		t.ring(&one)
		one.Extra = true
		scope.Members = append(scope.Members, one)
	}
	return scope, nil
}

func knownOf(ctx context.Context, src run.Source, s *board.Stack) (*board.Knowledge, error) {
	known, err := src.Knowledge(ctx, board.Ref{Name: s.Name})
	if err != nil {
		return nil, fmt.Errorf("reading what is known of %s: %w", s.Name, err)
	}
	return known, nil
}

// loadOne is the scope of one of all boards, or stacks.
func (t target) loadOne(ctx context.Context, src run.Source) (*check.Scope, error) {
	scope, err := t.load(ctx, src)
	if err != nil {
		return nil, err
	}
	scope.Lenient = true
	return scope, nil
}

// addStacks adds, to a board that is asked by itself, what is said of it in the
// stack that it is in.
func (t target) addStacks(ctx context.Context, src run.Source, one *check.Member) error {
	for i := range t.stacks {
		s := &t.stacks[i]
		for _, m := range s.Members {
			if m.Board != one.Board.Ref {
				continue
			}
			known, err := knownOf(ctx, src, s)
			if err != nil {
				return err
			}
			one.InStack, one.Within = s.Name, m.Role
			one.Knowledge = merged(one.Knowledge, known, m.Role)
		}
	}
	return nil
}

// ring puts the places of a board that ring on the nets that they ring to.
func (t target) ring(one *check.Member) {
	if !t.stated && one.Knowledge != nil {
		one.Board = one.Board.Ringing(one.Knowledge.Touches(cmp.Or(one.Role, one.Within)))
	}
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
