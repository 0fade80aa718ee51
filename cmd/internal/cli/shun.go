package cli

import (
	"context"
	"encoding/hex"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"netlore/store"
	"netlore/store/exchange"
)

type shunOptions struct {
	back, all bool
	because   string
}

// newShun makes `netlore shun`.
func newShun(a *app) *cobra.Command {
	var opt shunOptions
	cmd := &cobra.Command{
		Use:   "shun [WORDS|HASH]",
		Short: "keep a statement of another shop from counting here",
		Long: `Shun keeps a statement of another shop from counting here, however far that shop
is trusted: also after the next merge, which brings back what was only removed.
Nothing is said to that shop, and the statement stays where it is kept.

  netlore shun note on C2          if just one says these words
  netlore shun 3f9a20b1 --because 'it is the other coil'
  netlore shun                     what is shunned
  netlore shun --back 3f9a20b1     lets it count again`,
		Args: cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			return runShun(cmd.Context(), a, opt, strings.Join(args, " "))
		},
	}
	cmd.Flags().BoolVar(&opt.back, "back", false, "let what was shunned count again")
	cmd.Flags().BoolVar(&opt.all, "all", false, "all statements that say the words")
	cmd.Flags().Var(name("TEXT", &opt.because), "because", "why")
	return cmd
}

func runShun(ctx context.Context, a *app, opt shunOptions, what string) error {
	switch {
	case what == "" && !opt.back:
		return a.reading(ctx, func(base *store.Base) error { return a.listShunned(ctx, base) })
	case opt.back:
		return a.withdrawing(ctx, func(base *store.Base) error { return a.unshun(ctx, base, what) })
	}
	return a.withdrawing(ctx, func(base *store.Base) error {
		says := saying(what)
		found, err := base.Find(ctx, func(f *store.Found) bool { return f.Shop.Known() && !f.Made && says(f) })
		switch {
		case err != nil:
			return err
		case len(found) == 0:
			return hint(fmt.Errorf("no other shop says %q", what), "netlore purge WORDS finds what is said here, too")
		case len(found) > 1 && !opt.all:
			if err := a.tellFound(ctx, base, found); err != nil {
				return err
			}
			return fail(exitUsage, hint(fmt.Errorf("%d statements say so", len(found)), "say which by its hash: netlore shun "+shortHash(found[0].ID), "--all shuns all of them"))
		}
		adoptions, err := base.Shun(ctx, found, a.author(), opt.because)
		if err != nil {
			return err
		}
		if a.json {
			hashes := []any{}
			for _, f := range found {
				hashes = append(hashes, f.ID.String())
			}
			writeJSON(a.Out, map[string]any{"shunned": hashes, "because": opt.because, "adoptions": adoptionsJSON(adoptions)})
			return nil
		}
		for _, f := range found {
			if err := a.line("shunned: %s; netlore shun --back %s lets it count again", saidIn(f.Text), shortHash(f.ID)); err != nil {
				return err
			}
		}
		return a.tellAdoptions(adoptions, true)
	})
}

func (a *app) unshun(ctx context.Context, base *store.Base, what string) error {
	all, err := base.Shunned(ctx)
	if err != nil {
		return err
	}
	var ids []exchange.ID
	for _, s := range all {
		if isHash(what) && strings.HasPrefix(s.ID.String(), strings.ToLower(what)) {
			ids = append(ids, s.ID)
		}
	}
	if len(ids) != 1 {
		return hint(fmt.Errorf("%q is not the hash of one statement that is shunned", what), "netlore shun lists them")
	}
	adoptions, err := base.Unshun(ctx, ids[0], a.author())
	if err != nil {
		return err
	}
	if a.json {
		writeJSON(a.Out, map[string]any{"counts_again": ids[0].String(), "adoptions": adoptionsJSON(adoptions)})
		return nil
	}
	return a.tellAdoptions(adoptions, true)
}

func (a *app) listShunned(ctx context.Context, base *store.Base) error {
	all, err := base.Shunned(ctx)
	if err != nil {
		return err
	}
	names, err := shopNames(ctx, base)
	if err != nil {
		return err
	}
	if a.json {
		for _, s := range all {
			writeJSON(a.Out, map[string]any{"hash": s.ID.String(), "on": s.Subject.String(), "shop": names[s.Shop], "key": s.Shop.String(), "text": s.Text,
				"purged": s.Purged, "author": s.Author, "time": timeJSON(s.Time), "because": s.Because})
		}
		return nil
	}
	if len(all) == 0 {
		return a.line("nothing is shunned")
	}
	t := newText(a, "hash", "statement", "on", "shop", "since", "by", "because")
	for _, s := range all {
		text := saidIn(s.Text)
		if s.Purged {
			text = "(purged)"
		}
		t.row(shortHash(store.ID(s.ID)), text, s.Subject, names[s.Shop], date(s.Time), s.Author, s.Because)
	}
	t.dropEmpty()
	return t.print()
}

// tellFound lists statements with what became of them.
func (a *app) tellFound(ctx context.Context, base *store.Base, found []store.Found) error {
	names, err := shopNames(ctx, base)
	if err != nil {
		return err
	}
	if a.json {
		for _, f := range found {
			writeJSON(a.Out, map[string]any{"hash": f.ID.String(), "on": f.Subject.String(), "text": f.Text, "shop": names[f.Shop], "made": f.Made, "state": stateOf(&f)})
		}
		return nil
	}
	t := newText(a, "hash", "statement", "on", "shop", "state")
	for _, f := range found {
		t.row(shortHash(f.ID), saidIn(f.Text), f.Subject, names[f.Shop], stateOf(&f))
	}
	t.dropEmpty()
	return t.print()
}

func stateOf(f *store.Found) string {
	switch {
	case f.Shunned:
		return "shunned"
	case f.Gone:
		return "withdrawn"
	case f.Made:
		return "signed for other shops"
	case f.Shop.Known() && f.Holds:
		return "counts"
	case f.Shop.Known():
		return "does not count"
	case f.Copy():
		return "copy of another shop's"
	case f.Holds:
		return "holds"
	}
	return "holds no more"
}

func shopNames(ctx context.Context, base *store.Base) (map[exchange.Key]string, error) {
	all, err := base.Shops(ctx)
	names := map[exchange.Key]string{}
	for _, s := range all {
		names[s.Key] = s.Name
	}
	return names, err
}

// saying finds a statement by the beginning of its hash, or by words that it says, in
// letters of any size.
func saying(what string) func(*store.Found) bool {
	what = strings.ToLower(what)
	return func(f *store.Found) bool {
		return isHash(what) && strings.HasPrefix(f.ID.String(), what) || strings.Contains(strings.ToLower(f.Text), what)
	}
}

// leastHash is how many letters of a hash tell it from a word.
const leastHash = 6

func isHash(s string) bool {
	_, err := hex.DecodeString(s + strings.Repeat("0", len(s)%2))
	return err == nil && len(s) >= leastHash
}

func shortHash(id store.ID) string { return id.String()[:12] }

// saidIn is a statement in one line.
func saidIn(text string) string {
	var lines []string
	for line := range strings.Lines(text) {
		lines = append(lines, strings.TrimSpace(line))
	}
	const most = 4
	if len(lines) > most {
		lines = append(lines[:most], "…")
	}
	return strings.Join(lines, " · ")
}
