package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
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
	others  bool
	dryRun  bool
}

// everyKind is all kinds of knowledge.
const everyKind = "structure,expected,readings,notes,questions,meters"

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
	f := cmd.Flags()
	f.Var(name("FILE", &opt.to), "to", "the file to write; - is standard output")
	f.Var(licence("--licence", &opt.licence), "licence", "licence of what is shared, as an SPDX identifier")
	f.Var(name("TEXT", &opt.origin), "origin", "where it comes from, in words: measured on the bench")
	f.Var(name("KINDS", &opt.kinds), "kinds", "what to share: structure, expected, readings, notes, questions, meters")
	f.Var(name("QUESTION", &opt.what), "what", "share what answers a question: 'notes on lower:VMAIN'")
	f.Var(name("BOARD", &opt.on), "on", "the board or stack that the question is asked of")
	f.BoolVar(&opt.others, "others", false, "also what other shops have said, with their own signatures")
	f.BoolVar(&opt.dryRun, "dry-run", false, "print what would leave, and sign and write nothing")
	return cmd
}

func runPack(ctx context.Context, a *app, opt packOptions, args []string) error {
	kinds, err := kindsOf(opt.kinds)
	if err != nil {
		return err
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
	return with(ctx, func(base *store.Base) error {
		subjects, err := a.packed(ctx, base, args)
		if err != nil {
			return err
		}
		var chosen *wanted
		if opt.what != "" {
			if chosen, err = a.ask(ctx, base, opt.on, opt.what); err != nil {
				return err
			}
		}
		p := packer{chosen: chosen, app: a, base: base, identity: identity, opt: opt, kinds: kinds, others: map[string]int{}}
		defer p.tellLeftOut()
		if opt.dryRun {
			return p.show(ctx, subjects)
		}
		return p.write(ctx, subjects)
	})
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

// packed are the subjects to share.
func (a *app) packed(ctx context.Context, base *store.Base, args []string) ([]store.Subject, error) {
	if len(args) == 0 {
		return base.Subjects()
	}
	s, err := findNamed(ctx, base, args)
	if err == nil && s.Job {
		err = fail(exitUsage, errors.New("jobs are not shared; name a board or stack"))
	}
	return []store.Subject{s}, err
}

// packer makes one pack.
type packer struct {
	app      *app
	base     *store.Base
	identity *exchange.Identity
	opt      packOptions
	kinds    []exchange.Kind
	chosen   *wanted        // by a question; nil for all
	others   map[string]int // statements left out, by the licence that they came under
}

// share is what is to be shared of one subject.
type share struct {
	subject  store.Subject
	blocks   []string         // all of the kinds wanted
	unsigned map[int][]string // of these, those that no manifest of ours lists, by how often they were withdrawn before
	retracts []exchange.ID
}

// of works out what is to be shared of a subject. What was signed before under the
// same licence and is not said any more is withdrawn.
func (p *packer) of(ctx context.Context, s store.Subject) (share, error) {
	sh := share{subject: s, unsigned: map[int][]string{}}
	content, others, err := p.base.Said(ctx, s, p.opt.licence)
	p.leftOut(others)
	if err != nil && !errors.Is(err, store.ErrUnknownSubject) {
		return sh, err
	}
	var all []string
	if err == nil {
		all = p.identity.Blocks(content)
	}
	sh.blocks = exchange.Of(all, p.kinds)
	if p.chosen != nil {
		sh.blocks = slices.DeleteFunc(sh.blocks, func(block string) bool { return !p.chosen.has(s, block) })
	}
	made, err := p.base.Made(ctx, s)
	if err != nil {
		return sh, err
	}
	said := map[string]bool{}
	for _, text := range all {
		said[text] = true
	}
	signed, withdrawn := map[string]bool{}, map[string]int{}
	for _, m := range made {
		switch {
		case m.Licence != p.opt.licence:
		case m.Withdrawn:
			withdrawn[m.Text]++
		case said[m.Text]:
			signed[m.Text] = true
		default:
			sh.retracts = append(sh.retracts, m.ID)
		}
	}
	for _, text := range sh.blocks {
		if !signed[text] {
			again := withdrawn[text]
			sh.unsigned[again] = append(sh.unsigned[again], text)
		}
	}
	return sh, nil
}

// leftOut counts what may not be shared under the licence of the pack.
func (p *packer) leftOut(others map[string]int) {
	for licence, n := range others {
		p.others[licence] += n
	}
}

// tellLeftOut tells what stays because it came under another licence.
func (p *packer) tellLeftOut() {
	for _, licence := range slices.Sorted(maps.Keys(p.others)) {
		p.app.say("netlore: %s left out, which came under %s; pack them with --licence %s", plural(p.others[licence], "statement"), licence, licence)
	}
}

// show prints what would leave.
func (p *packer) show(ctx context.Context, subjects []store.Subject) error {
	entries := 0
	for _, s := range subjects {
		sh, err := p.of(ctx, s)
		if err != nil {
			return err
		}
		if len(sh.blocks)+len(sh.retracts) == 0 {
			continue
		}
		if entries += len(sh.blocks); entries > len(sh.blocks) {
			if err := p.app.print("\n"); err != nil {
				return err
			}
		}
		if err := p.app.print(string(exchange.Sheet(s.String(), sh.blocks))); err != nil {
			return err
		}
		for _, id := range sh.retracts {
			if err := p.app.line("# withdrawn: %s", id); err != nil {
				return err
			}
		}
	}
	p.app.say("netlore: %s would leave the shop, under %s, signed by %s with the key %s", plural(entries, "statement"), p.opt.licence, p.identity.Signer, p.identity.Shop)
	return nil
}

// write signs what is new, keeps the signatures, and writes the pack: the file is
// there whole or not at all.
func (p *packer) write(ctx context.Context, subjects []store.Subject) error {
	var shares []share
	for _, s := range subjects {
		sh, err := p.of(ctx, s)
		if err != nil {
			return err
		}
		shares = append(shares, sh)
	}
	if err := p.sign(ctx, shares); err != nil {
		return err
	}
	entries := 0
	write := func(w io.Writer) error {
		out := bufio.NewWriterSize(w, 256<<10)
		pack := exchange.NewWriter(out)
		for _, word := range p.identity.Words {
			if err := pack.Word(word); err != nil {
				return err
			}
		}
		for _, sh := range shares {
			n, err := p.batches(ctx, pack, sh)
			if err != nil {
				return err
			}
			entries += n
		}
		return errors.Join(pack.Close(), out.Flush())
	}
	if p.opt.to == stdin {
		if err := write(p.app.Out); err != nil {
			return err
		}
		p.app.say("netlore: %s", p.done(entries))
		return nil
	}
	if err := streamFile(p.opt.to, write); err != nil {
		return err
	}
	return p.app.line("%s: %s", filepath.ToSlash(p.opt.to), p.done(entries))
}

func (p *packer) done(entries int) string {
	return fmt.Sprintf("%s, signed by %s with the key %s", plural(entries, "statement"), p.identity.Signer, p.identity.Shop)
}

// sign signs what no manifest of ours lists yet, and what is withdrawn, and keeps
// that.
func (p *packer) sign(ctx context.Context, shares []share) error {
	var all []*exchange.Batch
	for _, sh := range shares {
		about := exchange.About{Of: sh.subject.String(), Licence: p.opt.licence, Origin: p.opt.origin}
		retracts := sh.retracts
		for again := 0; len(sh.unsigned)+len(retracts) > 0; again++ {
			about.Again = again
			batches, err := p.identity.Batches(about, sh.unsigned[again], retracts, p.app.now())
			if err != nil {
				return err
			}
			all = append(all, batches...)
			retracts = nil
			delete(sh.unsigned, again)
		}
	}
	return p.base.KeepMade(ctx, all, p.app.author(), p.opt.to)
}

// batches writes the batches with what is to be shared of a subject, each with
// the signature that it has had from the start, and those that withdraw something.
func (p *packer) batches(ctx context.Context, pack *exchange.Writer, sh share) (entries int, err error) {
	wanted := map[string]bool{"": true}
	for _, text := range sh.blocks {
		wanted[text] = true
	}
	keep := func(e store.SignedEntry) bool {
		switch {
		case e.Withdrawn:
			return false
		case slices.Contains(p.identity.Keys(), e.Shop):
			return wanted[e.Text]
		}
		return p.opt.others && slices.Contains(p.kinds, exchange.KindOf(e.Text))
	}
	err = p.base.Signed(ctx, sh.subject, keep, func(b *exchange.Batch) error {
		entries += len(b.Entries)
		return pack.Batch(b)
	})
	return entries, err
}

// streamFile writes a file beside its place, syncs it, and moves it there.
func streamFile(path string, write func(io.Writer) error) error {
	beside, err := os.CreateTemp(filepath.Dir(path), ".netlore-*")
	if err != nil {
		return fail(exitInput, fmt.Errorf("%s could not be written: %w", path, reason(err)))
	}
	defer os.Remove(beside.Name())
	defer beside.Close()
	if err := write(beside); err != nil {
		return err
	}
	for _, step := range []func() error{func() error { return beside.Chmod(0o644) }, beside.Sync, beside.Close,
		func() error { return os.Rename(beside.Name(), path) }, func() error { return syncFolder(filepath.Dir(path)) }} {
		if err := step(); err != nil {
			return fail(exitInput, fmt.Errorf("%s could not be written: %w", path, reason(err)))
		}
	}
	return nil
}
