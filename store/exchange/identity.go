package exchange

import (
	"bytes"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/crypto/ssh"
)

// The files of an identity. The first three are for their owner alone.
const (
	fileShop      = "shop-"          // and a fingerprint: private key of the shop; on one bench only
	fileBench     = "bench"          // private key of this bench
	fileSpecimens = "specimens"      // what specimens' names are hidden with
	fileCert      = "bench-cert.pub" // by which the shop vouches for this bench
	fileBenches   = "benches"        // the certificates of all benches; where the shop's key is
	fileWords     = "words"          // what the shop has said about its keys
)

// Identity is who a bench is to other shops. It can sign.
type Identity struct {
	Signer

	Words     []*Word // what the shop has said about its keys
	signer    ssh.Signer
	specimens []byte
}

// Keys are the keys that the shop has and has had.
func (i *Identity) Keys() []Key { return keysOf(i.Shop, i.Words) }

// Labels are the names under which the shop shares and has shared.
func (c *Card) Labels() (all []string) {
	for _, key := range c.Keys() {
		all = append(all, Signer{Shop: key, Name: c.Name}.Label())
	}
	return all
}

func keysOf(shop Key, words []*Word) []Key {
	keys := []Key{shop}
	for _, w := range words {
		if w.Change() {
			keys = append(keys, w.Key)
		}
	}
	return keys
}

// Card is what of an identity can be shown: nothing secret is read for it.
type Card struct {
	Signer

	Waiting bool     // the shop has not vouched for the bench yet
	Root    bool     // the shop's own key is here, too
	Benches []Signer // that the shop vouches for, as far as is known here
	Words   []*Word
}

// Revoked are the keys that the shop has revoked.
func (i *Identity) Revoked() []Key { return revokedBy(i.Words) }

// Revoked are the keys that the shop has revoked.
func (c *Card) Revoked() []Key { return revokedBy(c.Words) }

func revokedBy(words []*Word) (keys []Key) {
	for _, w := range words {
		if !w.Change() {
			keys = append(keys, w.Key)
		}
	}
	return keys
}

// Keys are the keys that the shop has and has had; none while it has not vouched for
// the bench.
func (c *Card) Keys() []Key {
	if !c.Shop.Known() {
		return nil
	}
	return keysOf(c.Shop, c.Words)
}

// Look reads what of an identity can be shown. ErrNoIdentity if there is none.
func Look(dir string) (*Card, error) {
	if _, err := os.Stat(filepath.Join(dir, fileBench)); errors.Is(err, fs.ErrNotExist) {
		return nil, ErrNoIdentity
	} else if err != nil {
		return nil, err
	}
	c := &Card{}
	if err := c.readCert(dir); err != nil {
		return nil, err
	}
	_, err := os.Stat(filepath.Join(dir, fileShop+c.Shop.String()))
	c.Root = err == nil
	if c.Benches, err = readBenches(dir); err != nil {
		return nil, err
	}
	c.Words, err = readWords(dir)
	return c, err
}

// ErrNoIdentity says that no identity has been made yet.
var ErrNoIdentity = errors.New("this bench has no identity yet")

// readCert reads for whom the shop vouches, or who waits for that.
func (c *Card) readCert(dir string) error {
	path := filepath.Join(dir, fileCert)
	line, err := readFile(path)
	if err == nil {
		_, c.Signer, err = parseCertificate(line)
		return inFile("X106", path, err)
	}
	path = filepath.Join(dir, fileRequest)
	if line, err = readFile(path); err != nil {
		return complaint("X104", dir, "the certificate of the bench is missing from the identity", "netlore identity restore brings back what was exported")
	}
	c.Waiting = true
	c.Key, c.Bench, err = ParseKey(line)
	return inFile("X104", path, err)
}

// inFile says in which file something is wrong.
func inFile(code, path string, err error) error {
	if err == nil || isComplaint(err) {
		return err
	}
	return complaint(code, path, err.Error())
}

func readBenches(dir string) (all []Signer, err error) {
	path := filepath.Join(dir, fileBenches)
	text, err := readFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	for line := range bytes.Lines(text) {
		_, signer, err := parseCertificate(line)
		if err != nil {
			return nil, inFile("X104", path, err)
		}
		all = append(all, signer)
	}
	return all, err
}

func readWords(dir string) (all []*Word, err error) {
	path := filepath.Join(dir, fileWords)
	text, err := readFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	for _, one := range strings.SplitAfter(string(text), "\n\n") { // an empty line after each
		if one == "" {
			continue
		}
		w, err := ParseWord([]byte(strings.TrimSuffix(one, "\n")))
		if err != nil {
			return nil, inFile("X104", path, err)
		}
		all = append(all, w)
	}
	return all, err
}

// Open opens an identity to sign with it. It asks for the passphrase if the key
// has one.
func Open(dir string, ask Ask) (*Identity, error) {
	card, err := Look(dir)
	if err != nil {
		return nil, err
	}
	if card.Waiting {
		return nil, complaint("X106", dir, fmt.Sprintf("the shop has not vouched for bench %s yet", card.Bench),
			"bring "+filepath.Join(dir, fileRequest)+" to the bench that has the shop's key: netlore identity vouch FILE")
	}
	if gone := card.Revoked(); slices.Contains(gone, card.Key) || slices.Contains(gone, card.Shop) {
		return nil, complaint("X208", dir, "the key of this bench, or of the shop, was revoked, so nobody would take what is signed with it",
			"where the shop's own key is, netlore identity revoke "+card.Bench+" makes a new one", "elsewhere, move the folder away and make a key that holds: netlore identity request")
	}
	key, err := openKey(dir, fileBench, ask)
	if err != nil {
		return nil, err
	}
	if publicOf(key) != card.Key {
		return nil, complaint("X104", dir, "the certificate is for another key than that of this bench")
	}
	i := &Identity{Signer: card.Signer, Words: card.Words}
	if i.signer, err = certSigner(dir, key); err != nil {
		return nil, err
	}
	i.specimens, err = readSecret(dir)
	return i, err
}

func readSecret(dir string) ([]byte, error) {
	path := filepath.Join(dir, fileSpecimens)
	text, err := ReadPrivate(path)
	if err != nil {
		return nil, err
	}
	secret, err := hex.DecodeString(strings.TrimSpace(string(text)))
	if err != nil || len(secret) != 32 {
		return nil, complaint("X104", path, "what the names of specimens are hidden with is damaged")
	}
	return secret, nil
}

func openKey(dir, name string, ask Ask) (ssh.Signer, error) {
	path := filepath.Join(dir, name)
	text, err := ReadPrivate(path)
	if err != nil {
		return nil, err
	}
	return signerIn(path, text, ask)
}

func certSigner(dir string, key ssh.Signer) (ssh.Signer, error) {
	path := filepath.Join(dir, fileCert)
	line, err := readFile(path)
	if err != nil {
		return nil, err
	}
	cert, _, err := parseCertificate(line)
	if err != nil {
		return nil, inFile("X106", path, err)
	}
	return ssh.NewCertSigner(cert, key)
}
