//go:build unix

package cli

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// TestInterruptedMirror ends mirrors with a signal when so many files have been
// written. Every file is there whole or not at all, no statement is there without
// its signature, and the next run writes what an undisturbed one does.
func TestInterruptedMirror(t *testing.T) {
	d := benchOf(t, "Heron Repair")
	sheets := filepath.Join(d.dir, "sheets")
	if err := os.Mkdir(sheets, 0o755); err != nil {
		t.Fatal(err)
	}
	for n := range 25 {
		text := fmt.Sprintf("netlore 1\nboard Wren-%d rev 1\npart C1 10uF\nnote on C1 \"often cracked\"\nexpect diode C1.1 0.4V\n", n)
		if err := os.WriteFile(filepath.Join(sheets, fmt.Sprintf("%d.lore", n)), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	d.run("add", sheets)
	first := filepath.Join(d.dir, "first")
	base := filepath.Join(d.dir, "base")
	if err := os.Rename(base, first); err != nil {
		t.Fatal(err)
	}
	fresh := func() string {
		t.Helper()
		os.RemoveAll(base)
		if err := os.CopyFS(base, os.DirFS(first)); err != nil {
			t.Fatal(err)
		}
		return t.TempDir()
	}
	whole := fresh()
	if err := d.process(whole).Run(); err != nil {
		t.Fatal(err)
	}
	want := written(t, whole)
	for _, signal := range []syscall.Signal{syscall.SIGINT, syscall.SIGKILL} {
		stopped := 0
		for _, least := range []int{1, 2, 4, 20, 60} {
			folder := fresh()
			if d.stopped(folder, signal, least) {
				stopped++
			}
			for name, text := range written(t, folder) {
				if strings.HasPrefix(filepath.Base(name), ".netlore-") {
					continue
				}
				if text != want[name] {
					t.Errorf("%s after %d files: %s is not whole:\n%s", signal, least, name, text)
				}
			}
			other := benchOf(t, "Wren Repair")
			if _, printed := other.may("", "mirror", folder); strings.Contains(strings.ReplaceAll(printed, "error X305", ""), "error") { // a signature whose manifest was to come next
				t.Errorf("%s after %d files: %s", signal, least, printed)
			}
			if err := d.process(folder).Run(); err != nil {
				t.Errorf("%s after %d files, the next run: %v", signal, least, err)
			}
			if diff := cmp.Diff(want, written(t, folder)); diff != "" {
				t.Errorf("%s after %d files, the next run (-want +got): %s", signal, least, diff)
			}
		}
		if stopped == 0 {
			t.Errorf("%s never stopped a mirror", signal)
		}
	}
}

// TestHalfABatch: of a batch of this shop a run that was cut short has left one of two
// files behind. The next one brings the other, and has nothing to complain of.
func TestHalfABatch(t *testing.T) {
	d := benchOf(t, "Heron Repair")
	sheet := filepath.Join(d.dir, "wren.lore")
	if err := os.WriteFile(sheet, []byte("netlore 1\nboard Wren rev 1\npart C1 10uF\nnote on C1 \"often cracked\"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	d.run("add", sheet)
	folder := t.TempDir()
	if err := d.process(folder).Run(); err != nil {
		t.Fatal(err)
	}
	want := written(t, folder)
	for _, end := range []string{".sig", ".manifest"} {
		found, _ := filepath.Glob(filepath.Join(folder, "*", "*", "signed", "*"+end))
		if len(found) == 0 {
			t.Fatalf("no %s was written", end)
		}
		os.Remove(found[0])
		sheets, _ := filepath.Glob(filepath.Join(folder, "*", "*", "*.lore")) // which come later
		for _, name := range sheets {
			os.Remove(name)
		}
		d.forget()
		if printed, err := d.process(folder).CombinedOutput(); err != nil {
			t.Errorf("without a %s: %v\n%s", end, err, printed)
		}
		if diff := cmp.Diff(want, written(t, folder)); diff != "" {
			t.Errorf("without a %s (-want +got): %s", end, diff)
		}
	}
}

// forget makes the bench forget how it left folders, as if no run had come to an end.
func (d *shopBench) forget() {
	d.t.Helper()
	kept, _ := filepath.Glob(filepath.Join(d.env("NETLORE_BASE"), "*mirror-*.json"))
	if len(kept) == 0 {
		d.t.Fatal("nothing is kept of a mirror")
	}
	for _, file := range kept {
		os.Remove(file)
	}
}

// process is netlore mirror as a process of its own.
func (d *shopBench) process(folder string) *exec.Cmd {
	cmd := exec.Command("netlore", "mirror", folder, "--licence", "CC0-1.0")
	cmd.Env = append(os.Environ(), "NETLORE_NOW=2026-03-16T09:00:00Z")
	for _, name := range []string{"NETLORE_AUTHOR", "NETLORE_BASE", "NETLORE_IDENTITY"} {
		cmd.Env = append(cmd.Env, name+"="+d.env(name))
	}
	return cmd
}

// stopped sends a signal to a mirror when so many files are there, and reports
// whether it ended by that.
func (d *shopBench) stopped(folder string, signal syscall.Signal, least int) bool {
	d.t.Helper()
	cmd := d.process(folder)
	var printed bytes.Buffer
	cmd.Stderr = &printed
	if err := cmd.Start(); err != nil {
		d.t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() { ended <- cmd.Wait() }()
	for {
		select {
		case <-ended:
			return false
		case <-time.After(200 * time.Microsecond):
		}
		if found, _ := filepath.Glob(filepath.Join(folder, "*", "*", "*")); len(found) >= least {
			break
		}
	}
	cmd.Process.Signal(signal)
	<-ended
	if code := cmd.ProcessState.ExitCode(); signal == syscall.SIGINT && code != exitOK && (code != exitInterrupted || printed.String() != "netlore: stopped\n") {
		d.t.Errorf("exit code %d, and it says %q", code, printed.String())
	}
	return cmd.ProcessState.ExitCode() != exitOK
}

// written is what the files of a folder say.
func written(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	if err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		name, _ := filepath.Rel(dir, path)
		all[filepath.ToSlash(name)] = string(text)
		return err
	}); err != nil {
		t.Fatal(err)
	}
	return all
}
