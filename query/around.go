package query

import (
	"context"
	"slices"

	"netlore/query/check"
	"netlore/query/run"
	"netlore/query/words"
	"netlore/store/board"
)

// netIndex is a source that knows which boards have a net of some name. Around
// finds the boards with nets or branches whose names begin with one of the
// prefixes, whatever the case of their letters, and fit. Of each it gives what
// shows an excerpt of it: the parts on these nets, and the covers over them; nil
// is shown if the board must be read as a whole. Many goroutines may look at
// excerpts at a time, and each is there during the call only.
type netIndex interface {
	Around(ctx context.Context, prefixes []string, fits func(name string) bool) (map[board.Ref]func(show func(*board.Board)) error, error)
}

// nearby is what a question of every board need look at.
type nearby struct {
	names  []string // that the question asks for
	boards map[board.Ref]func(show func(*board.Board)) error
}

// around finds the boards that a question of every board need look at. It is
// nil if that is all of them: the question is not one about parts on nets that
// it names, or the source has no index.
func (q *Question) around(ctx context.Context, src run.Source) (*nearby, error) {
	index, ok := src.(netIndex)
	if !ok || q.typed.PlanOf || !q.onlyEvery() {
		return nil, nil
	}
	var r reach
	if !r.question(q.typed) {
		return nil, nil
	}
	var prefixes []string
	var fit []func(string) bool
	for _, name := range r.names {
		some, fits, ok := check.Lookup(name)
		if !ok {
			return nil, nil
		}
		prefixes, fit = append(prefixes, some...), append(fit, fits)
	}
	found, err := index.Around(ctx, prefixes, func(name string) bool {
		return slices.ContainsFunc(fit, func(fits func(string) bool) bool { return fits(name) })
	})
	return &nearby{r.names, found}, err
}

// hits are the places of the boards that know one of the names.
func (n *nearby) hits(all []target) []int {
	var hits []int
	for i := range all {
		if n == nil || n.boards[all[i].members[0].Board] != nil {
			hits = append(hits, i)
		}
	}
	return hits
}

// show shows the excerpt of a board that tells all that is asked, or nil.
func (n *nearby) show(t target, ask func(excerpt *board.Board)) error {
	if n == nil {
		ask(nil)
		return nil
	}
	return n.boards[t.members[0].Board](ask)
}

// onlyEvery reports whether every selection of the question is of every board.
func (q *Question) onlyEvery() bool {
	for _, s := range q.tree.Slots() {
		if s.Relation != nil && s.Relation.Word == "in" && s.Leader != "every" {
			return false
		}
	}
	return true
}

// reach finds out whether a question looks at nothing but parts on nets that it
// names, what is said of these parts, and the covers over them.
type reach struct{ names []string }

func (r *reach) question(q *check.Question) bool {
	fields := append(slices.Clone(q.By), q.Show...)
	for _, key := range q.Sort {
		if !key.Aggregate {
			fields = append(fields, key.Field)
		}
	}
	if q.Aggregate != nil && q.Aggregate.Field.Field != nil {
		fields = append(fields, q.Aggregate.Field)
	}
	return r.set(q.Set) && !slices.ContainsFunc(fields, func(f check.Field) bool { return !ofPart(f) })
}

// ofPart reports whether a field of a part is known from the part and the
// covers over it.
func ofPart(f check.Field) bool {
	switch f.ID {
	case words.Distance, words.NetOf, words.PinCount, words.NotesOf:
		return false
	}
	return true
}

func (r *reach) set(set check.Set) bool {
	switch s := set.(type) {
	case *check.Combine:
		return r.set(s.L) && r.set(s.R)
	case *check.Select:
		return s.Of == words.Parts && s.Where != nil && anchored(s.Where) && r.pred(s.Where)
	}
	return false
}

// anchored reports whether a predicate holds only for things on nets that are
// named.
func anchored(p check.Pred) bool {
	switch p := p.(type) {
	case check.All:
		return slices.ContainsFunc(p.Preds, anchored)
	case check.Any:
		return !slices.ContainsFunc(p.Preds, func(p check.Pred) bool { return !anchored(p) })
	case check.Related:
		_, named := p.Operand.(check.Names)
		return p.Relation == words.On && named
	}
	return false
}

func (r *reach) pred(p check.Pred) bool {
	switch p := p.(type) {
	case check.All:
		return r.preds(p.Preds)
	case check.Any:
		return r.preds(p.Preds)
	case check.Not:
		return r.pred(p.Pred)
	case check.Compare:
		return ofPart(p.Field)
	case check.Has:
		return ofPart(p.Field)
	case check.IsUnknown:
		return ofPart(p.Field)
	case check.Related:
		return r.related(p)
	}
	return false
}

func (r *reach) preds(all []check.Pred) bool {
	return !slices.ContainsFunc(all, func(p check.Pred) bool { return !r.pred(p) })
}

// related takes the names of nets, and covers by their kind only: an excerpt
// need not have a cover that is named.
func (r *reach) related(p check.Related) bool {
	switch operand := p.Operand.(type) {
	case check.Names:
		for _, n := range operand.List {
			if !slices.Contains(r.names, n.Text) {
				r.names = append(r.names, n.Text)
			}
		}
		return p.Relation == words.On
	case check.Anything, check.Kinds:
		return p.Relation == words.Under
	}
	return false
}
