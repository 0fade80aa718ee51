package exchange

import (
	"crypto/rand"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"golang.org/x/crypto/ssh"
)

// Making says what to make an identity of.
type Making struct {
	Shop, Bench string
	Passphrase  []byte // locks the new keys; may be empty
	// ShopKey and BenchKey, when set, are key files that exist: they are copied,
	// with whatever passphrase they have. Of a key that ssh-agent holds it is the public
	// file, whose name ends in .pub.
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

// BenchFile is the file with the private key of a bench.
func BenchFile(dir string) string { return filepath.Join(dir, fileBench) }

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
func (m *Making) shopKey(in string, ask Ask) (ssh.Signer, error) {
	key, text, err := m.keyText(m.ShopKey, m.Shop, ask)
	if err != nil {
		return nil, err
	}
	return key, writeNew(filepath.Join(in, fileShop+publicOf(key).String()), text, 0o600)
}

func (m *Making) benchKey(in string, ask Ask) (ssh.Signer, error) {
	key, text, err := m.keyText(m.BenchKey, m.Bench, ask)
	if err != nil {
		return nil, err
	}
	return key, writeNew(filepath.Join(in, fileBench), text, 0o600)
}

// keyText makes a key, or reads one that exists, and gives its file.
func (m *Making) keyText(from, comment string, ask Ask) (ssh.Signer, []byte, error) {
	if from == "" {
		key, err := newKey()
		if err != nil {
			return nil, nil, err
		}
		text, err := printPrivate(key, comment, m.Passphrase)
		if err != nil {
			return nil, nil, err
		}
		signer, err := ssh.NewSignerFromSigner(key)
		return signer, text, err
	}
	read := ReadPrivate
	if strings.HasSuffix(from, ".pub") {
		read = readFile
	}
	text, err := read(from)
	if err != nil {
		return nil, nil, err
	}
	signer, err := signerIn(from, text, ask)
	return signer, text, err
}

func newSecret(in string) error {
	secret := make([]byte, 32)
	rand.Read(secret) // never fails
	return writeNew(filepath.Join(in, fileSpecimens), []byte(hex.EncodeToString(secret)+"\n"), 0o600)
}

// vouchIn vouches for a bench, and keeps the certificate with those of all
// benches; own says that it is the bench of this folder.
func vouchIn(in string, shop ssh.Signer, shopName, bench string, key Key, own bool) error {
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

func vouchLine(shop ssh.Signer, shopName, bench string, key Key) ([]byte, error) {
	cert, err := vouch(shop, shopName, bench, key)
	if err != nil {
		return nil, err
	}
	return ssh.MarshalAuthorizedKey(cert), nil
}
