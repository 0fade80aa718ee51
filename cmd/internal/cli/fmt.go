package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"netlore/store/sheet"
)

type fmtOptions struct {
	write bool
	check bool
}

// newFmt makes `netlore fmt`.
func newFmt(a *app) *cobra.Command {
	var opt fmtOptions
	cmd := &cobra.Command{
		Use:   "fmt [-w | --check] FILE|FOLDER|-...",
		Short: "print sheets in their one canonical form",
		Long: `Fmt prints sheets in canonical form: one layout, no options, comments kept. What
a sheet says never changes. With -w the files are rewritten in place, each as a
whole or not at all; with --check the names of those that would change are
printed and the exit code is 1 if there is one.`,
		Args: atLeast(1, "name the sheets to format"),
		RunE: func(cmd *cobra.Command, args []string) error { return runFmt(cmd.Context(), a, opt, args) },
	}
	cmd.Flags().BoolVarP(&opt.write, "write", "w", false, "rewrite the files in place")
	cmd.Flags().BoolVar(&opt.check, "check", false, "print the names of the files that would change")
	return cmd
}

func runFmt(ctx context.Context, a *app, opt fmtOptions, args []string) error {
	if opt.write && opt.check {
		return errors.New("-w and --check do not go together: one rewrites files, the other changes nothing")
	}
	found, err := a.sources(args)
	if err != nil {
		return err
	}
	changed, broken := 0, false
	for _, s := range found {
		if err := ctx.Err(); err != nil {
			return err
		}
		differs, err := a.format(ctx, s, opt)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			a.tell(err)
			broken = true
		}
		if differs {
			changed++
		}
	}
	switch {
	case broken:
		return fail(exitInput, nil)
	case opt.check && changed > 0:
		return fail(exitFound, nil)
	}
	return nil
}

// format puts one source into canonical form; it reports whether that differs.
func (a *app) format(ctx context.Context, s source, opt fmtOptions) (bool, error) {
	text, err := a.read(ctx, s)
	if err != nil {
		return false, err
	}
	file, list := sheet.Parse(s.Name, text)
	if list.HasErrors() {
		return false, list
	}
	canonical := file.Canonical()
	differs := !bytes.Equal(text, canonical)
	switch {
	case opt.check && differs:
		return true, a.wrote(s.Name)
	case opt.write && differs:
		if !s.regular {
			return true, hint(fmt.Errorf("%s cannot be rewritten in place, for it is no file", s.Name), "leave out -w to print it instead")
		}
		return true, replaceFile(s.Path, canonical)
	case opt.check || opt.write:
		return differs, nil
	}
	_, err = a.Out.Write(canonical)
	return differs, err
}
