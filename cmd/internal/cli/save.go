package cli

import (
	"context"
	"errors"
	"strings"

	"github.com/spf13/cobra"

	"netlore/query"
	"netlore/query/syntax"
	"netlore/store"
	"netlore/store/board"
)

// newSave makes `netlore save`.
func newSave(a *app) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "save NAME [$PARAMETER...] 'QUESTION'",
		Short: "keep a question under a name, to be asked like a noun",
		Long: `Save keeps a question in the knowledge base. Its name can then be asked for like
parts or nets, alone or as a part of another question:

  netlore save biglids 'hidden capacitors with value at least 10uF'
  netlore ask biglids
  netlore ask 'biglids on VMAIN'
  netlore ask 'covers over (biglids on VMAIN)'

A word such as $rail is a parameter. Its value is given when the question is
asked, in the order in which the parameters stand in the question, or before it:

  netlore save suspectcaps 'capacitors on $rail with value at least $size'
  netlore ask 'suspectcaps for VMAIN, 10uF'

Put the question in single quotes: your shell takes $ for itself otherwise. A
question that has the name already gives way to the new one; "netlore history
questions" tells what was saved when. Saved questions are kept for all boards,
and are exported and added as sheets like everything else.`,
		Args:              atLeast(2, "name the question, then say it: netlore save biglids 'hidden capacitors'"),
		ValidArgsFunction: a.completeSaved(true),
		RunE:              func(cmd *cobra.Command, args []string) error { return runSave(cmd.Context(), a, args) },
	}
	cmd.Flags().SetInterspersed(false)
	return cmd
}

func runSave(ctx context.Context, a *app, args []string) error {
	q := savedOf(args)
	if q.Text == "" {
		return errors.New("say the question after its name and its parameters, in single quotes")
	}
	return a.writing(ctx, func(base *store.Base) error {
		all, err := base.Catalogue(ctx)
		if err != nil {
			return err
		}
		if list := query.CheckSaved(q, all.Questions); list.HasErrors() {
			if code := list[0].Code; (code == "Q11" || code == "Q86") && syntax.ParametersOf(q.Text) == nil {
				list[0].Help = append(list[0].Help, "in a shell, put the question in single quotes: a shell takes $rail for itself")
			}
			return list
		}
		r, err := base.Save(ctx, q, a.author())
		if err != nil {
			return err
		}
		if a.json {
			writeJSON(a.Out, map[string]any{"question": q.Name, "parameters": given(q.Parameters), "text": q.Text, "new": r.New, "withdrawn": r.Withdrawn})
			return nil
		}
		return a.line("%s", savedText(q, r))
	})
}

// savedOf reads the words after save: the name, parameters, and the question,
// which may be one word or several.
func savedOf(args []string) board.SavedQuestion {
	q := board.SavedQuestion{Name: args[0]}
	rest := args[1:]
	for len(rest) > 0 && !strings.Contains(rest[0], " ") {
		p, ok := syntax.Parameter(rest[0])
		if !ok {
			break
		}
		q.Parameters, rest = append(q.Parameters, p), rest[1:]
	}
	q.Text = strings.Join(strings.Fields(strings.Join(rest, " ")), " ")
	if q.Parameters == nil {
		q.Parameters = syntax.ParametersOf(q.Text)
	}
	return q
}

func savedText(q board.SavedQuestion, r store.Result) string {
	switch {
	case r.New == 0:
		return q.Name + " was saved so already"
	case r.Withdrawn > 0:
		return q.Name + " saved anew; it is asked so: " + usageOf(q)
	}
	return q.Name + " saved; it is asked so: " + usageOf(q)
}

// usageOf is how a saved question is asked: suspectcaps for RAIL, SIZE.
func usageOf(q board.SavedQuestion) string {
	if len(q.Parameters) == 0 {
		return q.Name
	}
	return q.Name + " for " + strings.ToUpper(strings.Join(q.Parameters, ", "))
}

// given is a list that is empty in JSON rather than null.
func given(list []string) []string { return append([]string{}, list...) }
