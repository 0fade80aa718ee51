package cli

import (
	"errors"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"netlore/store/exchange"
)

type identityOptions struct {
	exchange.Making

	locked bool
}

// newIdentityNew makes `netlore identity new`.
func newIdentityNew(a *app) *cobra.Command {
	var opt identityOptions
	cmd := &cobra.Command{
		Use:   "new --shop NAME [--bench NAME] [--passphrase]",
		Short: "make the key of a shop, and that of this bench",
		Long: `New makes an Ed25519 key for the shop and one for this bench, and vouches for
the bench with the shop's. Do this on one bench only; the others ask it with
"netlore identity request". An Ed25519 key of OpenSSH that you have can be used:
name its file, or the .pub file if ssh-agent holds the key.`,
		Args: between(0, 0, "the name of the shop goes behind --shop"),
		RunE: func(*cobra.Command, []string) error { return runIdentityNew(a, opt) },
	}
	cmd.Flags().Var(name("NAME", &opt.Shop), "shop", "what the shop calls itself")
	cmd.Flags().Var(name("FILE", &opt.ShopKey), "shop-key", "a key file of OpenSSH that is to be the shop's; .pub if ssh-agent has it")
	identityFlags(cmd, &opt)
	cmd.MarkFlagFilename("shop-key")
	return cmd
}

func identityFlags(cmd *cobra.Command, opt *identityOptions) {
	f := cmd.Flags()
	f.Var(name("NAME", &opt.Bench), "bench", "what this bench is called (default: the author)")
	f.Var(name("FILE", &opt.BenchKey), "bench-key", "a key file of OpenSSH that is to be the bench's; .pub if ssh-agent has it")
	f.BoolVar(&opt.locked, "passphrase", false, "lock the keys with a passphrase, which is asked for")
	cmd.MarkFlagFilename("bench-key")
}

func runIdentityNew(a *app, opt identityOptions) error {
	if opt.Shop == "" {
		return hint(errors.New("say what the shop calls itself"), "netlore identity new --shop 'Heron Repair'")
	}
	return a.makeIdentity(opt, exchange.Make)
}

// makeIdentity makes an identity, and shows it.
func (a *app) makeIdentity(opt identityOptions, how func(string, exchange.Making, exchange.Ask) (*exchange.Card, error)) error {
	dir, err := a.identityDir()
	if err != nil {
		return err
	}
	if opt.Bench == "" {
		opt.Bench = benchName(a.author())
	}
	if opt.locked {
		if opt.Passphrase, err = a.newPassphrase(); err != nil {
			return err
		}
	}
	card, err := how(dir, opt.Making, a.passphrase)
	if err != nil {
		return identityError(err)
	}
	return a.showCard(card)
}

// benchName makes of any author a name that a bench can have.
func benchName(author string) string {
	made := strings.Map(func(r rune) rune {
		if r == '-' || r == '_' || r == '.' || '0' <= r && r <= '9' || 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' {
			return r
		}
		return '-'
	}, author)
	return made[:min(len(made), 60)]
}

// newIdentityRequest makes `netlore identity request`.
func newIdentityRequest(a *app) *cobra.Command {
	var opt identityOptions
	cmd := &cobra.Command{
		Use:   "request [--bench NAME] [--passphrase]",
		Short: "make a key for a further bench, for the shop to vouch for",
		Long: `Request makes a key for this bench, and says which file to bring to the bench
that has the shop's key. The private key stays here.`,
		Args: between(0, 0, "the name of the bench goes behind --bench"),
		RunE: func(*cobra.Command, []string) error { return runIdentityRequest(a, opt) },
	}
	identityFlags(cmd, &opt)
	return cmd
}

func runIdentityRequest(a *app, opt identityOptions) error {
	if err := a.makeIdentity(opt, exchange.Request); err != nil || a.json {
		return err
	}
	dir, err := a.identityDir()
	if err != nil {
		return err
	}
	return a.line("bring %s to the bench that has the shop's key: netlore identity vouch FILE", exchange.RequestFile(dir))
}

// newIdentityExport makes `netlore identity export`.
func newIdentityExport(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "export FILE",
		Short: "write the identity with its private keys into a file, to keep safe",
		Long: `Export writes all of the identity as a tar archive that only you may read: also
the private keys. Whoever gets at it can sign in the shop's name, unless the keys
have a passphrase.`,
		Args: between(1, 1, "name the file to write"),
		RunE: func(_ *cobra.Command, args []string) error { return runIdentityExport(a, args[0]) },
	}
}

func runIdentityExport(a *app, path string) error {
	dir, err := a.identityDir()
	if err != nil {
		return err
	}
	var archive strings.Builder
	if err := exchange.Export(dir, &archive); err != nil {
		return identityError(err)
	}
	if err := newSecretFile(path, []byte(archive.String())); err != nil {
		return err
	}
	if a.json {
		writeJSON(a.Out, map[string]any{"file": path})
		return nil
	}
	return a.line("%s holds the identity; keep it where nobody else gets at it", path)
}

// newIdentityRestore makes `netlore identity restore`.
func newIdentityRestore(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "restore FILE",
		Short: "bring an exported identity back",
		Args:  between(1, 1, "name the file that netlore identity export has written"),
		RunE:  func(_ *cobra.Command, args []string) error { return runIdentityRestore(a, args[0]) },
	}
}

func runIdentityRestore(a *app, path string) error {
	dir, err := a.identityDir()
	if err != nil {
		return err
	}
	file, err := os.Open(path)
	if err != nil {
		return fail(exitInput, fileError(path, err))
	}
	defer file.Close()
	card, err := exchange.Restore(dir, file)
	if err != nil {
		return identityError(err)
	}
	return a.showCard(card)
}
