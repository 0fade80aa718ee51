package check

import (
	"netlore/query/diag"
	"netlore/query/words"
)

// Uncomputed complains of a question that is well put, but asks for what a question
// cannot have in this version, but a command tells: suspects and tests.
func (q *Question) Uncomputed() diag.List {
	at, noun := uncomputed(q.Set)
	if noun == words.NoNoun {
		return nil
	}
	d := diag.Diagnostic{Code: "Q70", Range: at, Message: noun.String() + " are told by a command in this version; the question is well put, and nothing is wrong with it",
		Help: []string{"netlore suspects 1042 ranks what may be bad in job 1042", "netlore next 1042 proposes the next test"}}
	return diag.List{d.At(q.Text)}
}

// uncomputed finds the first set of such things, and of what noun it is.
func uncomputed(s Set) (diag.Range, words.Noun) {
	switch s := s.(type) {
	case *Combine:
		if at, noun := uncomputed(s.L); noun != words.NoNoun {
			return at, noun
		}
		return uncomputed(s.R)
	case *Select:
		if s.Of == words.Suspects || s.Of == words.Tests {
			return s.Span, s.Of
		}
		return uncomputedIn(s.Where)
	}
	return diag.Range{}, words.NoNoun
}

func uncomputedIn(p Pred) (diag.Range, words.Noun) {
	var list []Pred
	switch p := p.(type) {
	case All:
		list = p.Preds
	case Any:
		list = p.Preds
	case Not:
		list = []Pred{p.Pred}
	case Related:
		return uncomputedOf(p.Operand)
	}
	for _, one := range list {
		if at, noun := uncomputedIn(one); noun != words.NoNoun {
			return at, noun
		}
	}
	return diag.Range{}, words.NoNoun
}

func uncomputedOf(o Operand) (diag.Range, words.Noun) {
	switch o := o.(type) {
	case Sub:
		return uncomputed(o.Set)
	case Either:
		for _, one := range o.List {
			if at, noun := uncomputedOf(one); noun != words.NoNoun {
				return at, noun
			}
		}
	}
	return diag.Range{}, words.NoNoun
}
