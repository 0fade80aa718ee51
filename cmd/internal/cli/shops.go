package cli

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"netlore/query/diag"
	"netlore/store"
	"netlore/store/exchange"
)

// newShops makes `netlore shops`.
func newShops(a *app) *cobra.Command {
	var packs bool
	cmd := &cobra.Command{
		Use:   "shops [--packs]",
		Short: "list the shops that were heard of, and their trust",
		Long: `Shops lists the shops whose packs were taken: the name that each gives itself,
its key, and how far you trust it. A shop is told from another by its key; any
shop can call itself anything. With --packs it lists the packs that were taken
and made, with the numbers by which "netlore merge undo" takes them back.`,
		Args: between(0, 0, "nothing is to be named"),
		RunE: func(cmd *cobra.Command, _ []string) error { return runShops(cmd.Context(), a, packs) },
	}
	cmd.Flags().BoolVar(&packs, "packs", false, "list the packs")
	return cmd
}

func runShops(ctx context.Context, a *app, packs bool) error {
	return a.reading(ctx, func(base *store.Base) error {
		if packs {
			return a.listPacks(ctx, base)
		}
		all, err := base.Shops(ctx)
		if err != nil {
			return err
		}
		gone, err := base.Revocations(ctx)
		if err != nil {
			return err
		}
		if a.json {
			for _, s := range all {
				writeJSON(a.Out, map[string]any{"shop": s.Name, "key": s.Key.String(), "openssh": s.Key.OpenSSH(), "trust": s.Trust(), "entries": s.Entries, "since": timeJSON(s.Since)})
			}
			return nil
		}
		if len(all) == 0 {
			return a.print("no other shop was heard of yet; netlore merge FILE looks into a pack\n")
		}
		t := newText(a, "shop", "key", "trust", "entries", "since", "remark")
		t.numbers(4, 4)
		for _, s := range all {
			t.row(s.Name, s.Key, s.Trust(), s.Entries, date(s.Since), remark(s, gone))
		}
		t.dropEmpty()
		return t.print()
	})
}

// remark is what is to be known of the keys of a shop.
func remark(s store.Shop, gone []store.Revocation) string {
	var parts []string
	if s.Next.Known() {
		parts = append(parts, "its place took "+s.Next.String())
	}
	for _, r := range gone {
		if r.Shop == s.Key {
			parts = append(parts, fmt.Sprintf("%s revoked, heard %s", r.Key, date(r.Heard)))
		}
	}
	return strings.Join(parts, "; ")
}

func (a *app) listPacks(ctx context.Context, base *store.Base) error {
	all, err := base.Receipts(ctx)
	if err != nil {
		return err
	}
	if a.json {
		for _, r := range all {
			writeJSON(a.Out, map[string]any{"number": r.Number, "file": r.From, "made": r.Made, "time": timeJSON(r.Time), "author": r.Author,
				"new": r.New, "known": r.Known, "refused": r.Refused, "undone": timeJSON(r.Undone)})
		}
		return nil
	}
	if len(all) == 0 {
		return a.print("no pack was taken or made yet\n")
	}
	t := newText(a, "pack", "what", "file", "when", "by", "new", "known", "refused", "undone")
	t.numbers(1, 1)
	t.numbers(6, 8)
	for _, r := range all {
		what := "taken"
		if r.Made {
			what = "made"
		}
		t.row(r.Number, what, r.From, r.Time.Format(time.DateOnly), r.Author, r.New, r.Known, r.Refused, date(r.Undone))
	}
	t.dropEmpty()
	return t.print()
}

