package cli

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/bench"
	"netlore/cmd/internal/render"
	"netlore/cmd/internal/scpi"
	"netlore/importers"
	"netlore/query"
	"netlore/query/align"
	"netlore/store/exchange"
	"netlore/store/exchange/link"
	"netlore/store/exchange/mirror"
	"netlore/store/photo"
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

// explanation is the text about a code of any package.
func explanation(code string) (string, bool) {
	for _, explain := range []func(string) (string, bool){query.Explain, align.Explain, photo.Explain, sheet.Explain, importers.Explain, scpi.Explain, exchange.Explain, mirror.Explain, link.Explain, bench.Explain} {
		if text, ok := explain(code); ok {
			return strings.TrimSpace(text), true
		}
	}
	return "", false
}

func runExplain(a *app, code string) error {
	code = strings.ToUpper(code)
	if text, ok := explanation(code); ok {
		if a.json {
			writeJSON(a.Out, map[string]string{"code": code, "text": text})
			return nil
		}
		return a.print(code + "\n\n" + paragraphs(text) + "\n")
	}
	return hint(fmt.Errorf("no complaint has the code %q", code), "codes stand after the word error or warning: error Q12",
		"Q codes are about questions, S codes about sheets, D and T codes about imported files, M codes about instruments, P codes about photos, X codes about sharing, B codes about the bench page")
}

// paragraphs breaks a text at blanks, so that it can be read on any terminal.
func paragraphs(s string) string {
	lines := render.Paragraphs(s)
	for i, line := range lines {
		lines[i] = render.Wrap(line, helpWidth)
	}
	return strings.Join(lines, "\n")
}
