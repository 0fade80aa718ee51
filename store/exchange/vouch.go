package exchange

import (
	"crypto/rand"
	"errors"
	"fmt"
	"strings"

	"golang.org/x/crypto/ssh"

	"netlore/query/diag"
)

// forced is the standard restriction of a certificate that lets its holder run
// nothing: a bench that may sign for a shop must not be let in anywhere by it.
const (
	forced       = "force-command"
	forcedToDo   = "false"
	maxShopName  = 120
	maxBenchName = 60
)

// vouch makes the certificate by which a shop vouches for the key of a bench.
// It has no end: what ends it is a revocation.
func vouch(shop ssh.Signer, shopName, bench string, key Key) (*ssh.Certificate, error) {
	if err := checkNames(shopName, bench); err != nil {
		return nil, err
	}
	cert := &ssh.Certificate{
		Key: key.public(), CertType: ssh.UserCert, KeyId: shopName, ValidPrincipals: []string{bench},
		ValidBefore: ssh.CertTimeInfinity,
		Permissions: ssh.Permissions{CriticalOptions: map[string]string{forced: forcedToDo}},
	}
	return cert, cert.SignCert(rand.Reader, shop)
}

// vouched checks a certificate and tells who it is for. One that has an end is none of
// ours: what was signed with it is kept for good, and must be what it is for good.
func vouched(cert *ssh.Certificate) (Signer, error) {
	if cert.CertType != ssh.UserCert || len(cert.ValidPrincipals) != 1 {
		return Signer{}, errors.New("the certificate is none by which a shop vouches for one bench")
	}
	if cert.ValidAfter != 0 || cert.ValidBefore != ssh.CertTimeInfinity {
		return Signer{}, errors.New("the certificate of the bench holds for a time only, and one by which a shop vouches for a bench holds until its key is revoked")
	}
	bench := cert.ValidPrincipals[0]
	if err := checkNames(cert.KeyId, bench); err != nil {
		return Signer{}, err
	}
	shop, err := KeyOf(cert.SignatureKey)
	if err != nil {
		return Signer{}, err
	}
	key, err := KeyOf(cert.Key)
	if err != nil {
		return Signer{}, err
	}
	checker := ssh.CertChecker{SupportedCriticalOptions: []string{forced}}
	if err := checker.CheckCert(bench, cert); err != nil {
		return Signer{}, errors.New("the certificate of the bench does not hold: it is for something else, or the shop has not signed it")
	}
	return Signer{Shop: shop, Key: key, Name: cert.KeyId, Bench: bench}, nil
}

// checkNames refuses names that could not be printed on a line, or that a list
// of signers could not hold.
func checkNames(shop, bench string) error {
	switch {
	case !plainName(shop, maxShopName):
		return fmt.Errorf("%q cannot be the name of a shop: 1 to %d letters that can be printed, on one line", shop, maxShopName)
	case !plainName(bench, maxBenchName) || !allIn(bench, benchLetters):
		return fmt.Errorf("%q cannot be the name of a bench: 1 to %d letters without accents, digits, dots, dashes or underscores", bench, maxBenchName)
	}
	return nil
}

const benchLetters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_."

func plainName(s string, most int) bool {
	return s != "" && len(s) <= most && strings.TrimSpace(s) == s && diag.Printable(s) == s
}

// parseCertificate reads the certificate of a bench, one line of OpenSSH.
func parseCertificate(line []byte) (*ssh.Certificate, Signer, error) {
	public, _, _, rest, err := ssh.ParseAuthorizedKey(line)
	cert, ok := public.(*ssh.Certificate)
	if err != nil || !ok || len(strings.TrimSpace(string(rest))) > 0 {
		return nil, Signer{}, errors.New("it is no certificate of OpenSSH, which is one line that begins with " + ssh.CertAlgoED25519v01)
	}
	signer, err := vouched(cert)
	return cert, signer, err
}

func allIn(s, letters string) bool { return strings.Trim(s, letters) == "" }
