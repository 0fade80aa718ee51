package cli

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"netlore/store"
)

type exportOptions struct{ to string }

// newExport makes `netlore export`.
func newExport(a *app) *cobra.Command {
	var opt exportOptions
	cmd := &cobra.Command{
		Use:   "export [BOARD|STACK|job ID [rev REVISION]] [--to FOLDER]",
		Short: "write boards, stacks and what is known of them as sheets",
		Long: `Export writes a board or stack as one canonical sheet to standard output, with
the jobs on it, or one job alone. With --to it writes into a folder, one sheet
each; without a name, all of the base. Adding the sheets to an empty base gives
the same content again. Private details of jobs are never written.`,
		Args:              between(0, 3, "name one board, stack or job, or none for all of them"),
		ValidArgsFunction: a.completeSubject,
		RunE:              func(cmd *cobra.Command, args []string) error { return runExport(cmd.Context(), a, opt, args) },
	}
	cmd.Flags().Var(folder("--to", &opt.to), "to", "folder to write the sheets into")
	return cmd
}

func runExport(ctx context.Context, a *app, opt exportOptions, args []string) error {
	if len(args) == 0 && opt.to == "" {
		return hint(errors.New("the whole base is more than one sheet"), "name a folder for them: netlore export --to FOLDER", "or name one board: netlore export Heron-A")
	}
	return a.reading(ctx, func(base *store.Base) error {
		all, err := exported(ctx, base)
		if err != nil {
			return err
		}
		subjects := all
		if len(args) > 0 {
			s, err := findNamed(ctx, base, args)
			if err != nil {
				return err
			}
			subjects = []store.Subject{s}
			if !slices.Contains(all, s) {
				all = append(all, s)
			}
		}
		if len(subjects) == 0 {
			return hint(errors.New("the knowledge base is empty, so there is nothing to export"), "netlore add FILE puts a board in")
		}
		if opt.to == "" {
			return base.Export(ctx, subjects[0], a.Out)
		}
		return a.exportTo(ctx, base, subjects, fileNames(all), opt.to)
	})
}

// exported are all subjects that have a sheet of their own in an export of the
// base: boards, stacks, the saved questions, and jobs on none of the boards and
// stacks held, for the others are in the sheets of these.
func exported(ctx context.Context, base *store.Base) ([]store.Subject, error) {
	all, err := base.Subjects()
	if err != nil {
		return nil, err
	}
	jobs, err := base.Jobs(ctx)
	for _, j := range jobs {
		if !slices.ContainsFunc(j.Homes, func(s store.Subject) bool { return slices.Contains(all, s) }) {
			all = append(all, store.JobSubject(j.ID))
		}
	}
	return all, err
}

// exportTo writes one sheet a subject, each whole or not at all.
func (a *app) exportTo(ctx context.Context, base *store.Base, subjects []store.Subject, names map[store.Subject]string, dir string) error {
	if err := makeFolder(dir); err != nil {
		return err
	}
	for _, s := range subjects {
		path := filepath.Join(dir, names[s])
		var text strings.Builder
		if err := base.Export(ctx, s, &text); err != nil {
			return err
		}
		if err := newFile(path, []byte(text.String())); err != nil {
			return err
		}
		if a.json {
			writeJSON(a.Out, map[string]string{"subject": s.String(), "file": path})
		} else if err := a.line("%s", path); err != nil {
			return err
		}
	}
	return nil
}

// fileNames gives every subject of a base a file name of its own. Those that
// would share one, by odd letters or on a disk that keeps no case, get a piece
// of a hash of what they are, so that no sheet takes the place of another.
func fileNames(all []store.Subject) map[store.Subject]string {
	share := map[string]int{}
	for _, s := range all {
		share[strings.ToLower(fileName(s))]++
	}
	names := map[store.Subject]string{}
	for _, s := range all {
		name := fileName(s)
		if share[strings.ToLower(name)] > 1 {
			name += fmt.Sprintf("-%.4x", sha256.Sum256([]byte(s.String())))
		}
		names[s] = name + ".lore"
	}
	return names
}

// fileName makes the stem of a file name of a subject: letters, digits, dot,
// dash and underscore stay, all else becomes a dash.
func fileName(s store.Subject) string {
	switch {
	case s.Questions:
		return "saved-questions"
	case s.Meters:
		return "meters"
	case s.Chances:
		return "chances"
	}
	name := s.Ref.Name
	if s.Job {
		name = "job-" + name
	}
	if s.Ref.Revision != "" {
		name += "-rev-" + s.Ref.Revision
	}
	name = strings.Map(func(r rune) rune {
		if strings.ContainsRune("-_.", r) || '0' <= r && r <= '9' || 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' {
			return r
		}
		return '-'
	}, name)
	if name = strings.TrimLeft(name, "."); name == "" {
		name = "_"
	}
	return name
}
