package link

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"math/big"
	"net"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nats.go"
	"golang.org/x/crypto/bcrypt"
)

// authorityOf makes an authority, and certificates that it has signed: of a server on this
// machine, or of other names, and of a bench. They are the files authority.pem,
// server.pem and server.key, bench.pem and bench.key in the current folder.
func authorityOf(t testing.TB, names ...string) {
	t.Helper()
	root := &x509.Certificate{SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "authority of the shops"}, IsCA: true, BasicConstraintsValid: true,
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour), KeyUsage: x509.KeyUsageCertSign}
	rootKey := ecdsaKey(t)
	certificate(t, "authority", root, root, rootKey, rootKey)
	for i, leaf := range []*x509.Certificate{
		{Subject: pkix.Name{CommonName: "log"}, DNSNames: names, IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}},
		{Subject: pkix.Name{CommonName: "bench"}, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageClientAuth}},
	} {
		leaf.SerialNumber, leaf.NotBefore, leaf.NotAfter, leaf.KeyUsage = big.NewInt(int64(2+i)), root.NotBefore, root.NotAfter, x509.KeyUsageDigitalSignature
		certificate(t, []string{"server", "bench"}[i], leaf, root, ecdsaKey(t), rootKey)
	}
}

// certificate makes a certificate, and the private key to it, as the files NAME.pem and
// NAME.key.
func certificate(t testing.TB, name string, of, by *x509.Certificate, key, byKey *ecdsa.PrivateKey) {
	t.Helper()
	der, err := x509.CreateCertificate(rand.Reader, of, by, &key.PublicKey, byKey)
	if err != nil {
		t.Fatal(err)
	}
	private, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		t.Fatal(err)
	}
	for file, block := range map[string]*pem.Block{name + ".pem": {Type: "CERTIFICATE", Bytes: der}, name + ".key": {Type: "PRIVATE KEY", Bytes: private}} {
		if err := os.WriteFile(file, pem.EncodeToMemory(block), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

func ecdsaKey(t testing.TB) *ecdsa.PrivateKey {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	return key
}

// example is the configuration of a server that DEVELOPERS.md shows.
func example(t testing.TB) string {
	t.Helper()
	text, err := os.ReadFile("../../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, found := strings.Cut(string(text), "```conf\n")
	config, _, ended := strings.Cut(rest, "```")
	if !found || !ended {
		t.Fatal("DEVELOPERS.md shows no configuration")
	}
	return config
}

// quick puts hashes that are quick to check in the place of those of the example, one for
// each password: under the race detector a good one takes seconds.
func quick(t testing.TB, config string, passwords ...string) string {
	t.Helper()
	replaced := 0
	config = regexp.MustCompile(`\$2a\$10\$[A-Za-z0-9./]{53}`).ReplaceAllStringFunc(config, func(string) string {
		hash, err := bcrypt.GenerateFromPassword([]byte(passwords[replaced]), bcrypt.MinCost)
		if err != nil {
			t.Fatal(err)
		}
		replaced++
		return string(hash)
	})
	if replaced != len(passwords) {
		t.Fatalf("the example has %d users, want %d", replaced, len(passwords))
	}
	return config
}

// TestExample runs a server as DEVELOPERS.md says, with TLS, names and passwords, and
// permissions that let a bench do what it must, and no more.
func TestExample(t *testing.T) {
	config := quick(t, example(t), "kestrel", "dunnock")
	heron, wren := newBench(t, "Heron"), newBench(t, "Wren")
	trusts(heron, wren)
	t.Chdir(t.TempDir())
	authorityOf(t)
	if err := os.WriteFile("netlore.conf", []byte(config), 0o600); err != nil {
		t.Fatal(err)
	}
	opt, err := server.ProcessConfigFile("netlore.conf")
	if err != nil {
		t.Fatal(err)
	}
	opt.Port = server.RANDOM_PORT
	opt.AuthTimeout, opt.TLSTimeout = time.Minute.Seconds(), time.Minute.Seconds() // the machine may be busy
	srv := serve(t, *opt)
	address := strings.Replace(srv.ClientURL(), "nats://", "tls://", 1)
	for _, c := range []struct {
		why  string
		with Credentials
		code string
	}{
		{"no authority", Credentials{User: "heron", Password: []byte("kestrel")}, "X403"},
		{"no password", Credentials{Authority: "authority.pem"}, "X402"},
		{"wrong password", Credentials{Authority: "authority.pem", User: "heron", Password: []byte("sparrow")}, "X402"},
	} {
		if err := heron.onceWith(address, c.with); CodeOf(err) != c.code {
			t.Errorf("%s: %v, want %s", c.why, err, c.code)
		}
	}
	heron.says("part C1 10uF")
	wren.says("part C2 10uF")
	asHeron, asWren := Credentials{Authority: "authority.pem", User: "heron", Password: []byte("kestrel")}, Credentials{Authority: "authority.pem", User: "wren", Password: []byte("dunnock")}
	for _, err := range []error{heron.onceWith(address, asHeron), wren.onceWith(address, asWren), heron.onceWith(address, asHeron)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	agree(t, 2, heron, wren)
	holds, err := Look(t.Context(), &Server{urls: []string{address}, With: asWren}, DefaultLog)
	if err != nil || holds.Messages != 2 {
		t.Errorf("%+v, %v", holds, err)
	}
	// Another log is none of what the permissions name.
	heron.opt.Log = "others"
	if err := heron.onceWith(address, asHeron); CodeOf(err) != "X406" {
		t.Errorf("%v, want X406", err)
	}
}

// TestRefusals connects where no connection should be made.
func TestRefusals(t *testing.T) {
	heron := newBench(t, "Heron")
	t.Chdir(t.TempDir())
	authorityOf(t, "log.example.org")
	bare := serve(t, server.Options{JetStream: true, StoreDir: t.TempDir()})
	mute, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer mute.Close()
	other, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	go func() { // until it is closed
		for conn, err := other.Accept(); err == nil; conn, err = other.Accept() {
			conn.Write([]byte("220 mail.example.org ready\r\n"))
		}
	}()
	heron.opt.Patience = 2 * time.Second
	for address, want := range map[string]string{
		strings.Replace(bare.ClientURL(), "nats://", "tls://", 1): "X409: the server does not encrypt, and tls:// wants that it does",
		"nats://" + mute.Addr().String():                          "X401: what answers there does not answer as a NATS server does",
		"nats://" + other.Addr().String():                         "X401: what answers there does not answer as a NATS server does",
	} {
		if err := heron.onceWith(address, Credentials{}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %s", address, err, want)
		}
	}
	heron.opt.Patience = time.Minute
	for want, err := range map[string]error{
		"X401: no machine of the name log.example.org is known here":                           &net.OpError{Op: "dial", Err: &net.DNSError{Name: "log.example.org", IsNotFound: true}},
		"X409: the server does not encrypt, and it is not on this machine, so nothing is sent": nats.ErrSecureConnWanted,
	} {
		if told := (&Server{}).refused(err); !strings.Contains(told.Error(), want) {
			t.Errorf("%v, want %s", told, want)
		}
	}
	if err := os.Chmod("server.key", 0o644); err != nil {
		t.Fatal(err)
	}
	if err := heron.onceWith(bare.ClientURL(), Credentials{Cert: "server.pem", Key: "server.key"}); CodeOf(err) != "X101" {
		t.Errorf("a key that others can read: %v, want X101", err)
	}
	if err := heron.onceWith(bare.ClientURL(), Credentials{Cert: "authority.pem", Key: "authority.pem"}); CodeOf(err) != "X412" {
		t.Errorf("no key: %v, want X412", err)
	}
	narrow := serve(t, server.Options{JetStream: true, StoreDir: t.TempDir(), MaxPayload: 1000})
	heron.says("part C1 10uF")
	if err := heron.onceWith(narrow.ClientURL(), Credentials{}); CodeOf(err) != "X405" {
		t.Errorf("a server that takes small messages only: %v, want X405", err)
	}
	for text, code := range map[string]string{"tls://log.example.org": "", "nats://127.0.0.1:4222,nats://127.0.0.1:4223": "", "nats://[::1]": "",
		"": "X411", "log.example.org": "X411", "http://log.example.org": "X411", "tls://heron@log.example.org": "X411", "tls:heron:kestrel@log.example.org": "X411", "tls://log.example.org/x": "X411", "tls://:4222": "X411"} {
		if _, err := ParseServer(text, Credentials{}); CodeOf(err) != code || err != nil && strings.Contains(err.Error(), "heron") {
			t.Errorf("%q: %v, want %q", text, err, code)
		}
	}
	if s, err := ParseServer("nats://127.0.0.1,nats://log.example.org", Credentials{}); err != nil || s.plain {
		t.Errorf("%+v, %v: it would not encrypt", s, err)
	}
}

// TestCodes has every code explained, and the explanation of none that there is not.
func TestCodes(t *testing.T) {
	for _, code := range []string{codeServer, codeCredentials, codeCertificate, codeFull, codeLarge, codeDenied, codeRubbish, codeNoLogs, codeOpen, codeGone, codeAddress, codeFile} {
		if text, ok := Explain(code); !ok || !strings.HasSuffix(strings.TrimSpace(text), ".") {
			t.Errorf("%s: %q", code, text)
		}
	}
	if _, ok := Explain("X499"); ok {
		t.Error("X499 is explained")
	}
}
