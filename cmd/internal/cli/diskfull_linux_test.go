package cli

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// smallDisk mounts a disk of so many megabytes in the current folder, which
// takes root.
func smallDisk(t *testing.T, name string, megabytes int) {
	t.Helper()
	if os.Geteuid() != 0 {
		t.Skip("a disk of its own can be mounted by root only; not tested")
	}
	if err := os.MkdirAll(name, 0o755); err != nil {
		t.Fatal(err)
	}
	dir, err := filepath.Abs(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, fmt.Sprintf("size=%dm", megabytes)); err != nil {
		t.Skipf("no disk can be mounted here (%v); not tested", err)
	}
	t.Cleanup(func() {
		if err := syscall.Unmount(dir, 0); err != nil {
			t.Error(err)
		}
	})
}

// TestDiskTooSmall makes a base where there is no room for one.
func TestDiskTooSmall(t *testing.T) {
	t.Chdir(t.TempDir())
	smallDisk(t, "disk", 4)
	if err := os.WriteFile("wren.lore", []byte(wren), 0o644); err != nil {
		t.Fatal(err)
	}
	code, complaints := process(t, "--base", "disk/base", "add", "wren.lore")
	if code != exitBase {
		t.Errorf("exit code %d, want %d", code, exitBase)
	}
	complains(t, complaints, "netlore: the disk of disk/base has 5 MB free, and 26 MB are wanted to write safely; nothing was changed",
		"make room on that disk, or name a folder on another one with --base")
}

// TestDiskFillsUp adds boards until the disk is full. That is said, and what
// went in before is there and whole.
func TestDiskFillsUp(t *testing.T) {
	t.Chdir(t.TempDir())
	smallDisk(t, "base", 56)
	before := ""
	for i := range 100 {
		name := fmt.Sprintf("big-%d", i)
		if err := os.WriteFile(name+".lore", noise(name), 0o644); err != nil {
			t.Fatal(err)
		}
		code, complaints := process(t, "--base", "base", "add", name+".lore")
		if code == exitOK {
			before = contents(t)
			continue
		}
		if code != exitBase || !strings.Contains(complaints, "nothing was changed\n  help: make room on that disk") {
			t.Errorf("exit code %d, want %d: %s", code, exitBase, complaints)
		}
		if before == "" {
			t.Fatal("not one board went in")
		}
		sound(t, before)
		t.Logf("%d boards went in; then: %s", i, complaints)
		return
	}
	t.Error("the disk never got full")
}

// noise is a board that no compression makes smaller.
func noise(name string) []byte {
	var s strings.Builder
	fmt.Fprintf(&s, "netlore 1\nboard %s rev 1\n", name)
	x := uint64(len(name))*2654435761 + uint64(name[len(name)-1])
	for part := range 400 {
		fmt.Fprintf(&s, "part C%d \"", part+1)
		for range 160 {
			x = x*6364136223846793005 + 1442695040888963407
			fmt.Fprintf(&s, "%x", x>>16)
		}
		s.WriteString("\"\n")
	}
	return []byte(s.String())
}

// TestBaseThatCannotBeWritten asks a base on a disk for reading only, which
// works, and adds to it, which does not.
func TestBaseThatCannotBeWritten(t *testing.T) {
	t.Chdir(t.TempDir())
	smallDisk(t, "base", 72)
	if err := os.WriteFile("wren.lore", []byte(wren), 0o644); err != nil {
		t.Fatal(err)
	}
	if code, complaints := process(t, "--base", "base", "add", "wren.lore"); code != exitOK {
		t.Fatalf("exit code %d: %s", code, complaints)
	}
	before := contents(t)
	if err := syscall.Mount("", "base", "", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Skipf("the disk cannot be made read-only (%v); not tested", err)
	}
	for _, args := range []string{"add wren.lore", "remove Wren"} {
		code, complaints := process(t, append([]string{"--base", "base"}, strings.Fields(args)...)...)
		if code != exitBase {
			t.Errorf("%s: exit code %d, want %d", args, code, exitBase)
		}
		complains(t, complaints, "netlore: the knowledge base in base cannot be used: it may not be written by you", "name another folder with --base")
	}
	sound(t, before)
}

// forEverybody copies this program, which is netlore when it is called so, to
// where every user may run it.
func forEverybody(t *testing.T) string {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	program, err := os.ReadFile(self)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for _, d := range []string{dir, filepath.Dir(dir)} {
		if err := os.Chmod(d, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(filepath.Join(dir, "netlore"), program, 0o755); err != nil {
		t.Fatal(err)
	}
	return filepath.Join(dir, "netlore")
}

// TestFilesOfSomebodyElse reads a file and a base without the right to.
func TestFilesOfSomebodyElse(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("another user can be played by root only; not tested")
	}
	benchWithBase(t)
	binary := forEverybody(t)
	for name, mode := range map[string]os.FileMode{".": 0o755, "..": 0o755, "base": 0o700} {
		if err := os.Chmod(name, mode); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile("secret.lore", []byte(wren), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args string
		code int
		says string
	}{
		{"check secret.lore", exitInput, "netlore: secret.lore may not be read by you"},
		{"--base base2 add secret.lore", exitInput, "netlore: secret.lore may not be read by you"},
		{"--base base boards", exitBase, "netlore: the knowledge base in base cannot be used: permission denied"},
	} {
		cmd := exec.Command(binary, strings.Fields(c.args)...)
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
		var complaints strings.Builder
		cmd.Stderr = &complaints
		cmd.Run()
		if code := cmd.ProcessState.ExitCode(); code != c.code {
			t.Errorf("%s: exit code %d, want %d", c.args, code, c.code)
		}
		complains(t, complaints.String(), c.says, "")
	}
}
