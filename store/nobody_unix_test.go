//go:build unix

package store_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// asNobody runs the test once more in a process of a user who is not root, and
// fails if that fails.
func asNobody(t *testing.T) {
	t.Helper()
	const nobody = 65534
	self, err := os.ReadFile(os.Args[0])
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	program := filepath.Join(dir, "test")
	if err := os.WriteFile(program, self, 0o755); err != nil {
		t.Fatal(err)
	}
	// The test makes its own folders in here.
	for path, mode := range map[string]os.FileMode{filepath.Dir(dir): 0o755, dir: 0o777} {
		if err := os.Chmod(path, mode); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.Command(program, "-test.run", "^"+t.Name()+"$", "-test.v")
	cmd.Dir, cmd.Env = dir, append(os.Environ(), "TMPDIR="+dir)
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
	out, err := cmd.CombinedOutput()
	if err != nil || !strings.Contains(string(out), "--- PASS: "+t.Name()) {
		t.Errorf("as another user: %v\n%s", err, out)
	}
}
