package query

import (
	"context"

	"netlore/query/check"
	"netlore/query/run"
	"netlore/query/words"
	"netlore/store/board"
)

// runOnEvery asks every board, several at a time, and takes what they say in
// their order. Boards that know none of the names are not looked at. If each is
// not nil it is handed the rows on the way.
func (q *Question) runOnEvery(ctx context.Context, src run.Source, r *run.Runner, each func([]run.Column, []run.Row) error) error {
	near, err := q.around(ctx, src)
	if err != nil {
		return err
	}
	all := q.target.each(q.noun())
	hits := near.hits(all)
	passed := 0 // of all
	pass := func(to int) {
		if to > passed {
			r.AddNone(ctx, q.typed, near.names, to-passed)
		}
		passed = to + 1
	}
	for i, said := range inOrder(len(hits), func(i int) said { return q.askOne(ctx, src, r, near, all[hits[i]]) }) {
		pass(hits[i])
		if said.err != nil {
			return said.err
		}
		if said.part == nil {
			r.LeaveOut(said.leftOut)
		} else {
			r.Take(said.part)
		}
		if each != nil {
			if err := r.HandOver(each); err != nil {
				return err
			}
		}
		if r.Stopped() {
			return nil
		}
	}
	pass(len(all))
	return nil
}

// said is what one of the boards has to say: a part of the answer, or why it is
// left out.
type said struct {
	part    *run.Part
	leftOut string
	err     error
}

// askOne asks one of the boards of `in every board`.
func (q *Question) askOne(ctx context.Context, src run.Source, r *run.Runner, near *nearby, t target) (s said) {
	err := near.show(t, func(excerpt *board.Board) {
		if excerpt != nil {
			s = q.askIn(ctx, r, &check.Scope{Members: []check.Member{{Board: excerpt}}, Lenient: true})
			return
		}
		if scope, err := t.loadOne(ctx, src); err != nil {
			s.err = err
		} else {
			s = q.askIn(ctx, r, scope)
		}
	})
	if err != nil {
		s.err = err
	}
	return s
}

func (q *Question) askIn(ctx context.Context, r *run.Runner, scope *check.Scope) said {
	typed, list := q.asked.Check(scope)
	if typed == nil {
		return said{leftOut: list[0].Message}
	}
	return said{part: r.Ask(ctx, typed)}
}

// each is a target for each board of `in every board`. Jobs and their
// observations are those of a stack as a whole, so there it is one for each
// stack and for each board that is in none.
func (t target) each(noun words.Noun) []target {
	all := make([]target, 0, len(t.boards))
	whole := noun == words.Jobs || noun == words.Observations
	inStack := map[board.Ref]bool{}
	if whole {
		for i := range t.stacks {
			s := &t.stacks[i]
			all = append(all, target{stack: s, members: s.Members, meters: t.meters, chances: t.chances, stated: t.stated})
			for _, m := range s.Members {
				inStack[m.Board] = true
			}
		}
	}
	members := make([]board.Member, len(t.boards))
	for i, ref := range t.boards {
		if members[i].Board = ref; !inStack[ref] {
			all = append(all, target{members: members[i : i+1], stacks: t.stacks, meters: t.meters, chances: t.chances, stated: t.stated})
		}
	}
	return all
}
