package exchange

import (
	"bytes"
	"crypto/ed25519"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

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
func (i *Identity) Keys() []Key {
	keys := []Key{i.Shop}
	for _, w := range i.Words {
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

// Making says what to make an identity of.
type Making struct {
	Shop, Bench string
	Passphrase  []byte // locks the new keys; may be empty
	// ShopKey and BenchKey, when set, are key files that exist: they are copied,
	// with whatever passphrase they have.
	ShopKey, BenchKey string
}

// Make makes an identity: the key of a shop, and that of a bench, for which it
// vouches. It is there whole, or not at all.
func Make(dir string, m Making, ask Ask) (*Card, error) {
	if err := checkNames(m.Shop, m.Bench); err != nil {
		return nil, err
	}
	return making(dir, func(in string) error {
		shop, err := m.shopKey(in, ask)
		if err != nil {
			return err
		}
		bench, err := m.benchKey(in, ask)
		if err != nil {
			return err
		}
		return errors.Join(vouchIn(in, shop, m.Shop, m.Bench, publicOf(bench), true), newSecret(in))
	})
}

// Request makes the key of a further bench, for which the shop has to vouch: what
// is returned is to be brought to it.
func Request(dir string, m Making, ask Ask) (*Card, error) {
	if err := checkNames("shop", m.Bench); err != nil {
		return nil, err
	}
	return making(dir, func(in string) error {
		bench, err := m.benchKey(in, ask)
		if err != nil {
			return err
		}
		line := publicOf(bench).AuthorizedKey() + " " + m.Bench + "\n"
		return errors.Join(writeNew(filepath.Join(in, fileRequest), []byte(line), 0o644), newSecret(in))
	})
}

// fileRequest is the public key of a bench for which nobody vouches yet.
const fileRequest = "bench.pub"

// RequestFile is where Request leaves what is to be brought to the shop's key.
func RequestFile(dir string) string { return filepath.Join(dir, fileRequest) }

// making fills a folder beside its place, then moves it there.
func making(dir string, fill func(in string) error) (*Card, error) {
	if err := os.MkdirAll(filepath.Dir(dir), 0o755); err != nil {
		return nil, err
	}
	in, err := os.MkdirTemp(filepath.Dir(dir), ".identity-*") // only its owner may enter it
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(in)
	if err := fill(in); err != nil {
		return nil, err
	}
	if err := os.Rename(in, dir); err != nil {
		if _, there := os.Stat(dir); there == nil {
			return nil, complaint("X105", dir, "there is an identity already", "netlore identity shows it", "to start anew, move the folder away first; what was signed with it stays signed")
		}
		return nil, err
	}
	if err := syncFolder(filepath.Dir(dir)); err != nil {
		return nil, err
	}
	return Look(dir)
}

// shopKey makes the shop's key. Its file is called after the key, so that the
// certificate of the bench alone tells which of several is in force.
func (m *Making) shopKey(in string, ask Ask) (ed25519.PrivateKey, error) {
	key, text, err := m.keyText(m.ShopKey, m.Shop, ask)
	if err != nil {
		return nil, err
	}
	return key, writeNew(filepath.Join(in, fileShop+publicOf(key).String()), text, 0o600)
}

func (m *Making) benchKey(in string, ask Ask) (ed25519.PrivateKey, error) {
	key, text, err := m.keyText(m.BenchKey, m.Bench, ask)
	if err != nil {
		return nil, err
	}
	return key, writeNew(filepath.Join(in, fileBench), text, 0o600)
}

// keyText makes a key, or reads one that exists, and gives its file.
func (m *Making) keyText(from, comment string, ask Ask) (key ed25519.PrivateKey, text []byte, err error) {
	if from != "" {
		if text, err = readPrivate(from); err != nil {
			return nil, nil, err
		}
		key, err = parsePrivate(from, text, ask)
	} else if key, err = newKey(); err == nil {
		text, err = printPrivate(key, comment, m.Passphrase)
	}
	return key, text, err
}

func newSecret(in string) error {
	secret := make([]byte, 32)
	rand.Read(secret) // never fails
	return writeNew(filepath.Join(in, fileSpecimens), []byte(hex.EncodeToString(secret)+"\n"), 0o600)
}

// vouchIn vouches for a bench, and keeps the certificate with those of all
// benches; own says that it is the bench of this folder.
func vouchIn(in string, shop ed25519.PrivateKey, shopName, bench string, key Key, own bool) error {
	line, err := vouchLine(shop, shopName, bench, key)
	if err != nil {
		return err
	}
	all, err := readFile(filepath.Join(in, fileBenches))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := writeNew(filepath.Join(in, fileBenches), append(all, line...), 0o644); err != nil || !own {
		return err
	}
	return writeNew(filepath.Join(in, fileCert), line, 0o644)
}

func vouchLine(shop ed25519.PrivateKey, shopName, bench string, key Key) ([]byte, error) {
	signer, err := ssh.NewSignerFromSigner(shop)
	if err != nil {
		return nil, err
	}
	cert, err := vouch(signer, shopName, bench, key)
	if err != nil {
		return nil, err
	}
	return ssh.MarshalAuthorizedKey(cert), nil
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
		_, c.Signer, err = parseCertificate(line, time.Now())
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
		_, signer, err := parseCertificate(line, time.Now())
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
	text, err := readPrivate(path)
	if err != nil {
		return nil, err
	}
	secret, err := hex.DecodeString(strings.TrimSpace(string(text)))
	if err != nil || len(secret) != 32 {
		return nil, complaint("X104", path, "what the names of specimens are hidden with is damaged")
	}
	return secret, nil
}

func openKey(dir, name string, ask Ask) (ed25519.PrivateKey, error) {
	path := filepath.Join(dir, name)
	text, err := readPrivate(path)
	if err != nil {
		return nil, err
	}
	return parsePrivate(path, text, ask)
}

func certSigner(dir string, key ed25519.PrivateKey) (ssh.Signer, error) {
	path := filepath.Join(dir, fileCert)
	line, err := readFile(path)
	if err != nil {
		return nil, err
	}
	cert, _, err := parseCertificate(line, time.Now())
	if err != nil {
		return nil, inFile("X106", path, err)
	}
	signer, err := ssh.NewSignerFromSigner(key)
	if err != nil {
		return nil, err
	}
	return ssh.NewCertSigner(cert, signer)
}
