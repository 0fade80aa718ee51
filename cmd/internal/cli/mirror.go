package cli

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"netlore/store"
	"netlore/store/exchange"
	"netlore/store/exchange/mirror"
)

type mirrorOptions struct {
	licence  string
	origin   string
	kinds    string
	summed   bool
	takeOnly bool
	dryRun   bool
	said     map[string]bool // the options that were given
}

// newMirror makes `netlore mirror`.
func newMirror(a *app) *cobra.Command {
	var opt mirrorOptions
	cmd := &cobra.Command{
		Use:   "mirror FOLDER [--licence LICENCE] [--dry-run]",
		Short: "keep the base and a folder that shops share in step",
		Long: `Mirror takes what other shops have put into a folder, and writes into it what
this shop shares: plain sheets, one for each shop, board and kind of knowledge,
with their signatures beside them. Hand the folder on with git, and read what
changes with git diff. Each shop writes only its own sheets, so git merges them.

What comes in counts as far as the shop is trusted, as with "netlore merge".
What leaves is chosen as with "netlore pack": jobs, and with them customers and
serial numbers, never do. The licence and the kinds are kept in mind; without a
licence nothing is shared, and the folder is only taken from. What is removed
from the base is withdrawn. What is removed from the folder stays in the base.
To share a kind no longer, leave it out of --kinds and delete its sheets.`,
		Example: "  netlore mirror shared --licence CC0-1.0 --dry-run\n  netlore mirror shared --licence CC0-1.0\n  git -C shared pull && netlore mirror shared",
		Args:    between(1, 1, "name one folder"),
		RunE: func(cmd *cobra.Command, args []string) error {
			opt.said = map[string]bool{}
			for _, name := range []string{"licence", "origin", "kinds", "summaries"} {
				opt.said[name] = cmd.Flags().Changed(name)
			}
			return runMirror(cmd.Context(), a, opt, args[0])
		},
	}
	f := cmd.Flags()
	f.Var(licence("--licence", &opt.licence), "licence", "licence of what is shared, as an SPDX identifier")
	f.Var(name("TEXT", &opt.origin), "origin", "where it comes from, in words: measured on the bench")
	f.Var(name("KINDS", &opt.kinds), "kinds", "what to share, if not "+sharedKinds+": also readings, meters, chances")
	f.BoolVar(&opt.summed, "summaries", false, "instead of readings, what they come to where three good boards or more were read")
	f.BoolVar(&opt.takeOnly, "take-only", false, "take what is in the folder, and write nothing into it")
	f.BoolVar(&opt.dryRun, "dry-run", false, "tell what would go each way, and change nothing")
	return cmd
}

func runMirror(ctx context.Context, a *app, opt mirrorOptions, dir string) error {
	m := &mirroring{app: a, opt: opt, dir: dir, name: filepath.ToSlash(dir)}
	if err := m.settle(); err != nil {
		return err
	}
	if err := m.open(); err != nil {
		return err
	}
	defer m.folder.Close()
	list, err := m.folder.List(ctx)
	if err != nil {
		return mirrorError(err)
	}
	if m.inStep(list) {
		return m.tellInStep()
	}
	if err := m.identify(); err != nil {
		return err
	}
	with := a.writing
	if opt.dryRun {
		with = a.reading
	}
	err = with(ctx, func(base *store.Base) error { return m.run(ctx, base, list) })
	if opt.dryRun && errors.Is(err, store.ErrNoBase) {
		empty := store.OpenMemory(a.now)
		defer empty.Close()
		err = m.run(ctx, empty, list)
	}
	if err == nil {
		err = m.keep(ctx)
	}
	return mirrorError(err)
}

// mirroring is one run of netlore mirror.
type mirroring struct {
	app  *app
	opt  mirrorOptions
	dir  string // the folder
	name string // as messages call it

	last     mirror.State
	file     string // where that is kept
	kinds    []exchange.Kind
	folder   *mirror.Folder
	card     *exchange.Card     // who this bench is, for which no key has to be opened
	identity *exchange.Identity // nil if nothing is shared
	reader   *mirror.Reader
	writer   *mirror.Writer
	result   mirrored
}

