package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"netlore/importers"
	"netlore/query"
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
			return a.print(code + "\n\n" + strings.TrimSpace(text) + "\n")
		}
	}
	return hint(fmt.Errorf("no complaint has the code %q", code), "codes stand after the word error or warning: error Q12",
		"Q codes are about questions, S codes about sheets, D and T codes about imported files")
}
