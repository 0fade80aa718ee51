package cli

import (
	"context"

	"github.com/spf13/cobra"

	"netlore/cmd/internal/saved"
	"netlore/query/diag"
	"netlore/store/sheet"
)

// newCheck makes `netlore check`.
func newCheck(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "check FILE|FOLDER|-...",
		Short: "find what is wrong in sheets",
		Long: `Check reads sheets and tells everything that cannot be read, that contradicts
itself, or that cannot be right: a pin on two nets, a join to a pad that is not
there, a part off the board. Files with the same subject are checked as one.

Nothing is changed. The exit code is 1 if there is an error, 0 if there are
warnings only or nothing.`,
		Args: atLeast(1, "name the sheets to check"),
		RunE: func(cmd *cobra.Command, args []string) error { return runCheck(cmd.Context(), a, args) },
	}
}

func runCheck(ctx context.Context, a *app, args []string) error {
	found, err := a.sources(args)
	if err != nil {
		return err
	}
	files, list, err := a.parse(ctx, found)
	if err != nil {
		return err
	}
	if !list.HasErrors() {
		list = append(append(list, sheet.CheckAll(files...)...), saved.Check(files, nil)...)
	}
	list = list.Sort()
	a.complain(list)
	errs, warnings := 0, 0
	for _, d := range list {
		switch d.Severity {
		case diag.Error:
			errs++
		case diag.Warning:
			warnings++
		}
	}
	if a.json {
		writeJSON(a.Out, map[string]int{"sheets": len(files), "errors": errs, "warnings": warnings})
	} else {
		err = a.line("%s: %s, %s", plural(len(files), "sheet"), plural(errs, "error"), plural(warnings, "warning"))
	}
	if err == nil && errs > 0 {
		err = fail(exitFound, nil)
	}
	return err
}

// parse reads and parses sources, in order.
func (a *app) parse(ctx context.Context, sources []source) ([]*sheet.File, diag.List, error) {
	var files []*sheet.File
	var all diag.List
	for _, s := range sources {
		if err := ctx.Err(); err != nil {
			return nil, nil, err
		}
		text, err := a.read(ctx, s)
		if err != nil {
			return nil, nil, unreadable(err)
		}
		file, list := sheet.Parse(s.Name, text)
		files, all = append(files, file), append(all, list...)
	}
	return files, all, nil
}
