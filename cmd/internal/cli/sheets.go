package cli

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

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
		list = append(list, checkSubjects(files)...)
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
	if !a.json {
		err = a.printf("%s: %s, %s\n", plural(len(files), "sheet"), plural(errs, "error"), plural(warnings, "warning"))
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
		text, err := a.read(s)
		if err != nil {
			return nil, nil, fail(exitInput, err)
		}
		file, list := sheet.Parse(s.Name, text)
		files, all = append(files, file), append(all, list...)
	}
	return files, all, nil
}

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
	cmd.MarkFlagsMutuallyExclusive("write", "check")
	return cmd
}

func runFmt(ctx context.Context, a *app, opt fmtOptions, args []string) error {
	found, err := a.sources(args)
	if err != nil {
		return err
	}
	changed, broken := 0, false
	for _, s := range found {
		if err := ctx.Err(); err != nil {
			return err
		}
		differs, err := a.format(s, opt)
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
func (a *app) format(s source, opt fmtOptions) (bool, error) {
	text, err := a.read(s)
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
		return true, a.printf("%s\n", s.Name)
	case opt.write && differs:
		if s.Path == stdin {
			return true, hint(fmt.Errorf("standard input cannot be rewritten in place"), "leave out -w to print it instead")
		}
		return true, replaceFile(s.Path, canonical)
	case opt.check || opt.write:
		return differs, nil
	}
	_, err = a.Out.Write(canonical)
	return differs, err
}

// replaceFile puts new content in the place of a file, whole or not at all.
func replaceFile(path string, content []byte) error {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	info, err := os.Stat(path)
	if err != nil {
		return fail(exitInput, fileError(path, err))
	}
	if err := putFile(path, content, info.Mode().Perm()); err != nil {
		return fail(exitInput, fmt.Errorf("%s was not changed: %w", path, err))
	}
	return nil
}

// putFile writes a file beside its place, syncs it, and renames it into place.
func putFile(path string, content []byte, mode os.FileMode) (err error) {
	beside, err := os.CreateTemp(filepath.Dir(path), ".netlore-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			beside.Close()
			os.Remove(beside.Name())
		}
	}()
	if _, err = beside.Write(content); err != nil {
		return err
	}
	if err = beside.Chmod(mode); err != nil {
		return err
	}
	if err = beside.Sync(); err != nil {
		return err
	}
	if err = beside.Close(); err != nil {
		return err
	}
	if err = os.Rename(beside.Name(), path); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(path))
}

// syncFolder makes a rename in a folder last.
func syncFolder(dir string) error {
	folder, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer folder.Close()
	return folder.Sync()
}

// plural counts things: "1 sheet", "3 sheets".
func plural(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// checkSubjects reads the files of each subject as one and tells what is wrong
// with it.
func checkSubjects(files []*sheet.File) diag.List {
	var all diag.List
	for _, group := range sheet.BySubject(files...) {
		content, list := sheet.Read(group...)
		all = append(all, list...)
		if !list.HasErrors() {
			all = append(all, sheet.Check(content, group...)...)
		}
	}
	return all
}
