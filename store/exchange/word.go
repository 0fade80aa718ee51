package exchange

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"time"

	"golang.org/x/crypto/ssh"

	"netlore/store/board"
)

// Word is what a shop says about its keys: that another one takes the place of
// one, or that one holds no more. It is plain text, then the signatures on it:
//
//	netlore key 1
//	revoke ssh-ed25519 AAAA…
//	shop "Heron Repair"
//	time 2026-03-16T09:00:00Z
//	because "the notebook is gone"
//	-----BEGIN SSH SIGNATURE-----
//
// A change of key is signed by the old key and by the new one, a revocation by the
// key that is revoked or by the shop's that vouched for it.
type Word struct {
	Key     Key // that is given up
	To      Key // that takes its place; zero for a revocation
	Shop    string
	Time    time.Time // as the shop says
	Because string
	By      Key // who has signed: of a change, the old key

	text []byte // with the signatures
}

const (
	wordHead = "netlore key 1\n"
	armour   = "-----BEGIN SSH SIGNATURE-----"
	maxWord  = 3 * maxSignature
)

// Text is the statement with its signatures, as it is passed on.
func (w *Word) Text() []byte { return w.text }

// Change reports whether it is about a key that takes the place of another.
func (w *Word) Change() bool { return w.To.Known() }

// message is what is signed.
func (w *Word) message() []byte {
	var s bytes.Buffer
	s.WriteString(wordHead)
	if w.Change() {
		fmt.Fprintf(&s, "change %s\nto %s\n", w.Key.AuthorizedKey(), w.To.AuthorizedKey())
	} else {
		fmt.Fprintf(&s, "revoke %s\n", w.Key.AuthorizedKey())
	}
	fmt.Fprintf(&s, "shop %s\ntime %s\n", board.QuoteName(w.Shop), w.Time.UTC().Format(time.RFC3339))
	if w.Because != "" {
		fmt.Fprintf(&s, "because %s\n", board.QuoteName(w.Because))
	}
	return s.Bytes()
}

// sign signs with each key.
func (w *Word) sign(keys ...ssh.Signer) error {
	message := w.message()
	w.text = bytes.Clone(message)
	for _, key := range keys {
		signature, err := sign(message, key, KeyNamespace)
		if err != nil {
			return err
		}
		w.text = append(w.text, signature...)
	}
	checked, err := ParseWord(w.text)
	if err == nil {
		*w = *checked
	}
	return err
}

// ParseWord reads a statement about keys and checks its signatures. Whether who
// signs may say so of the key is for the receiver to judge, who knows who
// vouched for it; see Word.By.
func ParseWord(text []byte) (*Word, error) {
	if len(text) > maxWord {
		return nil, fmt.Errorf("what is said of a key has more than %d bytes", maxWord)
	}
	message, signatures, ok := splitSigned(text)
	if !ok {
		return nil, errors.New("what is said of a key is not signed")
	}
	w, err := parseWord(message)
	if err != nil {
		return nil, err
	}
	w.text = bytes.Clone(text)
	return w, w.check(message, signatures)
}

// splitSigned parts a text from the signatures behind it.
func splitSigned(text []byte) (message []byte, signatures [][]byte, ok bool) {
	at := bytes.Index(text, []byte(armour))
	if at < 0 {
		return nil, nil, false
	}
	message = text[:at]
	for rest := text[at:]; len(rest) > 0; {
		next := bytes.Index(rest[1:], []byte(armour)) + 1
		if next == 0 {
			next = len(rest)
		}
		signatures = append(signatures, rest[:next])
		rest = rest[next:]
	}
	return message, signatures, true
}

// check checks the signatures: all must be plain keys' own.
func (w *Word) check(message []byte, signatures [][]byte) error {
	var by []Key
	for _, s := range signatures {
		signer, err := verify(message, s, KeyNamespace)
		if err != nil {
			return err
		}
		if signer.Bench != "" {
			return errors.New("a bench cannot speak for the keys of its shop")
		}
		by = append(by, signer.Key)
	}
	switch {
	case w.Change() && (len(by) != 2 || by[0] != w.Key || by[1] != w.To):
		return errors.New("a change of key wants the signature of the old key, then that of the new one")
	case !w.Change() && len(by) != 1:
		return errors.New("a revocation wants one signature")
	}
	w.By = by[0]
	return nil
}

// parseWord reads the text. It must be what we would write, so that nothing can
// be said in two ways.
func parseWord(message []byte) (*Word, error) {
	w := &Word{}
	rest, ok := strings.CutPrefix(string(message), wordHead)
	if !ok {
		return nil, errors.New("it does not begin with \"netlore key 1\"")
	}
	for line := range strings.Lines(rest) {
		word, value, _ := strings.Cut(strings.TrimSuffix(line, "\n"), " ")
		if err := w.line(word, value); err != nil {
			return nil, err
		}
	}
	if !w.Key.Known() || !plainName(w.Shop, maxShopName) || !bytes.Equal(w.message(), message) {
		return nil, errors.New("what is said of a key is not in the form in which it is signed")
	}
	return w, nil
}

func (w *Word) line(word, value string) (err error) {
	switch word {
	case "change", "revoke":
		w.Key, _, err = ParseKey([]byte(value))
	case "to":
		w.To, _, err = ParseKey([]byte(value))
	case "shop":
		w.Shop = board.PlainName(value)
	case "because":
		w.Because = board.PlainName(value)
	case "time":
		w.Time, err = time.Parse(time.RFC3339, value)
	default:
		err = fmt.Errorf("%q is not said of keys", word)
	}
	return err
}
