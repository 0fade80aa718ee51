package cli

import (
	"bytes"
	"errors"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"netlore/store/exchange"
)

// newIdentityVouch makes `netlore identity vouch`.
func newIdentityVouch(a *app) *cobra.Command {
	var to string
	cmd := &cobra.Command{
		Use:   "vouch FILE [--to FILE]",
		Short: "vouch for a further bench, by the file that it has brought",
		Long: `Vouch makes the certificate by which the shop vouches for a bench, and prints it
or writes it into a file. It is no secret. Bring it back to the bench: netlore
identity accept FILE.`,
		Args: between(1, 1, "name the file bench.pub that the bench has made"),
		RunE: func(_ *cobra.Command, args []string) error { return runIdentityVouch(a, args[0], to) },
	}
	cmd.Flags().Var(name("FILE", &to), "to", "file to write the certificate into")
	return cmd
}

func runIdentityVouch(a *app, path, to string) error {
	dir, err := a.identityDir()
	if err != nil {
		return err
	}
	request, err := a.shortFile(path)
	if err != nil {
		return err
	}
	line, signer, err := exchange.Vouch(dir, request, a.passphrase)
	if err != nil {
		return identityError(err)
	}
	if to == "" && !a.json {
		return a.print(string(line))
	}
	if to != "" {
		if err := newFile(to, line); err != nil {
			return err
		}
	}
	if a.json {
		writeJSON(a.Out, map[string]any{"shop": signer.Name, "bench": signer.Bench, "key": signer.Key.String(), "certificate": string(line), "file": to})
		return nil
	}
	return a.line("%s vouches for %s, whose key is %s: %s", signer.Name, signer.Bench, signer.Key, to)
}

// newIdentityAccept makes `netlore identity accept`.
func newIdentityAccept(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "accept FILE",
		Short: "take the certificate by which the shop vouches for this bench",
		Args:  between(1, 1, "name the file with the certificate"),
		RunE:  func(_ *cobra.Command, args []string) error { return runIdentityAccept(a, args[0]) },
	}
}

func runIdentityAccept(a *app, path string) error {
	dir, err := a.identityDir()
	if err != nil {
		return err
	}
	line, err := a.shortFile(path)
	if err != nil {
		return err
	}
	card, err := exchange.Accept(dir, line)
	if err != nil {
		return identityError(err)
	}
	return a.showCard(card)
}

// newIdentityChange makes `netlore identity change`.
func newIdentityChange(a *app) *cobra.Command {
	var locked bool
	cmd := &cobra.Command{
		Use:   "change [--passphrase]",
		Short: "give the shop a new key, signed by the old one",
		Long: `Change gives the shop a new key. The old one signs that the new one takes its
place, and every pack from now on says so: who trusts the old key trusts the new
one. The other benches of the shop have to be vouched for anew.`,
		Args: between(0, 0, "nothing is to be named"),
		RunE: func(*cobra.Command, []string) error { return runIdentityChange(a, locked) },
	}
	cmd.Flags().BoolVar(&locked, "passphrase", false, "lock the new key with a passphrase, which is asked for")
	return cmd
}

func runIdentityChange(a *app, locked bool) error {
	dir, err := a.identityDir()
	if err != nil {
		return err
	}
	var passphrase []byte
	if locked {
		if passphrase, err = a.newPassphrase(); err != nil {
			return err
		}
	}
	w, err := exchange.Change(dir, passphrase, a.now(), a.passphrase)
	if err != nil {
		return identityError(err)
	}
	return a.tellSaid(w)
}

// newIdentityRevoke makes `netlore identity revoke`.
func newIdentityRevoke(a *app) *cobra.Command {
	var because string
	cmd := &cobra.Command{
		Use:   "revoke BENCH|KEY [--because TEXT]",
		Short: "say that the key of a bench holds no more",
		Long: `Revoke says that a key of this shop holds no more: a notebook was stolen, somebody
has left. Every pack from now on says so. Who hears of it takes nothing more that
was signed with the key; what they had by then stays, for nobody else can say
when a key was stolen.

This bench gets a new key if it is its own that is revoked, with the passphrase of
the shop's key, or none if that has none. What the old key had signed is signed
again by the next pack or mirror: all that this bench says, and
what it has of the other bench. netlore shun keeps back what is not to be said.`,
		Args: between(1, 1, "name the bench, or the fingerprint of its key"),
		RunE: func(_ *cobra.Command, args []string) error { return runIdentityRevoke(a, args[0], because) },
	}
	cmd.Flags().Var(name("TEXT", &because), "because", "why, for those who hear of it")
	return cmd
}

