package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"

	"github.com/spf13/cobra"

	"netlore/query/diag"
	"netlore/store/exchange"
)

// newIdentity makes `netlore identity`.
func newIdentity(a *app) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "identity",
		Short: "show who this bench is to other shops, or see to its keys",
		Long: `Identity shows the key that other shops know this one by, and the key of this
bench, for which the shop vouches. They are Ed25519 keys in files of OpenSSH,
and ssh-keygen can check what a bench has signed.

  netlore identity new --shop 'Heron Repair' --bench bench-1

On a further bench of the same shop, then on the first, then back:

  netlore identity request --bench bench-2
  netlore identity vouch bench.pub --to bench-cert.pub
  netlore identity accept bench-cert.pub

Keep a copy where nobody else gets at it: netlore identity export FILE.`,
		Args: noSuchOn("the identity"),
		RunE: func(*cobra.Command, []string) error { return runIdentity(a) },
	}
	for _, c := range []*cobra.Command{newIdentityNew(a), newIdentityRequest(a), newIdentityVouch(a), newIdentityAccept(a), newIdentityChange(a),
		newIdentityRevoke(a), newIdentitySigners(a), newIdentityExport(a), newIdentityRestore(a)} {
		c.DisableFlagsInUseLine = true
		cmd.AddCommand(c)
	}
	return cmd
}

func runIdentity(a *app) error {
	card, err := a.card()
	if err != nil {
		return err
	}
	return a.showCard(card)
}

// card is what of the identity can be shown.
func (a *app) card() (*exchange.Card, error) {
	dir, err := a.identityDir()
	if err != nil {
		return nil, err
	}
	card, err := exchange.Look(dir)
	return card, identityError(err)
}

func (a *app) identityDir() (string, error) {
	if dir := exchange.Dir(a.Getenv); dir != "" {
		return dir, nil
	}
	return "", fail(exitInput, hint(errors.New("there is no home folder to keep an identity in"), "name a folder with NETLORE_IDENTITY"))
}

// identityError gives errors about keys their exit code.
func identityError(err error) error {
	var told diag.Diagnostic
	switch {
	case err == nil:
		return nil
	case errors.Is(err, exchange.ErrNoIdentity):
		return fail(exitInput, hint(err, "netlore identity new --shop NAME makes one", "netlore identity request makes a key for a further bench of a shop"))
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, fs.ErrPermission), errors.As(err, &told):
		return fail(exitInput, err)
	}
	return err
}

func (a *app) showCard(c *exchange.Card) error {
	if a.json {
		writeJSON(a.Out, cardJSON(c))
		return nil
	}
	if c.Waiting {
		return a.line("bench %s, key %s: the shop has not vouched for it yet", c.Bench, c.Key)
	}
	lines := []string{
		fmt.Sprintf("shop   %s", c.Name),
		fmt.Sprintf("       %s   %s", c.Shop, c.Shop.OpenSSH()),
		fmt.Sprintf("bench  %s", c.Bench),
		fmt.Sprintf("       %s   %s", c.Key, c.Key.OpenSSH()),
	}
	gone := c.Revoked()
	if c.Root {
		valid := slices.DeleteFunc(slices.Clone(c.Benches), func(b exchange.Signer) bool { return slices.Contains(gone, b.Key) })
		lines = append(lines, "The shop's own key is on this bench. It vouches for "+plural(len(valid), "certificate")+".")
	}
	for _, b := range c.Benches {
		line := fmt.Sprintf("       %s   %s", b.Key, b.Bench)
		if slices.Contains(gone, b.Key) {
			line += " (revoked)"
		}
		lines = append(lines, line)
	}
	for _, w := range c.Words {
		lines = append(lines, saidOfKey(w))
	}
	for _, line := range lines {
		if err := a.line("%s", line); err != nil {
			return err
		}
	}
	return nil
}

// tellSaid tells what the shop says of a key from now on.
func (a *app) tellSaid(w *exchange.Word) error {
	if a.json {
		writeJSON(a.Out, wordJSON(w))
		return nil
	}
	return a.line("%s", saidOfKey(w))
}

// saidOfKey is one thing that a shop says of its keys.
func saidOfKey(w *exchange.Word) string {
	if w.Change() {
		return fmt.Sprintf("On %s the key %s took the place of %s.", date(w.Time), w.To, w.Key)
	}
	said := fmt.Sprintf("On %s the key %s was revoked", date(w.Time), w.Key)
	if w.Because != "" {
		said += ": " + w.Because
	}
	return said + "."
}

func cardJSON(c *exchange.Card) map[string]any {
	benches, words := []any{}, []any{}
	for _, b := range c.Benches {
		benches = append(benches, map[string]string{"bench": b.Bench, "key": b.Key.String()})
	}
	for _, w := range c.Words {
		words = append(words, wordJSON(w))
	}
	return map[string]any{"shop": c.Name, "shop_key": c.Shop.String(), "shop_openssh": c.Shop.OpenSSH(), "bench": c.Bench, "bench_key": c.Key.String(),
		"bench_openssh": c.Key.OpenSSH(), "waiting": c.Waiting, "root": c.Root, "benches": benches, "words": words}
}

func wordJSON(w *exchange.Word) map[string]any {
	word := map[string]any{"key": w.Key.String(), "time": w.Time, "because": w.Because, "change": w.Change()}
	if w.Change() {
		word["to"] = w.To.String()
	}
	return word
}