// settle puts together what was said now and what was said before.
func (m *mirroring) settle() error {
	base, err := m.app.where()
	if err != nil {
		return err
	}
	full, err := filepath.Abs(m.dir)
	if err != nil {
		return err
	}
	m.file = filepath.Join(base, store.AsidePrefix+"mirror-"+mirror.Short(full)+".json")
	if m.last = mirror.LoadState(m.file); m.last.Folder != full {
		m.last = mirror.State{Folder: full, Kinds: sharedKinds}
	}
	o := &m.opt
	if !o.said["licence"] {
		o.licence = m.last.Licence
	}
	if !o.said["origin"] {
		o.origin = m.last.Origin
	}
	if !o.said["kinds"] {
		o.kinds = m.last.Kinds
	}
	if !o.said["summaries"] {
		o.summed = m.last.Summaries
	}
	m.kinds, err = kindsOf(o.kinds)
	if o.summed {
		m.kinds = withSummaries(m.kinds)
	}
	return err
}

// open opens the folder. It is made if something is to be shared in it.
func (m *mirroring) open() (err error) {
	if err := m.apart(); err != nil {
		return err
	}
	m.folder, err = mirror.Open(m.dir)
	if errors.Is(err, os.ErrNotExist) && m.shares() && !m.opt.dryRun {
		if err := os.Mkdir(m.dir, 0o755); err != nil {
			return fail(exitInput, fmt.Errorf("the folder %s cannot be made: %w", m.name, reason(err)))
		}
		m.folder, err = mirror.Open(m.dir)
	}
	switch {
	case errors.Is(err, os.ErrNotExist) && m.shares():
		return fail(exitInput, hint(fmt.Errorf("there is no folder %s yet", m.name), "without --dry-run, netlore mirror makes it", "netlore pack --dry-run prints what this shop would share"))
	case errors.Is(err, os.ErrNotExist):
		return fail(exitInput, hint(fmt.Errorf("there is no folder %s", m.name), "with --licence, netlore mirror makes it and shares in it", "git clone brings one that others share"))
	case err != nil:
		return fail(exitInput, fmt.Errorf("%s is no folder that can be used: %w", m.name, reason(err)))
	}
	return nil
}

// apart refuses a folder that holds the base or the keys, or lies in them: what is in
// it is handed on.
func (m *mirroring) apart() error {
	base, err := m.app.where()
	if err != nil {
		return err
	}
	for what, secret := range map[string]string{"the knowledge base": base, "the keys of this bench": exchange.Dir(m.app.Getenv)} {
		if secret != "" && (inside(m.dir, secret) || inside(secret, m.dir)) {
			return fail(exitInput, hint(fmt.Errorf("%s holds %s, or lies in its folder; and what is in a shared folder is handed on", m.name, what), "name a folder that holds nothing else"))
		}
	}
	return nil
}

// inside reports whether a path is a folder or lies in it.
func inside(path, dir string) bool {
	rel, err := filepath.Rel(followed(dir), followed(path))
	return err == nil && filepath.IsLocal(rel)
}

// followed is a path without links, as far as it is there.
func followed(path string) string {
	if full, err := filepath.Abs(path); err == nil {
		path = full
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		return real
	}
	if above := filepath.Dir(path); above != path {
		return filepath.Join(followed(above), filepath.Base(path))
	}
	return path
}

// shares reports whether this shop shares something in the folder.
func (m *mirroring) shares() bool { return m.opt.licence != "" && !m.opt.takeOnly }

// identify opens the identity, if something is to be signed; else it is enough to
// know whose keys are ours.
func (m *mirroring) identify() (err error) {
	if m.shares() {
		m.identity, err = m.app.signing() // which makes one at the first need
	}
	m.card = m.app.self()
	return err
}

// mirrorError gives what is wrong with the folder its exit code.
func mirrorError(err error) error {
	var at *os.PathError
	var unwritten *mirror.WriteError
	if errors.As(err, &at) || errors.As(err, &unwritten) {
		return fail(exitInput, err)
	}
	return packError(err)
}
