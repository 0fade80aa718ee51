package cli

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"netlore/query"
	"netlore/query/diag"
	"netlore/store"
	"netlore/store/board"
)

// newSaved makes `netlore saved`.
func newSaved(a *app) *cobra.Command {
	return &cobra.Command{
		Use:               "saved [NAME]",
		Short:             "list the saved questions, or show one",
		Args:              between(0, 1, "name one saved question, or none to list them"),
		ValidArgsFunction: a.completeSaved(false),
		RunE:              func(cmd *cobra.Command, args []string) error { return runSaved(cmd.Context(), a, args) },
	}
}

func runSaved(ctx context.Context, a *app, args []string) error {
	return a.reading(ctx, func(base *store.Base) error {
		all, err := base.Saved(ctx)
		switch {
		case err != nil:
			return err
		case len(args) > 0:
			return a.showSaved(all, args[0])
		case a.json:
			for _, s := range all {
				a.savedJSON(s, all)
			}
			return nil
		case len(all) == 0:
			return a.print("no question is saved yet; netlore save NAME 'QUESTION' saves one\n")
		}
		t := newText(a, "asked so", "question", "author", "saved")
		for _, s := range all {
			t.row(usageOf(s.SavedQuestion), s.Text, s.Author, s.Time.Format("2006-01-02"))
		}
		return t.print()
	})
}

func questions(all []store.Saved) []board.SavedQuestion {
	list := make([]board.SavedQuestion, len(all))
	for i, s := range all {
		list[i] = s.SavedQuestion
	}
	return list
}

func (a *app) savedJSON(s store.Saved, all []store.Saved) {
	writeJSON(a.Out, map[string]any{"question": s.Name, "parameters": given(s.Parameters), "text": s.Text,
		"reading": query.Reading(s.SavedQuestion, questions(all)), "author": s.Author, "time": s.Time})
}

func (a *app) showSaved(all []store.Saved, name string) error {
	i := slices.IndexFunc(all, func(s store.Saved) bool { return strings.EqualFold(s.Name, name) })
	if i < 0 {
		return notSaved(name, all)
	}
	s, list := all[i], questions(all)
	if a.json {
		a.savedJSON(s, all)
		return nil
	}
	facts := []string{s.Text}
	if reading := query.Reading(s.SavedQuestion, list); reading != s.Text {
		facts = append(facts, "read as: "+reading)
	}
	if asking := askedBy(s.Name, all); len(asking) > 0 {
		facts = append(facts, "asked for by "+strings.Join(asking, ", "))
	}
	facts = append(facts, fmt.Sprintf("saved by %s on %s", s.Author, s.Time.Format("2006-01-02 15:04")))
	if err := a.headed(usageOf(s.SavedQuestion), facts); err != nil {
		return err
	}
	others := slices.Delete(slices.Clone(list), i, i+1)
	a.complain(query.CheckSaved(s.SavedQuestion, others))
	return nil
}

// askedBy are the saved questions that ask for one.
func askedBy(name string, all []store.Saved) []string {
	var list []string
	for _, s := range all {
		if s.Name != name && slices.Contains(query.Uses(s.Text, questions(all)), name) {
			list = append(list, s.Name)
		}
	}
	return list
}

// notSaved words a name under which nothing is saved.
func notSaved(name string, all []store.Saved) error {
	var names, help []string
	for _, s := range all {
		names = append(names, s.Name)
	}
	for _, near := range diag.Closest(name, names) {
		help = append(help, "did you mean "+near+"?")
	}
	return hint(fmt.Errorf("no question is saved as %s", diag.Printable(board.QuoteName(name))), append(help, "netlore saved lists them")...)
}

// newForget makes `netlore forget`.
func newForget(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "forget NAME",
		Short: "withdraw a saved question",
		Long: `Forget withdraws a saved question. It is an entry like any other: "netlore
history questions" still tells who saved it and when.`,
		Args:              between(1, 1, "name the saved question to forget"),
		ValidArgsFunction: a.completeSaved(false),
		RunE:              func(cmd *cobra.Command, args []string) error { return runForget(cmd.Context(), a, args[0]) },
	}
}

func runForget(ctx context.Context, a *app, name string) error {
	return a.withdrawing(ctx, func(base *store.Base) error {
		all, err := base.Saved(ctx)
		if err != nil {
			return err
		}
		name := strings.ToLower(name)
		if !slices.ContainsFunc(all, func(s store.Saved) bool { return s.Name == name }) {
			return notSaved(name, all)
		}
		if _, err := base.Forget(ctx, name, a.author()); err != nil {
			return err
		}
		if asking := askedBy(name, all); len(asking) > 0 {
			a.say("netlore: %s cannot be answered any more without it: %s", strings.Join(asking, ", "), name)
		}
		return a.line("%s forgotten", name)
	})
}
