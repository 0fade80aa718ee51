package cli

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"netlore/query/diag"
	"netlore/store"
	"netlore/store/exchange"
)

type packOptions struct {
	to      string
	licence string
	origin  string
	kinds   string
	what    string
	on      string
	summed  bool
	others  bool
	dryRun  bool
}

// everyKind is all kinds of knowledge.
const everyKind = "structure,expected,readings,notes,questions,meters,chances"

// sharedKinds are the kinds that a pack has if nothing else is said. How many
// readings a shop takes tells how much work it has.
const sharedKinds = "structure,expected,notes,questions"

// newPack makes `netlore pack`.
func newPack(a *app) *cobra.Command {
	opt := packOptions{kinds: sharedKinds}
	cmd := &cobra.Command{
		Use:   "pack [BOARD|STACK [rev REVISION]] --licence LICENCE --to FILE",
		Short: "write what is known into a signed file for other shops",
		Long: `Pack writes boards and stacks, and what is known of them, as plain sheets that
this bench signs. Without a name, it is all that the base says itself. Jobs,
and with them customers and serial numbers, are never in a pack; a reading
leaves without who took it, the job and the day. --dry-run prints what would
leave, word for word.

Anybody may read a pack, so it says under which licence: CC0-1.0 and CDLA-
Permissive-2.0 let everybody use it freely. What was in an earlier pack and is
not said any more is withdrawn by the next one.`,
		Example:           "  netlore pack Heron-A --licence CC0-1.0 --to heron.pack\n  netlore pack --what 'notes on lower:VMAIN' --licence CC0-1.0 --to notes.pack\n  netlore pack --kinds expected,readings --licence CC0-1.0 --dry-run",
		Args:              between(0, 3, "name one board or stack, or none for all of them"),
		ValidArgsFunction: a.completeSubject,
		RunE: func(cmd *cobra.Command, args []string) error {
			if opt.what != "" && !cmd.Flags().Changed("kinds") {
				opt.kinds = everyKind
			}
			return runPack(cmd.Context(), a, opt, args)
		},
	}
	packFlags(cmd, &opt)
	return cmd
}

func packFlags(cmd *cobra.Command, opt *packOptions) {
	f := cmd.Flags()
	f.Var(name("FILE", &opt.to), "to", "the file to write; - is standard output")
	f.Var(licence("--licence", &opt.licence), "licence", "licence of what is shared, as an SPDX identifier")
	f.Var(name("TEXT", &opt.origin), "origin", "where it comes from, in words: measured on the bench")
	f.Var(name("KINDS", &opt.kinds), "kinds", "what to share: structure, expected, readings, notes, questions, meters, chances")
	f.Var(name("QUESTION", &opt.what), "what", "share what answers a question: 'notes on lower:VMAIN'")
	f.Var(name("BOARD", &opt.on), "on", "the board or stack that the question is asked of")
	f.BoolVar(&opt.summed, "summaries", false, "instead of readings, what they come to where three good boards or more were read")
	f.BoolVar(&opt.others, "others", false, "also what other shops have said, with their own signatures")
	f.BoolVar(&opt.dryRun, "dry-run", false, "print what would leave, and sign and write nothing")
}

func runPack(ctx context.Context, a *app, opt packOptions, args []string) error {
	kinds, err := kindsOf(opt.kinds)
	if err != nil {
		return err
	}
	if opt.summed {
		kinds = withSummaries(kinds)
	}
	switch {
	case opt.licence == "":
		return hint(errors.New("the pack says under which licence others may use it"), "--licence CC0-1.0 or --licence CDLA-Permissive-2.0 lets everybody use it freely", "--licence LicenseRef-NAME stands for terms that you have agreed on")
	case opt.to == "" && !opt.dryRun:
		return hint(errors.New("name the file to write"), "netlore pack --to heron.pack", "--dry-run prints what would leave")
	}
	identity, err := a.signing()
	if err != nil {
		return err
	}
	with := a.writing
	if opt.dryRun {
		with = a.reading
	}
	p := packer{app: a, identity: identity, opt: opt, kinds: kinds, others: map[string]int{}, over: map[exchange.Key]int{}}
	return with(ctx, func(base *store.Base) error { return p.run(ctx, base, args) })
}

// run packs what is named, or all.
func (p *packer) run(ctx context.Context, base *store.Base, args []string) error {
	p.base = base
	subjects, err := p.app.packed(ctx, base, args)
	if err != nil {
		return err
	}
	if p.opt.what != "" {
		if p.chosen, err = p.app.ask(ctx, base, p.opt.on, p.opt.what); err != nil {
			return err
		}
	}
	defer p.tellLeftOut()
	defer p.tellTakenOver()
	if p.opt.dryRun {
		return p.show(ctx, subjects)
	}
	return p.write(ctx, subjects)
}

// kindsOf reads a list of kinds.
func kindsOf(list string) (kinds []exchange.Kind, err error) {
	var words []string
	for _, k := range exchange.Kinds() {
		words = append(words, k.String())
	}
	for word := range strings.SplitSeq(list, ",") {
		i := slices.Index(words, strings.TrimSpace(word))
		if i < 0 {
			return nil, fmt.Errorf("%q is no kind of knowledge; there are %s", word, diag.OneOf(words...))
		}
		kinds = append(kinds, exchange.Kind(i))
	}
	return kinds, nil
}

// kindWords are kinds in words, as all is said of all of them.
func kindWords(kinds []exchange.Kind) string {
	var words []string
	for _, k := range kinds {
		words = append(words, k.String())
	}
	if len(words) == len(exchange.Kinds()) {
		return "all that it says"
	}
	return strings.Join(words, ", ")
}

// packed are the subjects to share: what is named, or all that the base holds, or held, for
// what was shared of that is to be withdrawn.
func (a *app) packed(ctx context.Context, base *store.Base, args []string) ([]store.Subject, error) {
	if len(args) == 0 {
		all, err := base.Subjects()
		removed, failed := base.Removed()
		all = append(all, slices.DeleteFunc(removed, func(s store.Subject) bool { return s.Job })...)
		return all, errors.Join(err, failed)
	}
	s, err := findNamed(ctx, base, args)
	if err == nil && s.Job {
		err = fail(exitUsage, errors.New("jobs are not shared; name a board or stack"))
	}
	return []store.Subject{s}, err
}
