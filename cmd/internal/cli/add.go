package cli

import (
	"context"
	"errors"

	"github.com/spf13/cobra"

	"netlore/importers/record"
	"netlore/store"
)

type addOptions struct {
	name, revision string
	stack          string
	unit           string
	licence        string
	correct        bool
	replace        bool
	dryRun         bool
}

// newAdd makes `netlore add`.
func newAdd(a *app) *cobra.Command {
	var opt addOptions
	cmd := &cobra.Command{
		Use:   "add FILE|FOLDER|-...",
		Short: "put boards, or what is known of them, into the knowledge base",
		Long: `Add reads sheets, IPC-D-356 netlists and tables (CSV: placement, BOM, pads,
nets, pins, readings, expected values) and puts what they say into the knowledge
base. What a file is, is told by its content. Netlists and tables given together
are read as one board; a sheet says itself what it is about.

All is added, or nothing; so a file of which nothing can be used keeps the
others out too. What contradicts the base is told with both places; --correct
lets the new statement win, --replace withdraws besides whatever the new files
do not say of the board's structure. Adding the same again is harmless.

The exit code is 1 if a board was added that has no parts, though its netlist
should name them.`,
		Example: "  netlore add board.d356 placement.csv bom.csv --board Heron-A --rev 3\n  netlore add readings.lore",
		Args:    atLeast(1, "name the files to add"),
		RunE:    func(cmd *cobra.Command, args []string) error { return runAdd(cmd.Context(), a, opt, args) },
	}
	a.addFlags(cmd, &opt)
	return cmd
}

func (a *app) addFlags(cmd *cobra.Command, o *addOptions) {
	f := cmd.Flags()
	f.Var(name("BOARD", &o.name), "board", "the board that the files are about, if they do not say so")
	f.Var(name("REVISION", &o.revision), "rev", "its revision")
	f.Var(name("STACK", &o.stack), "stack", "the stack that sheets are about, if they do not say so")
	f.Var(choice("--unit", "UNIT", &o.unit, "mm", "mil", "inch"), "unit", "the unit of lengths, if the file does not say so or is wrong: mm, mil or inch")
	f.Var(licence("--licence", &o.licence), "licence", "licence of what is added, as an SPDX identifier")
	f.BoolVar(&o.correct, "correct", false, "where the new contradicts the old, the new holds")
	f.BoolVar(&o.replace, "replace", false, "the new is all there is to say of the board's structure")
	f.BoolVar(&o.dryRun, "dry-run", false, "tell what would be added, and add nothing")
	cmd.RegisterFlagCompletionFunc("board", a.completeName)
	cmd.RegisterFlagCompletionFunc("stack", a.completeName)
	cmd.RegisterFlagCompletionFunc("unit", completeWords("mm", "mil", "inch"))
}

func runAdd(ctx context.Context, a *app, opt addOptions, args []string) error {
	if opt.correct && opt.replace {
		return errors.New("--correct and --replace do not go together: with one the new holds where they differ, with the other it holds alone")
	}
	found, err := a.sources(args)
	if err != nil {
		return err
	}
	loads, err := a.sort(ctx, found)
	if err != nil {
		return err
	}
	made, err := a.importBoard(ctx, loads, opt)
	if err != nil {
		return err
	}
	sheets, err := a.parseSheets(loads.sheets)
	if err != nil {
		return err
	}
	additions, err := bySubject(append(made.files(), sheets...), opt)
	if err != nil {
		return err
	}
	var own []string
	if opt.correct {
		own = a.self().Labels()
	}
	for i := range additions {
		additions[i].Author, additions[i].Licence, additions[i].Mode = a.author(), opt.licence, opt.mode()
		additions[i].Made, additions[i].Own = made.is, own
	}
	if opt.dryRun {
		return a.preview(ctx, additions, made)
	}
	return a.store(ctx, additions, made)
}

func (o addOptions) mode() store.Mode {
	switch {
	case o.correct:
		return store.Correct
	case o.replace:
		return store.Replace
	}
	return store.Union
}

// lengths are the units of lengths, by the words of --unit.
var lengths = map[string]record.Length{"": record.AsStated, "mm": record.Millimetre, "mil": record.Mil, "inch": record.Inch}
