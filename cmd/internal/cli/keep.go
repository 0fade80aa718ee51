package cli

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"netlore/store"
	"netlore/store/board"
)

// newHistory makes `netlore history`.
func newHistory(a *app) *cobra.Command {
	return &cobra.Command{
		Use:               "history BOARD|STACK [rev REVISION]",
		Short:             "list who added or withdrew what, and when",
		Args:              between(1, 3, "name the board or stack whose history to list"),
		ValidArgsFunction: a.completeSubject,
		RunE:              func(cmd *cobra.Command, args []string) error { return runHistory(cmd.Context(), a, args) },
	}
}

func runHistory(ctx context.Context, a *app, args []string) error {
	name, revision, err := named(args)
	if err != nil {
		return err
	}
	return a.reading(ctx, func(base *store.Base) error {
		// What was removed is no longer listed, but its history stays: ask for
		// the exact name too.
		events, err := base.History(store.BoardSubject(board.Ref{Name: name, Revision: revision}))
		if errors.Is(err, store.ErrUnknownSubject) {
			s, findErr := find(base, name, revision)
			if findErr != nil {
				return findErr
			}
			events, err = base.History(s)
		}
		if err != nil {
			return err
		}
		return a.events(events)
	})
}

func (a *app) events(events []store.Event) error {
	t := newText(a, "time", "author", "what", "new", "known", "withdrawn", "from")
	t.numbers(4, 6)
	for _, e := range events {
		if a.json {
			writeJSON(a.Out, map[string]any{"kind": e.Kind, "time": e.Time, "author": e.Author, "files": e.Files,
				"new": e.New, "known": e.Known, "withdrawn": e.Withdrawn, "hash": e.Hash})
			continue
		}
		t.row(e.Time.Format("2006-01-02 15:04"), e.Author, e.Kind, e.New, e.Known, e.Withdrawn, strings.Join(e.Files, ", "))
	}
	if a.json {
		return nil
	}
	return t.print()
}

// newDiff makes `netlore diff`.
func newDiff(a *app) *cobra.Command {
	return &cobra.Command{
		Use:               "diff BOARD REV REV",
		Short:             "list how two revisions of a board differ",
		Long:              "Diff lists what differs between two revisions of a board. The exit code is 1 if\nthey differ.",
		Args:              between(3, 3, "name the board and two of its revisions"),
		ValidArgsFunction: a.completeSubject,
		RunE:              func(cmd *cobra.Command, args []string) error { return runDiff(cmd.Context(), a, args) },
	}
}

func runDiff(ctx context.Context, a *app, args []string) error {
	return a.reading(ctx, func(base *store.Base) error {
		var boards [2]*board.Board
		for i, revision := range args[1:] {
			s, err := find(base, args[0], revision)
			if err != nil {
				return err
			}
			if boards[i], err = base.Board(ctx, s.Ref); err != nil {
				return err
			}
		}
		changes := store.Compare(boards[0], boards[1])
		for _, c := range changes {
			if a.json {
				writeJSON(a.Out, map[string]string{"kind": c.Kind, "name": c.Name, "what": c.What, "was": c.Was, "is": c.Is})
			} else if err := a.printf("%s\n", c); err != nil {
				return err
			}
		}
		if len(changes) > 0 {
			return fail(exitFound, nil)
		}
		return nil
	})
}

type exportOptions struct{ to string }

// newExport makes `netlore export`.
func newExport(a *app) *cobra.Command {
	var opt exportOptions
	cmd := &cobra.Command{
		Use:   "export [BOARD|STACK [rev REVISION]] [--to FOLDER]",
		Short: "write boards, stacks and what is known of them as sheets",
		Long: `Export writes a board or stack as one canonical sheet to standard output. With
--to it writes into a folder, one sheet each; without a name, all of the base.
Adding the sheets to an empty base gives the same content again.`,
		Args:              between(0, 3, "name one board or stack, or none for all of them"),
		ValidArgsFunction: a.completeSubject,
		RunE:              func(cmd *cobra.Command, args []string) error { return runExport(cmd.Context(), a, opt, args) },
	}
	cmd.Flags().StringVar(&opt.to, "to", "", "folder to write the sheets into")
	return cmd
}

