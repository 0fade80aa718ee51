package bench

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"netlore/query/diag"
	"netlore/store/exchange"
)

// How long a certificate of our own is good for, how long before its end another one
// takes its place, and after what time that is tried again if it fails. Browsers take
// none of more than 398 days from an authority, and some look at all in that way
// (CA/Browser Forum, baseline requirements 6.3.2).
const (
	certificateLasts = 397 * 24 * time.Hour
	renewBefore      = 30 * 24 * time.Hour
	renewAgain       = time.Hour
)

// Certificate is what the page shows to a browser in the network, by which it can be
// told from somebody who only says that he is this page.
type Certificate struct {
	names []string // by which the page is called: addresses and host names
	keep  Keep     // of one of our own
	shops bool     // it is made elsewhere, and never renewed here

	// Renewed is told when another certificate has taken the place of one, and Failed, the first
	// time, when it should and could not. Neither keeps anybody waiting.
	Renewed func(*Certificate)
	Failed  func(*Certificate, error)

	mu    sync.Mutex
	now   *tls.Certificate
	again time.Time // when it is tried to renew it again; zero if that has not failed
}

// OwnCertificate is the one that is kept for these names, or a new one. Complaints
// are a diag.Diagnostic.
func OwnCertificate(keep Keep, names []string) (*Certificate, error) {
	c := &Certificate{names: names, keep: keep, Renewed: func(*Certificate) {}, Failed: func(*Certificate, error) {}}
	text, err := exchange.ReadPrivate(c.file())
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return c, c.renew()
	case err != nil:
		return nil, err
	}
	kept, err := tls.X509KeyPair(text, text)
	if err != nil || c.problem(kept.Leaf, renewBefore) != "" {
		return c, c.renew()
	}
	c.now = &kept
	return c, nil
}

// ShopCertificate is one that the shop has made, with its key; both in the PEM form.
// Complaints are a diag.Diagnostic.
func ShopCertificate(file, keyFile string, names []string, now func() time.Time) (*Certificate, error) {
	key, err := exchange.ReadPrivate(keyFile)
	if err != nil {
		return nil, err
	}
	chain, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	pair, err := tls.X509KeyPair(chain, key)
	if err != nil {
		return nil, complaint("B102", file, "it cannot be used with the key "+keyFile+": "+strings.TrimPrefix(err.Error(), "tls: "))
	}
	c := &Certificate{names: names, keep: Keep{Now: now}, shops: true, now: &pair}
	if why := c.problem(pair.Leaf, 0); why != "" {
		return nil, complaint("B103", file, why)
	}
	return c, nil
}

func complaint(code, file, message string, help ...string) error {
	return diag.Diagnostic{Code: code, File: file, Message: message, Help: help}
}

func (c *Certificate) file() string { return filepath.Join(c.keep.Folder, "certificate.pem") }

// problem is why a certificate cannot be shown from now on for some time; empty if it
// can.
func (c *Certificate) problem(leaf *x509.Certificate, some time.Duration) string {
	now := c.keep.Now()
	switch {
	case now.Before(leaf.NotBefore):
		return "this certificate is good from " + leaf.NotBefore.Format(time.DateOnly) + " on only"
	case !now.Add(some).Before(leaf.NotAfter):
		return "this certificate was good until " + leaf.NotAfter.Format(time.DateOnly)
	}
	for _, name := range c.names {
		if leaf.VerifyHostname(name) != nil {
			return "this certificate is not for " + name
		}
	}
	return ""
}

// renew makes a certificate with a new key, and keeps it.
func (c *Certificate) renew() error {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return err
	}
	template, err := c.template()
	if err != nil {
		return err
	}
	made, err := x509.CreateCertificate(rand.Reader, template, template, &key.PublicKey, key)
	if err != nil {
		return err
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		return err
	}
	// Both are in one file, so that there is never one without the other.
	text := append(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: made}), pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret})...)
	if err := c.keep.make(c.keep.Folder); err != nil {
		return err
	}
	if err := c.keep.Write(c.file(), text); err != nil {
		return err
	}
	pair, err := tls.X509KeyPair(text, text)
	if err == nil {
		c.now = &pair
	}
	return err
}

func (c *Certificate) template() (*x509.Certificate, error) {
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 126))
	if err != nil {
		return nil, err
	}
	now := c.keep.Now()
	t := &x509.Certificate{
		SerialNumber: serial.Add(serial, big.NewInt(1)),
		Subject:      pkix.Name{CommonName: "netlore bench page"},
		NotBefore:    now.Add(-time.Hour), // the clock of a tablet may be slow
		NotAfter:     now.Add(certificateLasts),
		KeyUsage:     x509.KeyUsageDigitalSignature,
		ExtKeyUsage:  []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},

		BasicConstraintsValid: true,
	}
	for _, name := range c.names {
		if ip := net.ParseIP(name); ip != nil {
			t.IPAddresses = append(t.IPAddresses, ip)
		} else {
			t.DNSNames = append(t.DNSNames, name)
		}
	}
	return t, nil
}

// shown is the certificate for one who calls. One of our own is renewed before its
// end while the page is served.
func (c *Certificate) shown(*tls.ClientHelloInfo) (*tls.Certificate, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	now := c.keep.Now()
	if c.shops || c.problem(c.now.Leaf, renewBefore) == "" || now.Before(c.again) {
		return c.now, nil
	}
	if err := c.renew(); err != nil {
		if c.again.IsZero() {
			go c.Failed(c, err)
		}
		c.again = now.Add(renewAgain)
		return c.now, nil // which is good for a while yet
	}
	c.again = time.Time{}
	go c.Renewed(c)
	return c.now, nil
}

// Fingerprint is the SHA-256 of the certificate as browsers show it, in two lines.
func (c *Certificate) Fingerprint() [2]string {
	c.mu.Lock()
	defer c.mu.Unlock()
	sum := sha256.Sum256(c.now.Leaf.Raw)
	half := func(b []byte) string { return strings.ReplaceAll(fmt.Sprintf("% X", b), " ", ":") }
	return [2]string{half(sum[:16]), half(sum[16:])}
}

// Ends is when it is good no more.
func (c *Certificate) Ends() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now.Leaf.NotAfter
}

// config is how TLS is spoken: version 1.3 alone, which every browser has had since
// 2019, so there is nothing to choose wrongly.
func (c *Certificate) config() *tls.Config {
	return &tls.Config{MinVersion: tls.VersionTLS13, GetCertificate: c.shown, NextProtos: []string{"h2", "http/1.1"}}
}
