package cli

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"netlore/query/diag"
	"netlore/store"
	"netlore/store/exchange"
)

// tellAdoptions tells what counts now, or would count, on each subject.
func (a *app) tellAdoptions(all []store.Adoption, done bool) error {
	for _, ad := range all {
		if err := a.line("%s: %s", ad.Subject, adopted(ad, done)); err != nil {
			return err
		}
		for i, d := range ad.Disputed {
			if i == mostDisputes {
				if err := a.line("  … and %d more", len(ad.Disputed)-i); err != nil {
					return err
				}
				break
			}
			text, _, _ := strings.Cut(d.Text, "\n")
			if err := a.line("  disputed, and does not count: %s (%s says so; %s)", text, d.Shop, d.Against); err != nil {
				return err
			}
		}
	}
	return nil
}

// mostDisputes is how many disputes on one subject are told one by one.
const mostDisputes = 10

func adopted(ad store.Adoption, done bool) string {
	var parts []string
	count, stop := "would count that did not", "would not count any more"
	if done {
		count, stop = "count now", "do not count any more"
	}
	for _, p := range []struct {
		n    int
		what string
	}{{ad.Added, count}, {ad.Withdrawn, stop}, {ad.Agreed, "of these what three or more shops agree on"}, {ad.Moved, "expected values moved by more than 5 %"}, {len(ad.Disputed), "disputed"},
		{ad.Yielded, "expected by others where your own boards or word tell"}, {ad.Waiting, "of shops that are not trusted in them"}, {ad.Shunned, "shunned here"}} {
		if p.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", p.n, p.what))
		}
	}
	if len(parts) == 0 {
		return "nothing changes"
	}
	return strings.Join(parts, ", ")
}

// tellTaken tells what a pack came to, or would come to.
func (a *app) tellTaken(ctx context.Context, base *store.Base, name string, t *store.Taken, opt mergeOptions) error {
	if a.json {
		writeJSON(a.Out, takenJSON(name, t))
		return nil
	}
	if err := a.line("%s: %s new, %d known already", name, plural(t.New, "statement"), t.Known); err != nil {
		return err
	}
	if err := a.tellWhatCame(ctx, base, t, opt.take); err != nil {
		return err
	}
	if t.Unsure {
		if err := a.line("it is too much to tell beforehand what of it would count"); err != nil {
			return err
		}
	}
	switch {
	case !opt.take && t.Batches == 0:
		return a.line("nothing was taken, and there is nothing to take")
	case !opt.take:
		return a.line("nothing was taken; netlore merge %s --take takes it", shellWord(opt.from))
	}
	return a.line("taken as pack %d; netlore merge undo %d takes it back", t.Receipt, t.Receipt)
}

// tellWhatCame tells of whom something came, what was refused, and what counts of it now,
// or would.
func (a *app) tellWhatCame(ctx context.Context, base *store.Base, t *store.Taken, done bool) error {
	known, err := base.Shops(ctx)
	if err != nil {
		return err
	}
	own := a.self().Keys()
	for _, from := range t.Shops {
		if err := a.tellShop(from, known, own); err != nil {
			return err
		}
	}
	if t.Further > 0 {
		if err := a.line("  … and %s of further shops", plural(t.Further, "statement")); err != nil {
			return err
		}
	}
	for _, said := range t.Said {
		if err := a.line("%s", said); err != nil {
			return err
		}
	}
	a.complain(refusals(t))
	if t.More > 0 {
		a.say("… and %d more were not taken", t.More)
	}
	return a.tellAdoptions(t.Adoptions, done)
}

// tellShop tells of whose word a pack is, and how far it counts; own are the keys of this
// shop.
func (a *app) tellShop(from store.TakenFrom, known []store.Shop, own []exchange.Key) error {
	if err := a.line("  %d by %s, key %s: %s", from.New+from.Known, from.Signer, from.Signer.Shop, from.Shop.Trust()); err != nil {
		return err
	}
	if from.Shop.Trust() == store.Unknown.String() {
		level, who := store.Trusted, ""
		if slices.Contains(own, from.Signer.Shop) {
			level, who = store.Own, "your own shop; "
		}
		if err := a.line("    %skept apart until you say: netlore trust %s %s", who, from.Signer.Shop, level); err != nil {
			return err
		}
	}
	i := slices.IndexFunc(known, func(s store.Shop) bool {
		return strings.EqualFold(s.Name, from.Signer.Name) && s.Key != from.Signer.Shop && s.Next != from.Signer.Shop && s.Was != from.Signer.Shop && s.Name != ""
	})
	if i < 0 {
		return nil
	}
	return a.line("    another shop of that name is known, with the key %s: ask which is which", known[i].Key)
}

func refusals(t *store.Taken) (list diag.List) {
	for _, err := range t.Refused {
		var d diag.Diagnostic
		if errors.As(err, &d) {
			list = append(list, d)
		}
	}
	return list
}

func takenJSON(name string, t *store.Taken) map[string]any {
	shops, refused := []any{}, []any{}
	for _, s := range t.Shops {
		shops = append(shops, map[string]any{"shop": s.Signer.Name, "key": s.Signer.Shop.String(), "bench": s.Signer.Bench, "trust": s.Shop.Trust(), "new": s.New, "known": s.Known})
	}
	for _, d := range refusals(t) {
		refused = append(refused, jsonDiagnostic(d))
	}
	return map[string]any{"pack": name, "receipt": t.Receipt, "new": t.New, "known": t.Known, "shops": shops, "further": t.Further, "unsure": t.Unsure, "said": given(t.Said), "adoptions": adoptionsJSON(t.Adoptions), "refused": refused, "refused_more": t.More}
}

func adoptionsJSON(all []store.Adoption) []any {
	adoptions := []any{}
	for _, ad := range all {
		disputed := []any{}
		for _, d := range ad.Disputed {
			disputed = append(disputed, map[string]string{"text": d.Text, "shop": d.Shop.String(), "against": d.Against})
		}
		adoptions = append(adoptions, map[string]any{"subject": ad.Subject.String(), "added": ad.Added, "withdrawn": ad.Withdrawn, "held": ad.Held, "agreed": ad.Agreed, "moved": ad.Moved, "yielded": ad.Yielded, "waiting": ad.Waiting, "shunned": ad.Shunned, "disputed": disputed})
	}
	return adoptions
}
