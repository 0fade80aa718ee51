package query

import (
	"context"

	"netlore/query/check"
	"netlore/query/diag"
	"netlore/query/run"
	"netlore/query/syntax"
)

// Completion is what can be put at a place in a question.
type Completion struct {
	Replace diag.Range // bytes of the text that an offer replaces
	Offers  []check.Offer
}

// mostOffers is how many offers a completion has at most.
const mostOffers = 200

// Complete offers what can stand where the cursor is: words of the language,
// nouns, fields, and the names of what is asked, quoted where needed. The same
// trial that words complaints finds them. It offers what it can: if it is not
// clear what is asked, or the source fails, names are left out.
func Complete(ctx context.Context, src run.Source, opt Options, text string, offset int) Completion {
	var shelf *syntax.Shelf
	if all, err := src.Catalogue(ctx); err == nil {
		shelf = opt.shelf(all)
	}
	at := shelf.At(text, offset)
	c := Completion{Replace: at.Replace}
	for _, w := range at.Words {
		c.Offers = append(c.Offers, check.Offer{Text: w, Sort: "word"})
	}
	if at.Slot == nil {
		return c
	}
	scope := &check.Scope{}
	if at.Slot.Kind == syntax.NameSlot || at.Slot.Kind == syntax.ThingSlot {
		scope = scopeFor(ctx, src, opt, at.Question)
	}
	c.Offers = append(check.Offers(scope, at.Slot, at.Prefix, mostOffers), c.Offers...)
	return c
}

// scopeFor loads what an unfinished question would be asked of, as far as that
// is clear.
func scopeFor(ctx context.Context, src run.Source, opt Options, q *syntax.Question) *check.Scope {
	all, err := src.Catalogue(ctx)
	if err != nil {
		return &check.Scope{}
	}
	var names []string
	for _, ref := range newest(all) {
		names = append(names, ref.Name)
	}
	t, list := choose(all, opt.On, q)
	if list != nil {
		return &check.Scope{Others: names}
	}
	scope, err := t.load(ctx, src)
	if err != nil {
		return &check.Scope{Others: names}
	}
	scope.Others = names
	return scope
}
