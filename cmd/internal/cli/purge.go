package cli

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"netlore/store"
)

// newPurge makes `netlore purge`.
func newPurge(a *app) *cobra.Command {
	var really bool
	cmd := &cobra.Command{
		Use:   "purge WORDS|HASH [--delete]",
		Short: "find statements by their words, and delete them for good",
		Long: `Purge finds what says some words, whether or not it still holds: notes,
readings, what other shops say. With --delete it is deleted: no file of the base
holds it any more, and what another shop says does not come back with the next
merge. The history keeps that there was something.

What a board is made of has to be corrected first, a step of a job taken back,
and what was signed for other shops withdrawn by the next pack, so that they
lose it, too. Backups and copies of the base still have what they had.`,
		Example: "  netlore purge Smith\n  netlore purge Smith --delete",
		Args:    atLeast(1, "say words of what is to be found, or the beginning of its hash"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runPurge(cmd.Context(), a, strings.Join(args, " "), really)
		},
	}
	cmd.Flags().BoolVar(&really, "delete", false, "delete what is found")
	return cmd
}

func runPurge(ctx context.Context, a *app, what string, really bool) error {
	if strings.TrimSpace(what) == "" {
		return errors.New("say words of what is to be found")
	}
	find := func(base *store.Base) ([]store.Found, error) {
		found, err := base.Find(ctx, saying(what))
		if err == nil && len(found) == 0 {
			err = fail(exitFound, fmt.Errorf("nothing in the base says %q", what))
		}
		return found, err
	}
	if !really {
		return a.reading(ctx, func(base *store.Base) error {
			found, err := find(base)
			if err != nil {
				return err
			}
			if err := a.tellFound(ctx, base, found); err != nil {
				return err
			}
			a.say("nothing was deleted; --delete deletes %s", plural(len(found), "statement"))
			return nil
		})
	}
	deleted := 0
	if err := a.withdrawing(ctx, func(base *store.Base) error {
		found, err := find(base)
		if err != nil {
			return err
		}
		deleted = len(found)
		return base.Purge(ctx, found, a.author())
	}); err != nil {
		return err
	}
	// What was deleted before the base was opened leaves its files.
	if err := a.writing(ctx, (*store.Base).Flatten); err != nil {
		return err
	}
	return a.line("%s deleted; backups and copies of the base still have what they had", plural(deleted, "statement"))
}
