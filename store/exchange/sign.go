package exchange

import (
	"bytes"
	"encoding/pem"
	"errors"
	"fmt"

	"github.com/hiddeco/sshsig"
	"golang.org/x/crypto/ssh"
)

// Signer is who has signed something.
type Signer struct {
	Shop  Key    // the shop's key
	Key   Key    // the key that has signed: a bench's, or the shop's own
	Name  string // what the shop calls itself; empty if it signed itself
	Bench string // what it calls the bench; empty if it signed itself
}

// String is "bench-1 of Heron Repair", as far as it is known.
func (s Signer) String() string {
	if s.Bench == "" {
		return s.Shop.String()
	}
	return s.Bench + " of " + s.Name
}

// maxSignature is far more than a signature with its certificate takes.
const maxSignature = 16 << 10

// sign signs a message, in the armoured form of OpenSSH. Ed25519 signatures are
// deterministic: the same message has the same one.
func sign(message []byte, with ssh.Signer, namespace string) ([]byte, error) {
	signed, err := sshsig.Sign(bytes.NewReader(message), with, sshsig.HashSHA512, namespace)
	if err != nil {
		return nil, err
	}
	return sshsig.Armor(signed), nil
}

// verify tells who has signed a message.
func verify(message, armoured []byte, namespace string) (Signer, error) {
	signature, err := parseSignature(armoured)
	if err != nil {
		return Signer{}, err
	}
	signer, err := signerOf(signature.PublicKey)
	if err != nil {
		return Signer{}, err
	}
	if signature.Namespace != namespace {
		return Signer{}, fmt.Errorf("the signature was made for %q, not for %q", signature.Namespace, namespace)
	}
	err = sshsig.Verify(bytes.NewReader(message), signature, signature.PublicKey, signature.HashAlgorithm, namespace)
	if err != nil {
		return Signer{}, errors.New("the signature does not fit: what was signed was changed, or somebody else has signed it")
	}
	return signer, nil
}

// parseSignature reads an armoured signature, and nothing round it.
func parseSignature(armoured []byte) (*sshsig.Signature, error) {
	if len(armoured) > maxSignature {
		return nil, fmt.Errorf("the signature has more than %d bytes", maxSignature)
	}
	block, rest := pem.Decode(armoured)
	if block == nil || block.Type != sshsig.PEMType || len(bytes.TrimSpace(rest)) > 0 || !bytes.HasPrefix(armoured, []byte("-----BEGIN")) {
		return nil, errors.New("it is no signature of OpenSSH, or more than one")
	}
	signature, err := sshsig.ParseSignature(block.Bytes)
	if err != nil {
		return nil, errors.New("the signature is damaged")
	}
	return signature, nil
}

// signerOf tells whose key it is: a certificate says which shop vouches for it.
func signerOf(public ssh.PublicKey) (Signer, error) {
	cert, ok := public.(*ssh.Certificate)
	if !ok {
		key, err := KeyOf(public)
		return Signer{Shop: key, Key: key}, err
	}
	return vouched(cert)
}
