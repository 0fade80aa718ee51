package cli

import (
	"bytes"
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/render"
	"netlore/query"
	"netlore/store"
)

type reportOptions struct {
	on, as, out string
	notes       bool
}

// newReport makes `netlore report`.
func newReport(a *app) *cobra.Command {
	opt := reportOptions{}
	cmd := &cobra.Command{
		Use:   "report JOB",
		Short: "write down a job for the shop that sent the device",
		Long: `Report tells what a job came in as, what was found and replaced, what was done
step by step, what was measured beside what is expected, and what was measured
after the repair, which is its proof. It is Markdown, or one HTML page that
needs nothing else and can be printed:

  netlore report 1017
  netlore report 1017 -o 1017.html

Remarks on steps, but for what was seen, and notes of the shop are left out,
unless --notes asks for them. Who sent the device, and its serial number, are
never in it.`,
		Args:              between(1, 1, "name one job: netlore report 1042"),
		ValidArgsFunction: a.completeCompared,
		RunE:              func(cmd *cobra.Command, args []string) error { return runReport(cmd.Context(), a, opt, args[0]) },
	}
	f := cmd.Flags()
	f.Var(name("BOARD", &opt.on), "on", "the board or stack of the job, if there is a choice")
	f.Var(choice("--as", "FORM", &opt.as, "markdown", "html"), "as", "form of the report: markdown or html (default: by the file's name)")
	f.VarP(name("FILE", &opt.out), "out", "o", "write it into this file")
	f.BoolVar(&opt.notes, "notes", false, "with remarks on steps and notes of the shop")
	cmd.RegisterFlagCompletionFunc("on", a.completeName)
	cmd.RegisterFlagCompletionFunc("as", completeWords("markdown", "html"))
	return cmd
}

func runReport(ctx context.Context, a *app, opt reportOptions, id string) error {
	return a.reading(ctx, func(base *store.Base) error {
		r, err := query.ReportOn(ctx, base, query.Options{On: opt.on, Now: a.Now}, id, opt.notes)
		if err != nil {
			return err
		}
		html := opt.as == "html" || opt.as == "" && strings.HasSuffix(strings.ToLower(opt.out), ".html")
		var text bytes.Buffer
		if err := render.Report(&text, r, html); err != nil {
			return err
		}
		if opt.out == "" {
			return a.print(text.String())
		}
		if err := putFile(opt.out, text.Bytes(), 0o644); err != nil {
			return fail(exitInput, fmt.Errorf("the report was not written to %s: %w", opt.out, reason(err)))
		}
		return nil
	})
}
