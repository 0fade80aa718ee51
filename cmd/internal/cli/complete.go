package cli

import (
	"context"
	"time"

	"github.com/spf13/cobra"

	"netlore/store"
	"netlore/store/board"
)

// completeSubject offers the boards and stacks of the base to the shell. It
// never waits and never says anything: a completion that hangs is worse than
// none.
func (a *app) completeSubject(cmd *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	var names []string
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	a.wait = 50 * time.Millisecond
	err := a.reading(cmd.Context(), func(base *store.Base) error {
		all, err := base.Catalogue(context.Background())
		if err != nil {
			return err
		}
		for _, s := range all.Boards {
			names = append(names, board.QuoteName(s.Name)+"\t"+s.Title)
		}
		for _, s := range all.Stacks {
			names = append(names, board.QuoteName(s.Name)+"\t"+s.Title)
		}
		return nil
	})
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return names, cobra.ShellCompDirectiveNoFileComp
}
