package cli

import (
	"context"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"netlore/query"
	"netlore/store"
)

// completer offers the shell what can stand at the cursor, after some words.
type completer = func(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective)

// completing opens the base for a completion. It never waits long and never
// says anything: a completion that hangs is worse than none.
func (a *app) completing(ctx context.Context, use func(*store.Base) error) {
	a.wait, a.Err = 50*time.Millisecond, io.Discard
	a.reading(ctx, use)
}

// completeSubject offers boards and stacks, then the word rev, then revisions.
func (a *app) completeSubject(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
	var offers []string
	switch {
	case len(args) == 0:
		offers = a.subjects(cmd.Context())
	case len(args) == 1 && args[0] == "job":
		offers = a.jobIDs(cmd.Context())
	case len(args) == 1:
		offers = []string{"rev"}
	case len(args) == 2 && args[1] == "rev":
		offers = a.revisions(cmd.Context(), args[0])
	}
	return beginning(word, offers), cobra.ShellCompDirectiveNoFileComp
}

// completeName offers boards and stacks only.
func (a *app) completeName(cmd *cobra.Command, _ []string, word string) ([]string, cobra.ShellCompDirective) {
	return a.completeSubject(cmd, nil, word)
}

// completeDiff offers boards, then revisions.
func (a *app) completeDiff(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
	if len(args) == 0 || len(args) > 2 {
		return a.completeName(cmd, args, word)
	}
	return beginning(word, a.revisions(cmd.Context(), args[0])), cobra.ShellCompDirectiveNoFileComp
}

// subjects are the names of boards and stacks, each with its title behind a tab.
func (a *app) subjects(ctx context.Context) (names []string) {
	a.completing(ctx, func(base *store.Base) error {
		all, err := base.Catalogue(ctx)
		if err != nil {
			return err
		}
		for _, s := range all.Boards {
			names = append(names, s.Name+"\t"+s.Title)
		}
		for _, s := range all.Stacks {
			names = append(names, s.Name+"\t"+s.Title)
		}
		return nil
	})
	return slices.Compact(names)
}

func (a *app) revisions(ctx context.Context, name string) (found []string) {
	a.completing(ctx, func(base *store.Base) error {
		subjects, err := base.Subjects()
		for _, s := range subjects {
			if strings.EqualFold(s.Ref.Name, name) && s.Ref.Revision != "" {
				found = append(found, s.Ref.Revision)
			}
		}
		return err
	})
	return found
}

// completeSaved offers the names of saved questions, and nothing for the word
// after them but a question if one is to be saved.
func (a *app) completeSaved(saving bool) completer {
	return func(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
		if len(args) > 0 && saving {
			return a.completeQuestion(&askOptions{})(cmd, args[1:], word)
		}
		var names []string
		if len(args) == 0 {
			a.completing(cmd.Context(), func(base *store.Base) error {
				all, err := base.Catalogue(cmd.Context())
				if err == nil {
					for _, q := range all.Questions {
						names = append(names, q.Name+"\t"+q.Text)
					}
				}
				return err
			})
		}
		return beginning(word, names), cobra.ShellCompDirectiveNoFileComp
	}
}

// completeWords offers a few fixed words.
func completeWords(words ...string) completer {
	return func(_ *cobra.Command, _ []string, word string) ([]string, cobra.ShellCompDirective) {
		return beginning(word, slices.Clone(words)), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
	}
}

// beginning keeps the offers that begin with a word, whatever the case.
func beginning(word string, offers []string) []string {
	return slices.DeleteFunc(offers, func(o string) bool {
		return len(o) < len(word) || !strings.EqualFold(o[:len(word)], word)
	})
}

// completeQuestion offers what can stand next in a question: words of the
// language, and names of the board that is asked.
func (a *app) completeQuestion(opt *askOptions) completer {
	return func(cmd *cobra.Command, args []string, word string) (offers []string, _ cobra.ShellCompDirective) {
		text := strings.Join(append(args, word), " ")
		a.completing(cmd.Context(), func(base *store.Base) error {
			found := query.Complete(cmd.Context(), base, query.Options{On: opt.on}, text, len(text))
			// The shell completes the last word only, which may begin elsewhere
			// than the offer does: in lower:VM, say.
			head := word[:max(0, len(word)-(len(text)-found.Replace.Start))]
			for _, o := range found.Offers {
				offers = append(offers, head+o.Text)
			}
			return nil
		})
		directive := cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
		if !slices.ContainsFunc(offers, func(o string) bool { return !strings.HasSuffix(o, ":") }) {
			directive |= cobra.ShellCompDirectiveNoSpace // the name of a thing follows
		}
		return offers, directive
	}
}
