package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"netlore/importers"
	"netlore/query"
	"netlore/store/board"
	"netlore/store/sheet"
)

// newExplain makes `netlore explain`.
func newExplain(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "explain CODE",
		Short: "tell more about a complaint, by its code",
		Args:  between(1, 1, "name the code of a complaint, such as Q12 or S201"),
		RunE:  func(_ *cobra.Command, args []string) error { return runExplain(a, args[0]) },
	}
}

func runExplain(a *app, code string) error {
	code = strings.ToUpper(code)
	for _, explain := range []func(string) (string, bool){query.Explain, sheet.Explain, importers.Explain} {
		if text, ok := explain(code); ok {
			return a.printf("%s\n\n%s\n", code, strings.TrimSpace(text))
		}
	}
	return hint(fmt.Errorf("no complaint has the code %q", code), "codes stand after the word error or warning: error Q12",
		"Q codes are about questions, S codes about sheets, D and T codes about imported files")
}

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
			return a.printf("%s\n", board.QuoteName(args[0]))
		},
	}
}
