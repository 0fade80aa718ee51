package cli

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"netlore/store"
)

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
		c, err := base.Verify(ctx, func(n int) { p.show("verifying: %d entries", n) })
		p.done()
		if err != nil {
			return err
		}
		if a.json {
			writeJSON(a.Out, map[string]int{"entries": c.Entries, "subjects": c.Subjects})
			return nil
		}
		return a.line("%s of %s are what was written", entries(c.Entries), plural(c.Subjects, "subject"))
	})
}

func entries(n int) string {
	if n == 1 {
		return "1 entry"
	}
	return fmt.Sprintf("%d entries", n)
}
