package cli

import (
	"context"
	"strings"

	"github.com/spf13/cobra"

	"netlore/store"
	"netlore/store/board"
)

// newBoards makes `netlore boards`.
func newBoards(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "boards",
		Short: "list the boards and stacks of the knowledge base",
		Args:  between(0, 0, "boards takes no words; netlore show NAME shows one"),
		RunE:  func(cmd *cobra.Command, _ []string) error { return runBoards(cmd.Context(), a) },
	}
}

func runBoards(ctx context.Context, a *app) error {
	return a.reading(ctx, func(base *store.Base) error {
		all, err := base.Catalogue(ctx)
		if err != nil {
			return err
		}
		if a.json {
			return a.boardsJSON(base, all)
		}
		return a.boardsText(all)
	})
}

func (a *app) boardsJSON(base *store.Base, all *board.Catalogue) error {
	for _, s := range all.Boards {
		writeJSON(a.Out, map[string]any{"board": s.Name, "revision": s.Revision, "title": s.Title, "parts": s.Parts, "pins": s.Pins,
			"nets": s.Nets, "pads": s.Pads, "covers": s.Covers, "readings": s.Readings, "expected": s.Expected, "notes": s.Notes, "updated": s.Updated, "hash": s.Hash})
	}
	for _, s := range all.Stacks {
		hash, err := base.Hash(store.StackSubject(s.Name))
		if err != nil {
			return err
		}
		writeJSON(a.Out, map[string]any{"stack": s.Name, "title": s.Title, "members": memberNames(s), "joins": len(s.Joins), "hash": hash})
	}
	return nil
}

func (a *app) boardsText(all *board.Catalogue) error {
	if len(all.Boards)+len(all.Stacks) == 0 {
		return a.print("the knowledge base is empty; netlore add FILE puts a board in\n")
	}
	t := newText(a, "board", "rev", "parts", "nets", "covers", "readings", "expected", "notes", "title")
	t.numbers(3, 8)
	for _, s := range all.Boards {
		t.row(board.QuoteName(s.Name), s.Revision, s.Parts, s.Nets, s.Covers, s.Readings, s.Expected, s.Notes, s.Title)
	}
	if err := t.print(); err != nil || len(all.Stacks) == 0 {
		return err
	}
	t = newText(a, "stack", "joins", "members", "title")
	t.numbers(2, 2)
	for _, s := range all.Stacks {
		t.row(board.QuoteName(s.Name), len(s.Joins), strings.Join(memberNames(s), ", "), s.Title)
	}
	if err := a.print("\n"); err != nil {
		return err
	}
	return t.print()
}

func memberNames(s board.Stack) []string {
	var all []string
	for _, m := range s.Members {
		all = append(all, m.Role+": "+m.Board.String())
	}
	return all
}
