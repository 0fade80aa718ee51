package cli

import (
	"github.com/spf13/cobra"

	"netlore/query/words"
)

// newQuote makes `netlore quote`.
func newQuote(a *app) *cobra.Command {
	return &cobra.Command{
		Use:                "quote NAME",
		Short:              "print a name as sheets and questions want it",
		DisableFlagParsing: true,
		Args:               between(1, 1, "give one name, in single quotes if your shell would change it"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if args[0] == "--help" || args[0] == "-h" {
				return cmd.Help()
			}
			quoted := words.QuoteName(args[0])
			if a.json {
				writeJSON(a.Out, map[string]string{"name": args[0], "quoted": quoted})
				return nil
			}
			return a.line("%s", quoted)
		},
	}
}
