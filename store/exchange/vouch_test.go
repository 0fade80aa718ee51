package exchange

import (
	"crypto/rand"
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/crypto/ssh"
)

// TestCertificateForAWhile: a batch is kept for good, so it is not taken if who has signed
// it could not be told any more some day.
func TestCertificateForAWhile(t *testing.T) {
	dir, i := heronRepair(t)
	text, err := os.ReadFile(filepath.Join(dir, fileShop+i.Shop.String()))
	if err != nil {
		t.Fatal(err)
	}
	shop, err := ssh.ParsePrivateKey(text)
	if err != nil {
		t.Fatal(err)
	}
	bench, err := openKey(dir, fileBench, nil)
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		after, before uint64
		code          string
	}{
		"as ours are": {0, ssh.CertTimeInfinity, ""},
		"has an end":  {0, 1 << 40, "X204"},
		"has a start": {1, ssh.CertTimeInfinity, "X204"},
	} {
		cert, err := vouch(shop, i.Name, i.Bench, i.Key)
		if err != nil {
			t.Fatal(err)
		}
		cert.ValidAfter, cert.ValidBefore = c.after, c.before
		if err := cert.SignCert(rand.Reader, shop); err != nil {
			t.Fatal(err)
		}
		if i.signer, err = ssh.NewCertSigner(cert, bench); err != nil {
			t.Fatal(err)
		}
		b := wrenBatches(t, i)[0]
		if _, err := ReadBatch(b.Signed, b.Signature, b.sheet(), morning); c.code != "" || err != nil {
			t.Run(name, func(t *testing.T) { wantCode(t, err, c.code) })
		}
	}
}
