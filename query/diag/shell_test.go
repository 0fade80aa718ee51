package diag

import (
	"os/exec"
	"testing"
)

// TestShellWord has a real shell say what it was given.
func TestShellWord(t *testing.T) {
	if _, err := exec.LookPath("sh"); err != nil {
		t.Skip("there is no sh")
	}
	for _, word := range []string{"plain-1.lore", "a/b", "", "two words", "$(echo x)", "`echo x`", "it's", "a;b&c|d>e", "~", "*", "-n x", "a\\b", "a\nb", "Gehäuse"} {
		out, err := exec.Command("sh", "-c", "printf %s "+ShellWord(word)).Output()
		if err != nil || string(out) != word {
			t.Errorf("%q is %q to a shell, %v", word, out, err)
		}
	}
	if ShellWord("shared/heron.lore") != "shared/heron.lore" {
		t.Error("what needs no quotes has some")
	}
}
