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
merge. The history keeps that there was something. What was cut short is
finished by saying it again.

What a board is made of has to be corrected first, a step of a job taken back,
and what was signed for other shops withdrawn with "netlore withdraw" and packed
again, so that they lose it, too. Backups and copies of the base still have what
they had.`,
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
	if really {
		return a.purge(ctx, what)
	}
	return a.reading(ctx, func(base *store.Base) error {
		found, begun, err := a.toPurge(ctx, base, what)
		if err != nil {
			return err
		}
		if len(found) == 0 {
			return nothingSays(what, begun)
		}
		if err := a.tellFound(ctx, base, found); err != nil {
			return err
		}
		a.notice("nothing was deleted; --delete deletes " + plural(len(found), "statement"))
		if begun != nil {
			a.notice(fmt.Sprintf("a purge that %s has begun on %s was cut short; --delete clears the files of what it deleted, too", begun.Author, date(begun.Time)))
		}
		return nil
	})
}

// toPurge finds what says some words, and a purge that was cut short.
func (a *app) toPurge(ctx context.Context, base *store.Base, what string) (found []store.Found, begun *store.Purging, err error) {
	if begun, err = base.Purging(); err != nil {
		return nil, nil, err
	}
	found, err = base.Find(ctx, saying(what))
	return found, begun, err
}

// nothingSays says that nothing is to be purged but, maybe, what the files still hold.
func nothingSays(what string, begun *store.Purging) error {
	err := fmt.Errorf("nothing in the base says %q", what)
	if begun != nil {
		err = hint(err, fmt.Sprintf("a purge that %s has begun on %s was cut short, so files may still hold what it deleted; --delete clears them", begun.Author, date(begun.Time)))
	}
	return fail(exitFound, err)
}

// purge deletes what says some words, and finishes what was cut short.
func (a *app) purge(ctx context.Context, what string) error {
	var found []store.Found
	var begun *store.Purging
	err := a.withdrawing(ctx, func(base *store.Base) (err error) {
		found, begun, err = a.purgeIn(ctx, base, what)
		return err
	})
	if err == nil {
		// What was deleted before the base was opened leaves its files.
		err = a.writing(ctx, (*store.Base).Flatten)
	}
	if errors.Is(err, store.ErrUnpurged) {
		return hint(err, "say it again, and it is finished: netlore purge "+shellWord(what)+" --delete")
	}
	if err != nil {
		return err
	}
	return a.tellPurged(what, found, begun)
}

// purgeIn deletes what says some words from a base, but for its files.
func (a *app) purgeIn(ctx context.Context, base *store.Base, what string) (found []store.Found, begun *store.Purging, err error) {
	found, begun, err = a.toPurge(ctx, base, what)
	switch {
	case err != nil:
		return nil, nil, err
	case len(found) > 0:
		return found, begun, base.Purge(ctx, found, a.author())
	case begun != nil:
		return nil, begun, nil // its files are all that is left to do
	}
	return nil, nil, nothingSays(what, nil)
}

// tellPurged tells what was deleted, now or by a purge that was cut short.
func (a *app) tellPurged(what string, found []store.Found, begun *store.Purging) error {
	hashes := []any{}
	for _, f := range found {
		hashes = append(hashes, f.ID.String())
	}
	if a.json {
		writeJSON(a.Out, map[string]any{"deleted": len(found), "hashes": hashes, "finished": begun != nil})
		return nil
	}
	if begun != nil {
		if err := a.line("what a purge that %s had begun on %s had deleted has left the files of the base", begun.Author, date(begun.Time)); err != nil {
			return err
		}
	}
	if len(found) == 0 {
		return a.line("nothing in the base says %q", what)
	}
	return a.line("%s deleted; backups and copies of the base still have what they had", plural(len(found), "statement"))
}