func runIdentityRevoke(a *app, which, because string) error {
	card, err := a.card()
	if err != nil {
		return err
	}
	key, err := keyNamed(card, which)
	if err != nil {
		return err
	}
	dir, err := a.identityDir()
	if err != nil {
		return err
	}
	locked := false
	w, err := exchange.Revoke(dir, key, because, a.now(), func(file string) ([]byte, error) {
		locked = true // as the shop's key is
		return a.passphrase(file)
	})
	if err != nil {
		return identityError(err)
	}
	now, err := exchange.Look(dir)
	if err != nil {
		return identityError(err)
	}
	if now.Key == card.Key {
		return a.tellSaid(w)
	}
	return a.tellNewKey(w, now.Key, locked, exchange.BenchFile(dir))
}

// tellNewKey tells that a key was revoked, and that this bench has another one for it.
func (a *app) tellNewKey(w *exchange.Word, key exchange.Key, locked bool, file string) error {
	if a.json {
		object := wordJSON(w)
		object["bench_key"], object["locked"] = key.String(), locked
		writeJSON(a.Out, object)
		return nil
	}
	if err := a.tellSaid(w); err != nil {
		return err
	}
	if err := a.line("This bench has a new key, %s; the next pack signs again what the old one had signed.", key); err != nil || locked {
		return err
	}
	return a.line("The new key has no passphrase, whatever the old one had; ssh-keygen -p -f %s locks it with one.", shellWord(file))
}

// keyNamed finds a key that the shop has, had, or vouches for, by its fingerprint or by the
// name of the bench, if only one bench has it that was not revoked.
func keyNamed(card *exchange.Card, which string) (exchange.Key, error) {
	var found []exchange.Key
	for _, key := range card.Keys() {
		if key.Typed(which) {
			return key, nil
		}
	}
	for _, b := range card.Benches {
		switch {
		case b.Key.Typed(which):
			return b.Key, nil
		case b.Bench == which && which != "" && (len(found) == 0 || found[0] != b.Key):
			found = append(found, b.Key)
		}
	}
	if len(found) > 1 {
		gone := card.Revoked()
		found = slices.DeleteFunc(found, func(k exchange.Key) bool { return slices.Contains(gone, k) })
	}
	if len(found) == 1 {
		return found[0], nil
	}
	problem := fmt.Errorf("this shop vouches for no bench and no key %q", which)
	if len(found) > 1 {
		problem = fmt.Errorf("several keys are of a bench %q", which)
	}
	return exchange.Key{}, hint(problem, "netlore identity lists them with their fingerprints")
}

// newIdentitySigners makes `netlore identity signers`.
func newIdentitySigners(a *app) *cobra.Command {
	return &cobra.Command{
		Use:   "signers",
		Short: "print the shop as an allowed signer, for ssh-keygen",
		Long: `Signers prints the shop's public key as OpenSSH wants it in a file of allowed
signers. With that, anybody can check a pack of this shop without netlore:

  tar xf heron.pack
  ssh-keygen -Y verify -f signers -I bench-1 -n netlore-batch \
    -s 0001.sig < 0001.manifest`,
		Args: between(0, 0, "nothing is to be named"),
		RunE: func(*cobra.Command, []string) error { return runIdentitySigners(a) },
	}
}

func runIdentitySigners(a *app) error {
	card, err := a.card()
	if err != nil {
		return err
	}
	if card.Waiting {
		return fail(exitInput, errors.New("the shop has not vouched for this bench yet"))
	}
	if a.json {
		writeJSON(a.Out, map[string]any{"signers": card.SignersLines()})
		return nil
	}
	return a.print(card.SignersLines())
}

// firstLine is what a file says before the first line end.
func firstLine(text []byte) []byte {
	line, _, _ := bytes.Cut(text, []byte("\n"))
	return bytes.TrimSuffix(line, []byte("\r"))
}
