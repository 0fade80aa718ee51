package bench

import (
	"crypto/x509"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"netlore/query/diag"
)

func keepIn(dir string, c *clock) Keep {
	return Keep{Folder: filepath.Join(dir, "page"), Now: c.now, Write: func(path string, content []byte) error { return os.WriteFile(path, content, 0o600) }}
}

func own(t *testing.T, k Keep, names ...string) *Certificate {
	t.Helper()
	c, err := OwnCertificate(k, names)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// A certificate is kept as long as it can be, for a browser that was told to trust it
// has to be told again of each new one.
func TestCertificateKept(t *testing.T) {
	clock := &clock{time.Now()}
	keep := keepIn(t.TempDir(), clock)
	first := own(t, keep, "192.168.1.20", "bench.example")
	for _, name := range []string{"192.168.1.20", "bench.example"} {
		if err := first.now.Leaf.VerifyHostname(name); err != nil {
			t.Error(err)
		}
	}
	if leaf := first.now.Leaf; leaf.PublicKeyAlgorithm != x509.ECDSA || leaf.IsCA || leaf.NotAfter.Sub(leaf.NotBefore) > 398*24*time.Hour {
		t.Errorf("%+v", leaf)
	}
	if again := own(t, keep, "192.168.1.20"); again.Fingerprint() != first.Fingerprint() {
		t.Error("it was not kept")
	}
	moved := own(t, keep, "192.168.1.21")
	if moved.Fingerprint() == first.Fingerprint() {
		t.Error("it was kept though the address is another")
	}
	clock.at = moved.Ends().Add(-renewBefore)
	renewed := own(t, keep, "192.168.1.21")
	if renewed.Fingerprint() == moved.Fingerprint() {
		t.Error("it was not renewed before it runs out")
	}
	if err := os.WriteFile(renewed.file(), []byte("broken"), 0o600); err != nil {
		t.Fatal(err)
	}
	if mended := own(t, keep, "192.168.1.21"); mended.Fingerprint() == renewed.Fingerprint() {
		t.Error("a broken file was taken")
	}
}

// While the page is served for a year, the certificate is renewed, and that is told.
func TestCertificateRenewedWhileServed(t *testing.T) {
	clock := &clock{time.Now()}
	c := own(t, keepIn(t.TempDir(), clock), "192.168.1.20")
	told := make(chan [2]string, 1)
	c.Renewed = func(c *Certificate) { told <- c.Fingerprint() }
	was := c.Fingerprint()
	if pair, err := c.shown(nil); err != nil || pair != c.now || len(told) > 0 {
		t.Error("it was renewed at once")
	}
	clock.at = c.Ends().Add(-renewBefore + time.Minute)
	if pair, err := c.shown(nil); err != nil || !pair.Leaf.NotAfter.After(clock.at.Add(renewBefore)) {
		t.Errorf("it was not renewed: %v", err)
	}
	if is := <-told; is == was || is != c.Fingerprint() {
		t.Error("another fingerprint was told")
	}
}

// A certificate that cannot be renewed is shown on; that is told once, and tried again after an
// hour, not for each browser that comes.
func TestCertificateNotRenewed(t *testing.T) {
	clock, tried := &clock{time.Now()}, 0
	keep := keepIn(t.TempDir(), clock)
	c := own(t, keep, "192.168.1.20")
	was, told := c.now, make(chan error, 9)
	c.Failed = func(_ *Certificate, err error) { told <- err }
	full, write := errors.New("no space left"), c.keep.Write
	c.keep.Write = func(string, []byte) error { tried++; return full }
	clock.at = c.Ends().Add(-renewBefore + time.Minute)
	for range 5 {
		if pair, err := c.shown(nil); err != nil || pair != was {
			t.Errorf("another is shown, or %v", err)
		}
	}
	if err := <-told; tried != 1 || !errors.Is(err, full) {
		t.Errorf("it was tried %d times: %v", tried, err)
	}
	clock.at = clock.at.Add(renewAgain)
	c.shown(nil)
	if tried != 2 || len(told) != 0 {
		t.Errorf("after an hour it was tried %d times, and told again %d times", tried, len(told))
	}
	c.keep.Write, clock.at = write, clock.at.Add(renewAgain)
	if pair, err := c.shown(nil); err != nil || pair == was {
		t.Errorf("it was not renewed when that could be: %v", err)
	}
}

// A key that others can read is worth nothing.
func TestCertificateKeyOfAll(t *testing.T) {
	clock := &clock{time.Now()}
	keep := keepIn(t.TempDir(), clock)
	c := own(t, keep, "192.168.1.20")
	for _, path := range []string{keep.Folder, c.file()} {
		if info, err := os.Stat(path); err != nil || info.Mode().Perm()&0o077 != 0 {
			t.Errorf("%s: %v %v", path, info.Mode(), err)
		}
	}
	if err := os.Chmod(c.file(), 0o640); err != nil {
		t.Fatal(err)
	}
	if _, err := OwnCertificate(keep, c.names); !hasCode(err, "X101") {
		t.Errorf("%v", err)
	}
}

func hasCode(err error, code string) bool {
	var d diag.Diagnostic
	return errors.As(err, &d) && d.Code == code
}

// A certificate that openssl has made is taken if it fits, and refused with the reason
// if it does not.
func TestShopCertificate(t *testing.T) {
	openssl, err := exec.LookPath("openssl")
	if err != nil {
		t.Skip("no openssl on this machine")
	}
	dir := t.TempDir()
	made := func(name string, san string) (cert, key string) {
		cert, key = filepath.Join(dir, name+".crt"), filepath.Join(dir, name+".key")
		out, err := exec.Command(openssl, "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-keyout", key, "-out", cert,
			"-days", "90", "-subj", "/CN=shop", "-addext", "subjectAltName="+san).CombinedOutput()
		if err == nil {
			err = os.Chmod(key, 0o600)
		}
		if err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		return cert, key
	}
	cert, key := made("a", "IP:192.168.1.20,DNS:bench.example")
	_, otherKey := made("b", "IP:192.168.1.20")
	_, readable := made("c", "IP:192.168.1.20")
	if err := os.Chmod(readable, 0o644); err != nil {
		t.Fatal(err)
	}
	now := time.Now
	c, err := ShopCertificate(cert, key, []string{"192.168.1.20", "bench.example"}, now)
	if err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(openssl, "x509", "-in", cert, "-noout", "-fingerprint", "-sha256").Output()
	if print := c.Fingerprint(); err != nil || !strings.Contains(string(out), print[0]+":"+print[1]) {
		t.Errorf("openssl says %s, not %q", out, print)
	}
	for code, try := range map[string]func() error{
		"B102": func() error { _, err := ShopCertificate(cert, otherKey, nil, now); return err },
		"B103": func() error { _, err := ShopCertificate(cert, key, []string{"192.168.1.21"}, now); return err },
		"X101": func() error { _, err := ShopCertificate(cert, readable, nil, now); return err },
	} {
		if err := try(); !hasCode(err, code) {
			t.Errorf("%s: %v", code, err)
		}
	}
	for _, late := range []time.Duration{-time.Hour, 91 * 24 * time.Hour} {
		if _, err := ShopCertificate(cert, key, nil, func() time.Time { return now().Add(late) }); !hasCode(err, "B103") {
			t.Errorf("%v: %v", late, err)
		}
	}
}
