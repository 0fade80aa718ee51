package cli

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"netlore/store"
)

// newWithdraw makes `netlore withdraw`.
func newWithdraw(a *app) *cobra.Command {
	var all bool
	cmd := &cobra.Command{
		Use:   "withdraw WORDS|HASH [--all]",
		Short: "take back a note, a reading or an expected value",
		Long: `Withdraw takes back what is said here of a board or stack: a note, a reading,
continuity, an expected value. It counts no more, and the history keeps it.
Where it was shared, the next netlore pack, mirror or link withdraws it there,
too.

  netlore withdraw check the other coil    if just one says these words
  netlore withdraw 3f9a20b1                by the beginning of its hash

What a board is made of is corrected with "netlore add --correct", what another
shop says is kept from counting with "netlore shun", and "netlore purge" deletes
for good.`,
		Args: atLeast(1, "say words of what is to be withdrawn, or the beginning of its hash"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runWithdraw(cmd.Context(), a, strings.Join(args, " "), all)
		},
	}
	cmd.Flags().BoolVar(&all, "all", false, "all statements that say the words")
	return cmd
}

func runWithdraw(ctx context.Context, a *app, what string, all bool) error {
	if strings.TrimSpace(what) == "" {
		return fmt.Errorf("say words of what is to be withdrawn")
	}
	return a.withdrawing(ctx, func(base *store.Base) error {
		found, err := base.Find(ctx, saying(what))
		if err != nil {
			return err
		}
		ours := slices.DeleteFunc(slices.Clone(found), func(f store.Found) bool { return f.Shop.Known() || f.Copy() || !f.Holds })
		if may := slices.DeleteFunc(slices.Clone(ours), func(f store.Found) bool { return f.MayWithdraw() != nil }); len(may) > 0 {
			ours = may // what cannot be withdrawn is told if nothing else can
		}
		switch {
		case len(ours) == 0:
			return a.nothingHere(ctx, base, what, found)
		case ours[0].MayWithdraw() != nil:
			return ours[0].MayWithdraw()
		case len(ours) > 1 && !all:
			if err := a.tellFound(ctx, base, ours); err != nil {
				return err
			}
			return fail(exitUsage, hint(fmt.Errorf("%d statements say so", len(ours)), "say which by its hash: netlore withdraw "+shortHash(ours[0].ID), "--all withdraws all of them"))
		}
		if err := base.WithdrawFound(ctx, ours, a.author()); err != nil {
			return err
		}
		return a.tellWithdrawn(ours)
	})
}

// nothingHere says why there is nothing to withdraw, and what there is instead.
func (a *app) nothingHere(ctx context.Context, base *store.Base, what string, found []store.Found) error {
	if len(found) == 0 {
		return fail(exitFound, fmt.Errorf("nothing in the base says %q", what))
	}
	if err := a.tellFound(ctx, base, found); err != nil {
		return err
	}
	err := fmt.Errorf("nothing that is said here and holds says %q", what)
	if slices.ContainsFunc(found, func(f store.Found) bool { return f.Shop.Known() && !f.Made && f.Holds }) {
		err = hint(err, "netlore shun keeps from counting here what another shop says", "what another bench of this shop has said is withdrawn on that bench")
	}
	return fail(exitFound, err)
}

func (a *app) tellWithdrawn(all []store.Found) error {
	if a.json {
		hashes := []any{}
		for _, f := range all {
			hashes = append(hashes, f.ID.String())
		}
		writeJSON(a.Out, map[string]any{"withdrawn": hashes})
		return nil
	}
	for _, f := range all {
		if err := a.line("withdrawn: %s", saidIn(f.Text)); err != nil {
			return err
		}
	}
	return a.line("where it was shared, the next netlore pack, mirror or link withdraws it there, too")
}
