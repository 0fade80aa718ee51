package exchange

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// keygen runs the real ssh-keygen.
func keygen(t *testing.T, in []byte, args ...string) (string, error) {
	t.Helper()
	command := exec.Command("ssh-keygen", args...)
	command.Stdin = bytes.NewReader(in)
	out, err := command.CombinedOutput()
	return string(out), err
}

// haveKeygen leaves a test out where OpenSSH is not installed.
func haveKeygen(t *testing.T) {
	t.Helper()
	if _, err := exec.LookPath("ssh-keygen"); err != nil {
		t.Skip("ssh-keygen is not installed")
	}
}

func file(t *testing.T, name string, text []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, text, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestSSHKeygenVerifies lets ssh-keygen check what a bench has signed.
func TestSSHKeygenVerifies(t *testing.T) {
	haveKeygen(t)
	dir, i := heronRepair(t)
	message := []byte("what was signed\n")
	signature, err := sign(message, i.signer, BatchNamespace)
	if err != nil {
		t.Fatal(err)
	}
	signers := file(t, "signers", []byte(i.SignersLines()))
	sig := file(t, "0001.sig", signature)
	out, err := keygen(t, message, "-Y", "verify", "-f", signers, "-I", "bench-1", "-n", BatchNamespace, "-s", sig)
	if err != nil || !strings.Contains(out, `Good "netlore-batch" signature for bench-1`) {
		t.Errorf("%v: %s", err, out)
	}
	for name, args := range map[string][]string{
		"another bench":     {"-I", "bench-2", "-n", BatchNamespace},
		"another namespace": {"-I", "bench-1", "-n", KeyNamespace},
	} {
		if out, err := keygen(t, message, append([]string{"-Y", "verify", "-f", signers, "-s", sig}, args...)...); err == nil {
			t.Errorf("%s: %s", name, out)
		}
	}
	if out, err := keygen(t, append(message, '!'), "-Y", "verify", "-f", signers, "-I", "bench-1", "-n", BatchNamespace, "-s", sig); err == nil {
		t.Errorf("another message: %s", out)
	}
	_, stranger := heronRepair(t)
	other := file(t, "others", []byte(stranger.SignersLines()))
	if out, err := keygen(t, message, "-Y", "verify", "-f", other, "-I", "bench-1", "-n", BatchNamespace, "-s", sig); err == nil {
		t.Errorf("a shop of the same name: %s", out)
	}
	w, err := Revoke(dir, i.Key, "", morning, nil)
	if err != nil {
		t.Fatal(err)
	}
	text, signatures, _ := splitSigned(w.Text())
	out, err = keygen(t, text, "-Y", "verify", "-f", signers, "-I", "shop", "-n", KeyNamespace, "-s", file(t, "w.sig", signatures[0]))
	if err != nil {
		t.Errorf("%v: %s", err, out)
	}
}

// TestSSHKeygenSigns takes keys that ssh-keygen has made, and what it has signed
// with ours.
func TestSSHKeygenSigns(t *testing.T) {
	haveKeygen(t)
	made := filepath.Join(t.TempDir(), "id")
	if out, err := keygen(t, nil, "-q", "-t", "ed25519", "-N", "", "-C", "a key that was there", "-f", made); err != nil {
		t.Fatal(out)
	}
	dir := filepath.Join(t.TempDir(), "identity")
	card, err := Make(dir, Making{Shop: "Heron Repair", Bench: "bench-1", BenchKey: made}, nil)
	if err != nil {
		t.Fatal(err)
	}
	public, _ := os.ReadFile(made + ".pub")
	if key, _, err := ParseKey(public); err != nil || key != card.Key {
		t.Errorf("%v is not the key that was there: %v", card.Key, err)
	}
	if out, err := keygen(t, nil, "-l", "-f", made+".pub"); err != nil || !strings.Contains(out, card.Key.OpenSSH()) {
		t.Errorf("ssh-keygen shows %s, we %s", out, card.Key.OpenSSH())
	}
	message := []byte("what was signed\n")
	signed := file(t, "message", message)
	if out, err := keygen(t, nil, "-Y", "sign", "-n", BatchNamespace, "-f", filepath.Join(dir, "bench"), signed); err != nil {
		t.Fatal(out)
	}
	signature, err := os.ReadFile(signed + ".sig")
	if err != nil {
		t.Fatal(err)
	}
	by, err := verify(message, signature, BatchNamespace)
	if err != nil || by.Key != card.Key {
		t.Errorf("%v, %v", by, err)
	}
	rsa := filepath.Join(t.TempDir(), "rsa")
	if out, err := keygen(t, nil, "-q", "-t", "rsa", "-b", "2048", "-N", "", "-f", rsa); err != nil {
		t.Fatal(out)
	}
	_, err = Make(filepath.Join(t.TempDir(), "i"), Making{Shop: "Heron Repair", Bench: "bench-1", BenchKey: rsa}, nil)
	wantCode(t, err, "X102")
}
