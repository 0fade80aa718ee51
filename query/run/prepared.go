package run

import "netlore/query/plan"

// prepared is how a question is answered on one member of its scope, and in what
// form: all that is the same each time it is asked.
type prepared struct {
	plan *plan.Plan
	form form
}

// preparedKey is what it depends on besides the question.
type preparedKey struct {
	member int
	opt    plan.Options
}

// prepared is kept with the question, as a statement is prepared in a database.
// A board that is one of many has a question of its own that is asked once.
func (w *assembly) prepared(member int) *prepared {
	if w.scope.Lenient {
		return w.prepare(member)
	}
	return w.q.Keep(preparedKey{member, w.opt}, func() any { return w.prepare(member) }).(*prepared)
}

func (w *assembly) prepare(member int) *prepared {
	p := plan.Of(w.q.Set, w.scope, member, w.opt)
	return &prepared{p, newForm(w.q, p.Root, w.scope.Members[member].Role)}
}