func runExport(ctx context.Context, a *app, opt exportOptions, args []string) error {
	if len(args) == 0 && opt.to == "" {
		return hint(errors.New("the whole base is more than one sheet"), "name a folder for them: netlore export --to FOLDER", "or name one board: netlore export Heron-A")
	}
	return a.reading(ctx, func(base *store.Base) error {
		subjects, err := base.Subjects()
		if len(args) > 0 {
			var name, revision string
			if name, revision, err = named(args); err == nil {
				subjects = make([]store.Subject, 1)
				subjects[0], err = find(base, name, revision)
			}
		}
		if err != nil {
			return err
		}
		if opt.to == "" {
			return base.Export(ctx, subjects[0], a.Out)
		}
		return a.exportTo(ctx, base, subjects, opt.to)
	})
}

// exportTo writes one sheet a subject, each whole or not at all.
func (a *app) exportTo(ctx context.Context, base *store.Base, subjects []store.Subject, dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fail(exitInput, fileError(dir, err))
	}
	for _, s := range subjects {
		path := filepath.Join(dir, fileName(s))
		var text strings.Builder
		if err := base.Export(ctx, s, &text); err != nil {
			return err
		}
		if err := newFile(path, []byte(text.String())); err != nil {
			return fail(exitInput, fmt.Errorf("%s could not be written: %w", path, err))
		}
		if err := a.printf("%s\n", path); err != nil {
			return err
		}
	}
	return nil
}

// fileName makes a file name of a subject: letters, digits, dot, dash and
// underscore stay, all else becomes a dash.
func fileName(s store.Subject) string {
	name := s.Ref.Name
	if s.Ref.Revision != "" {
		name += "-rev-" + s.Ref.Revision
	}
	name = strings.Map(func(r rune) rune {
		if strings.ContainsRune("-_.", r) || '0' <= r && r <= '9' || 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' {
			return r
		}
		return '-'
	}, name)
	return strings.TrimLeft(name, ".") + ".lore"
}

// newFile writes a file beside its place, syncs it, and moves it there.
func newFile(path string, content []byte) error {
	if _, err := os.Stat(path); err == nil {
		return replaceFile(path, content)
	}
	return putFile(path, content, 0o644)
}

// newRemove makes `netlore remove`.
func newRemove(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "remove BOARD|STACK [rev REVISION]",
		Short: "withdraw a board or stack from the base",
		Long: `Remove withdraws everything that the base holds of a board or stack. It is an
entry like any other: the history stays, and adding the board again brings it back.`,
		Args:              between(1, 3, "name the board or stack to remove"),
		ValidArgsFunction: a.completeSubject,
		RunE:              func(cmd *cobra.Command, args []string) error { return runRemove(cmd.Context(), a, args) },
	}
}

func runRemove(ctx context.Context, a *app, args []string) error {
	name, revision, err := named(args)
	if err != nil {
		return err
	}
	dir, err := a.where()
	if err != nil {
		return err
	}
	// Removing from a base that is not there must not make one.
	if _, err := os.Stat(dir); err != nil {
		return baseError(dir, store.ErrNoBase)
	}
	return a.writing(ctx, func(base *store.Base) error {
		s, err := find(base, name, revision)
		if err != nil {
			return err
		}
		r, err := base.Remove(ctx, s, a.author())
		if err != nil {
			return err
		}
		return a.printf("%s: %s withdrawn\n", s, plural(r.Withdrawn, "statement"))
	})
}

// newVerify makes `netlore verify`.
func newVerify(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "verify",
		Short: "prove that the base holds what was written",
		Long:  "Verify hashes every entry again and compares every board with what its entries\nsay together.",
		Args:  between(0, 0, "verify takes no words"),
		RunE:  func(cmd *cobra.Command, _ []string) error { return runVerify(cmd.Context(), a) },
	}
}

func runVerify(ctx context.Context, a *app) error {
	return a.reading(ctx, func(base *store.Base) error {
		p := newProgress(a, "verifying")
		c, err := base.Verify(ctx, func(n int) { p.show(func() string { return fmt.Sprintf("verifying: %d entries", n) }) })
		p.done()
		if err != nil {
			return err
		}
		return a.printf("%s of %s are what was written\n", entries(c.Entries), plural(c.Subjects, "subject"))
	})
}

func entries(n int) string {
	if n == 1 {
		return "1 entry"
	}
	return fmt.Sprintf("%d entries", n)
}