// newTrust makes `netlore trust`.
func newTrust(a *app) *cobra.Command {
	kinds := everyKind
	cmd := &cobra.Command{
		Use:   "trust KEY unknown|listed|trusted|own [--in KINDS]",
		Short: "say how far the word of another shop counts",
		Long: `Trust says how far a shop is trusted. What a trusted shop says counts like
what is held, unless it contradicts that. What a listed shop expects is one
vote: where three shops agree, their median counts. All else is kept and
shown, and never computed with. Compare the fingerprint over the telephone, or
from the shop's own card, before you trust it.

What your own boards read, and what you say yourself, goes first. Taking trust
back works backwards: what counts is worked out anew, without what that shop
has said. Your own shop, on another bench, is "own".`,
		Example: "  netlore trust dpty-ke51-qb71-sqct-fhnd trusted --in expected,readings",
		Args:    between(2, 2, "give the key of the shop and how far it is trusted; netlore shops lists them"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runTrust(cmd.Context(), a, args[0], args[1], kinds)
		},
	}
	cmd.Flags().Var(name("KINDS", &kinds), "in", "only in these kinds of knowledge")
	return cmd
}

func runTrust(ctx context.Context, a *app, which, word, list string) error {
	level, ok := store.LevelOf(word)
	if !ok {
		return fmt.Errorf("%q is not how a shop is trusted; say %s", word, diag.OneOf("unknown", "listed", "trusted", "own"))
	}
	kinds, err := kindsOf(list)
	if err != nil {
		return err
	}
	return a.withdrawing(ctx, func(base *store.Base) error {
		key, name, err := shopNamed(ctx, base, which)
		if err != nil {
			return err
		}
		adoptions, err := base.Trust(ctx, key, name, level, kinds, a.author())
		if err != nil {
			return err
		}
		if a.json {
			writeJSON(a.Out, map[string]any{"shop": name, "key": key.String(), "trust": word, "kinds": list, "adoptions": adoptionsJSON(adoptions)})
			return nil
		}
		if err := a.line("%s, key %s, is %s in %s", name, key, word, kindWords(kinds)); err != nil {
			return err
		}
		if err := a.tellOtherKeys(ctx, base, key, level, kinds); err != nil {
			return err
		}
		return a.tellAdoptions(adoptions, true)
	})
}

// tellOtherKeys tells of the keys that a shop had before one, or has now, which are trusted
// otherwise: trust is in a key.
func (a *app) tellOtherKeys(ctx context.Context, base *store.Base, key exchange.Key, level store.Level, kinds []exchange.Kind) error {
	all, err := base.Shops(ctx)
	if err != nil {
		return err
	}
	for _, s := range all {
		same := !slices.ContainsFunc(kinds, func(k exchange.Kind) bool { return s.Level(k) != level })
		if s.Was != key && s.Next != key || same {
			continue
		}
		which := "whose place it took"
		if s.Was == key {
			which = "that took its place"
		}
		if err := a.line("the key %s, %s, is %s still; netlore trust %s %s", s.Key, which, s.Trust(), s.Key, level); err != nil {
			return err
		}
	}
	return nil
}

// shopNamed finds a shop by its fingerprint, or takes a whole public key of one
// that was not heard of yet.
func shopNamed(ctx context.Context, base *store.Base, which string) (exchange.Key, string, error) {
	all, err := base.Shops(ctx)
	if err != nil {
		return exchange.Key{}, "", err
	}
	for _, s := range all {
		if s.Key.Typed(which) {
			return s.Key, s.Name, nil
		}
	}
	if key, comment, err := exchange.ParseKey([]byte(which)); err == nil {
		return key, comment, nil
	}
	for _, s := range all {
		if which != "" && len(s.Name) >= len(which) && strings.EqualFold(s.Name[:len(which)], which) {
			return exchange.Key{}, "", hint(fmt.Errorf("a shop is told by its key, for any can call itself %s", s.Name), "netlore shops lists the keys; this one has "+s.Key.String())
		}
	}
	return exchange.Key{}, "", hint(fmt.Errorf("%w: %s", store.ErrUnknownShop, which), "netlore shops lists the shops that were heard of",
		"the whole public key of a shop can be given, too: 'ssh-ed25519 AAAA… NAME'")
}
