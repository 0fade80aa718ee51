//go:build unix

package cli

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestRingKilled rings out at a terminal and is killed right after an answer: what
// was said to be kept is there.
func TestRingKilled(t *testing.T) {
	dir := t.TempDir()
	sheet := "netlore 1\nboard Wren rev 2\nnet GND ground\n  C1 2\n  C2 2\nnet VIO\n  C1 1\npad P1 bottom at 2,1\npad P2 bottom at 3,1\n"
	if err := os.WriteFile(filepath.Join(dir, "wren.lore"), []byte(sheet), 0o644); err != nil {
		t.Fatal(err)
	}
	base := filepath.Join(dir, "base")
	if code, _, complaints := command(t, "", "--base", base, "add", filepath.Join(dir, "wren.lore")); code != exitOK {
		t.Fatal(complaints)
	}
	cmd := exec.Command("netlore", "--base", "base", "ring")
	cmd.Dir, cmd.Env = dir, append(os.Environ(), "HOME="+dir, "NO_COLOR=1")
	s := startAt(t, cmd)
	s.sees("likely to ring; 0 of 2 settled")
	s.sees("rings?")
	s.types("y\r")
	s.sees("kept: P1 rings to C1.2")
	s.types("n\r")
	s.sees("kept: P2 does not ring to C1.2")
	if err := s.cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	<-s.ended
	code, text, complaints := command(t, "", "--base", base, "export", "Wren")
	if code != exitOK || !strings.Contains(text, "continuity C1.2 P1 by ") || !strings.Contains(text, "reading continuity P2 to C1.2 silent by ") {
		t.Errorf("what was kept is gone: %s%s", text, complaints)
	}
}
