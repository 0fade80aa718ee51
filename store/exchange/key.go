package exchange

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/base32"
	"errors"
	"fmt"
	"strings"

	"golang.org/x/crypto/ssh"
)

// Key is an Ed25519 public key.
type Key [ed25519.PublicKeySize]byte

// The letters of a fingerprint: digits and letters without i, l, o and u, so
// that none is taken for another when it is read out or copied by hand.
var letters = base32.NewEncoding("0123456789abcdefghjkmnpqrstvwxyz").WithPadding(base32.NoPadding)

const (
	fingerprintLetters = 20 // five bits each
	fingerprintGroup   = 4
)

// String is the fingerprint: the first 100 bits of the hash that OpenSSH shows of
// the key, in five groups of four letters.
func (k Key) String() string {
	sum := sha256.Sum256(k.wire())
	all := letters.EncodeToString(sum[:])[:fingerprintLetters]
	var groups []string
	for i := 0; i < len(all); i += fingerprintGroup {
		groups = append(groups, all[i:i+fingerprintGroup])
	}
	return strings.Join(groups, "-")
}

// OpenSSH is the fingerprint as ssh-keygen -l shows it: "SHA256:…".
func (k Key) OpenSSH() string { return ssh.FingerprintSHA256(k.public()) }

// AuthorizedKey is the key as one line of OpenSSH: "ssh-ed25519 AAAA…".
func (k Key) AuthorizedKey() string {
	return strings.TrimSuffix(string(ssh.MarshalAuthorizedKey(k.public())), "\n")
}

// Known reports whether it is a key at all.
func (k Key) Known() bool { return k != Key{} }

func (k Key) wire() []byte {
	return ssh.Marshal(struct{ Type, Key string }{ssh.KeyAlgoED25519, string(k[:])})
}

func (k Key) public() ssh.PublicKey {
	public, err := ssh.ParsePublicKey(k.wire())
	if err != nil {
		panic(err) // 32 bytes are a key
	}
	return public
}

// KeyOf is the Ed25519 key in a public key of OpenSSH.
func KeyOf(public ssh.PublicKey) (Key, error) {
	known, ok := public.(ssh.CryptoPublicKey)
	if !ok {
		return Key{}, fmt.Errorf("a key of type %s cannot be used", public.Type())
	}
	raw, ok := known.CryptoPublicKey().(ed25519.PublicKey)
	if !ok || len(raw) != len(Key{}) {
		return Key{}, fmt.Errorf("the key is of type %s, and only ssh-ed25519 can be used", public.Type())
	}
	return Key(raw), nil
}

// ParseKey reads a key as one line of OpenSSH has it, and the comment on it.
func ParseKey(line []byte) (Key, string, error) {
	public, comment, _, rest, err := ssh.ParseAuthorizedKey(line)
	if err != nil || len(strings.TrimSpace(string(rest))) > 0 {
		return Key{}, "", errors.New("it is no public key of OpenSSH, which is one line that begins with ssh-ed25519")
	}
	key, err := KeyOf(public)
	return key, comment, err
}

// Typed reports whether somebody who typed a fingerprint means the key: the short
// one, its dashes and the case of its letters as they come, or that of OpenSSH.
func (k Key) Typed(s string) bool {
	s = strings.TrimSpace(s)
	if s == k.OpenSSH() {
		return true
	}
	plain := func(s string) string { return strings.ToLower(strings.ReplaceAll(s, "-", "")) }
	return plain(s) == plain(k.String())
}
