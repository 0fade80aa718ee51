package exchange

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"golang.org/x/crypto/ssh"
)

// openShop opens the shop's own key, which only one of its benches has.
func openShop(dir string, ask Ask) (ssh.Signer, *Card, error) {
	card, err := Look(dir)
	if err != nil {
		return nil, nil, err
	}
	key, err := openKey(dir, fileShop+card.Shop.String(), ask)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil, complaint("X107", dir, "the shop's own key is not on this bench", "do this on the bench on which the identity was made")
	}
	if err == nil && publicOf(key) != card.Shop {
		err = complaint("X104", dir, "the shop's key is another one than that which vouches for this bench")
	}
	return key, card, err
}

// Vouch vouches for a bench, by its request: the line that Request has left. It
// returns the certificate, which is to be brought back to the bench.
func Vouch(dir string, request []byte, ask Ask) ([]byte, Signer, error) {
	key, bench, err := ParseKey(request)
	if err != nil {
		return nil, Signer{}, complaint("X106", "", "the request of the bench cannot be read: "+err.Error(), "it is the file bench.pub that netlore identity request has left")
	}
	shop, card, err := openShop(dir, ask)
	if err != nil {
		return nil, Signer{}, err
	}
	gone := card.Revoked()
	if i := slices.IndexFunc(card.Benches, func(s Signer) bool { return s.Bench == bench && s.Key != key && !slices.Contains(gone, s.Key) }); i >= 0 {
		return nil, Signer{}, complaint("X106", "", fmt.Sprintf("the shop vouches for another bench that is called %s, with the key %s", bench, card.Benches[i].Key),
			"call the new one otherwise, or revoke the old key first: netlore identity revoke "+card.Benches[i].Key.String())
	}
	if err := vouchIn(dir, shop, card.Name, bench, key, false); err != nil {
		return nil, Signer{}, err
	}
	line, err := vouchLine(shop, card.Name, bench, key)
	return line, Signer{Shop: card.Shop, Key: key, Name: card.Name, Bench: bench}, err
}

// Accept takes the certificate that a bench has asked for.
func Accept(dir string, line []byte) (*Card, error) {
	card, err := Look(dir)
	if err != nil {
		return nil, err
	}
	_, signer, err := parseCertificate(line)
	switch {
	case err != nil:
		return nil, inFile("X106", "", err)
	case signer.Key != card.Key:
		return nil, complaint("X106", "", fmt.Sprintf("the certificate is for the key %s, and this bench has the key %s", signer.Key, card.Key))
	}
	if err := writeNew(filepath.Join(dir, fileCert), line, 0o644); err != nil {
		return nil, err
	}
	if err := os.Remove(filepath.Join(dir, fileRequest)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	return Look(dir)
}

// Change gives the shop a new key, which the old one signs, and vouches for this
// bench with it. The other benches go on with what they have until they are
// vouched for anew. The file of the old key stays. Without another passphrase, the
// new key has that of the old one. What was cut short is taken up again.
func Change(dir string, passphrase []byte, now time.Time, ask Ask) (*Word, error) {
	old, card, err := openShop(dir, func(file string) (typed []byte, err error) {
		if ask == nil {
			return nil, noPassphrase(file)
		}
		if typed, err = ask(file); passphrase == nil {
			passphrase = typed
		}
		return typed, err
	})
	if err != nil {
		return nil, err
	}
	if i := slices.IndexFunc(card.Words, func(w *Word) bool { return w.Change() && w.Key == card.Shop }); i >= 0 {
		w := card.Words[i]
		next, err := openKey(dir, fileShop+w.To.String(), ask)
		if err != nil {
			return nil, err
		}
		return w, vouchIn(dir, next, card.Name, card.Bench, card.Key, true)
	}
	m := Making{Shop: card.Name, Passphrase: passphrase}
	next, err := m.shopKey(dir, ask)
	if err != nil {
		return nil, err
	}
	w := &Word{Key: card.Shop, To: publicOf(next), Shop: card.Name, Time: now.UTC().Truncate(time.Second)}
	if err := w.sign(old, next); err != nil {
		return nil, err
	}
	if err := addWord(dir, w); err != nil {
		return nil, err
	}
	return w, vouchIn(dir, next, card.Name, card.Bench, card.Key, true)
}

// Revoke says that a key holds no more: that of a bench, the shop's own, or one that it
// had before. Whoever hears of it takes nothing more that the key has signed; what they
// have already stays. Where it is the key of this bench itself, that gets a new one, for
// which the shop vouches, locked with the passphrase of the shop's own key if that was
// asked for. What was cut short is taken up again.
func Revoke(dir string, key Key, because string, now time.Time, ask Ask) (*Word, error) {
	var passphrase []byte
	shop, card, err := openShop(dir, func(file string) (typed []byte, err error) {
		if ask == nil {
			return nil, noPassphrase(file)
		}
		passphrase, err = ask(file)
		return passphrase, err
	})
	if err != nil {
		return nil, err
	}
	known := slices.Contains(card.Keys(), key) || slices.ContainsFunc(card.Benches, func(s Signer) bool { return s.Key == key })
	if !known {
		return nil, complaint("X107", "", fmt.Sprintf("this shop does not vouch for a key %s", key), "netlore identity lists the keys that it vouches for")
	}
	w := &Word{Key: key, Shop: card.Name, Time: now.UTC().Truncate(time.Second), Because: because}
	if i := slices.IndexFunc(card.Words, func(w *Word) bool { return !w.Change() && w.Key == key }); i >= 0 {
		w = card.Words[i] // it was said before
	} else if err := w.sign(shop); err != nil {
		return nil, err
	} else if err := addWord(dir, w); err != nil {
		return nil, err
	}
	if key != card.Key || slices.Contains(card.Revoked(), card.Shop) {
		return w, nil
	}
	m := Making{Bench: card.Bench, Passphrase: passphrase}
	bench, err := m.benchKey(dir, nil)
	if err != nil {
		return nil, err
	}
	return w, vouchIn(dir, shop, card.Name, card.Bench, publicOf(bench), true)
}

func addWord(dir string, w *Word) error {
	path := filepath.Join(dir, fileWords)
	all, err := readFile(path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	all = append(append(all, w.text...), '\n')
	return writeNew(path, all, 0o644)
}
