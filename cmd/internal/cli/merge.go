package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"netlore/query/diag"
	"netlore/store"
	"netlore/store/exchange"
	"netlore/store/exchange/link"
)

type mergeOptions struct {
	take bool
	from string // the pack as the command line names it
}

// newMerge makes `netlore merge`.
func newMerge(a *app) *cobra.Command {
	var opt mergeOptions
	cmd := &cobra.Command{
		Use:   "merge FILE|FOLDER|-... [--take]",
		Short: "look into packs of other shops, and take them",
		Long: `Merge tells what is in packs: whose word it is, what is new, what contradicts
what is held, and what is signed badly or not at all. It takes nothing, unless
--take says so.

What a shop says counts as far as it is trusted: "netlore trust KEY trusted".
Until then it is kept apart and never computed with. Your own word goes first,
and of two shops that contradict each other neither is believed. Taking the
same pack twice is harmless, and the order does not matter. "netlore merge
undo NUMBER" takes a pack back as a whole.`,
		Args: atLeast(1, "name the packs"),
		RunE: func(cmd *cobra.Command, args []string) error { return runMerge(cmd.Context(), a, opt, args) },
	}
	cmd.Flags().BoolVar(&opt.take, "take", false, "take what the packs hold")
	undo := newMergeUndo(a)
	undo.DisableFlagsInUseLine = true
	cmd.AddCommand(undo)
	return cmd
}

func runMerge(ctx context.Context, a *app, opt mergeOptions, args []string) error {
	packs, err := packsIn(args)
	if err != nil {
		return err
	}
	found := false
	merge := func(base *store.Base) error {
		for _, path := range packs {
			odd, err := a.merge(ctx, base, path, opt)
			if found = found || odd; err != nil {
				return err
			}
		}
		return nil
	}
	if opt.take {
		err = a.writing(ctx, merge)
	} else if err = a.reading(ctx, merge); errors.Is(err, store.ErrNoBase) {
		empty := store.OpenMemory(a.now)
		defer empty.Close()
		err = merge(empty)
	}
	if err == nil && found {
		return fail(exitFound, nil)
	}
	return err
}

// packsIn lists the packs that the words of a command line name.
func packsIn(args []string) (packs []string, err error) {
	for _, arg := range args {
		info, err := os.Stat(arg)
		switch {
		case arg == stdin:
			packs = append(packs, arg)
		case err != nil:
			return nil, fail(exitInput, fileError(arg, err))
		case !info.IsDir():
			packs = append(packs, arg)
		default:
			found, _ := filepath.Glob(filepath.Join(strings.NewReplacer("*", "\\*", "?", "\\?", "[", "\\[").Replace(arg), "*.pack")) // the pattern is sound
			if len(found) == 0 {
				return nil, fail(exitInput, fmt.Errorf("%s is a folder without any pack (*.pack)", arg))
			}
			packs = append(packs, found...)
		}
	}
	return packs, nil
}

// merge looks into a pack, or takes it. It reports whether something was odd.
func (a *app) merge(ctx context.Context, base *store.Base, path string, opt mergeOptions) (odd bool, err error) {
	var in io.Reader = a.In
	name := "standard input"
	opt.from = path
	if path != stdin {
		file, err := os.Open(path)
		if err != nil {
			return false, fail(exitInput, fileError(path, err))
		}
		defer file.Close()
		in, name = file, filepath.ToSlash(path)
	}
	pack, err := exchange.NewReader(in, name, a.now())
	if err != nil {
		return false, packError(err)
	}
	p := newProgress(a, "reading "+name)
	taken, err := base.Take(ctx, pack.Next, store.Taking{From: name, Author: a.author(), Look: !opt.take,
		Progress: func(entries int) { p.show("reading %s: %d entries", name, entries) }})
	p.done()
	if taken != nil {
		if told := a.tellTaken(ctx, base, name, taken, opt); told != nil {
			return false, told
		}
		odd = len(taken.Refused) > 0
	}
	return odd, packError(err)
}

// packError gives what is wrong with a pack its exit code.
func packError(err error) error {
	var d diag.Diagnostic
	if errors.As(err, &d) {
		return fail(exitInput, d)
	}
	return err
}

// newMergeUndo makes `netlore merge undo`.
func newMergeUndo(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "undo NUMBER",
		Short: "take back a pack that was taken",
		Long: `Undo deletes what came with a pack and with no pack before it, and works out
what counts without it. What shops have said about their keys stays. "netlore
shops --packs" lists the packs with their numbers.

What it came from still has it: the same pack can be taken again, and the next
netlore mirror or netlore link takes it again by itself. To keep it from
counting for good, use netlore shun, or netlore trust for all of a shop.`,
		Args: between(1, 1, "give the number of the pack; netlore shops --packs lists them"),
		RunE: func(cmd *cobra.Command, args []string) error { return runMergeUndo(cmd.Context(), a, args[0]) },
	}
}

func runMergeUndo(ctx context.Context, a *app, number string) error {
	n, err := strconv.ParseUint(number, 10, 64)
	if err != nil {
		return fmt.Errorf("%q is no number of a pack", number)
	}
	return a.withdrawing(ctx, func(base *store.Base) error {
		rec, adoptions, err := base.UndoTake(ctx, n, a.author())
		if errors.Is(err, store.ErrUnknownReceipt) {
			return hint(err, "netlore shops --packs lists them")
		}
		if err != nil {
			return err
		}
		if a.json {
			writeJSON(a.Out, map[string]any{"pack": rec.From, "receipt": rec.Number, "taken": timeJSON(rec.Time), "undone": timeJSON(rec.Undone), "adoptions": adoptionsJSON(adoptions)})
			return nil
		}
		if err := errors.Join(a.line("%s, taken %s, was taken back", rec.From, date(rec.Time)), a.tellAdoptions(adoptions, true)); err != nil {
			return err
		}
		if log, found := strings.CutPrefix(rec.From, link.FromLog); found {
			return a.line("the log %s still has it: netlore link takes it again when it is begun anew", log)
		}
		return nil
	})
}

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
