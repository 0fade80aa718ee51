package sheet_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/store/sheet"
)

// A merge case has base.lore, ours.lore and theirs.lore. Ours and theirs are
// committed in two clones of a repository that holds base, and merged in a
// third by git itself with *.lore merge=union. The canonical text and the
// complaints of what git leaves are compared, and that text is held against
// the union of ours and theirs without git.

func runMerge(t *testing.T, c *specCase) {
	t.Helper()
	merged := gitMerge(t, c)
	f, complaints := sheet.Parse("merged.lore", []byte(merged))
	content, more := sheet.Read(f)
	complaints = append(append(complaints, more...), sheet.Check(content, f)...)
	c.expect(t, "canonical", string(f.Canonical()))
	c.expect(t, "errors", drawn(t, complaints))

	ours, _ := c.section("ours.lore")
	theirs, _ := c.section("theirs.lore")
	both, _ := sheet.Parse("union.lore", []byte(ours+theirs))
	if diff := cmp.Diff(string(both.Canonical()), string(f.Canonical())); diff != "" {
		t.Errorf("git's merge is not the union (- union, + merge):\n%s", diff)
	}
	swapped, _ := sheet.Parse("union.lore", []byte(theirs+ours))
	if diff := cmp.Diff(string(both.Canonical()), string(swapped.Canonical())); diff != "" {
		t.Errorf("the union depends on the order (- ours first, + theirs first):\n%s", diff)
	}
}

// gitMerge returns the sheet as git merges it.
func gitMerge(t *testing.T, c *specCase) string {
	t.Helper()
	if _, err := exec.LookPath("git"); err != nil {
		t.Skip("git is not installed: the merge cases need it")
	}
	dir := t.TempDir()
	write := func(repo, section string) {
		text, ok := c.section(section)
		if !ok {
			t.Fatalf("the case has no %s", section)
		}
		writeFile(t, filepath.Join(dir, repo, "board.lore"), text)
	}
	git(t, dir, "init", "--quiet", "--initial-branch=main", "base")
	writeFile(t, filepath.Join(dir, "base", ".gitattributes"), "*.lore merge=union\n")
	write("base", "base.lore")
	commit(t, filepath.Join(dir, "base"), "base")
	for _, side := range []string{"ours", "theirs", "third"} {
		git(t, dir, "clone", "--quiet", "base", side)
		if side != "third" {
			write(side, side+".lore")
			commit(t, filepath.Join(dir, side), side)
		}
	}
	third := filepath.Join(dir, "third")
	for _, side := range []string{"ours", "theirs"} {
		git(t, third, "pull", "--quiet", "--no-rebase", "--no-edit", filepath.Join(dir, side), "main")
	}
	merged, err := os.ReadFile(filepath.Join(third, "board.lore"))
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(merged), "<<<<<<<") {
		t.Errorf("git left a conflict:\n%s", merged)
	}
	return string(merged)
}

func writeFile(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func commit(t *testing.T, dir, message string) {
	t.Helper()
	git(t, dir, "add", "--all")
	git(t, dir, "commit", "--quiet", "--allow-empty", "--message", message)
}

// git runs git without the settings of whoever runs the test.
func git(t *testing.T, dir string, args ...string) {
	t.Helper()
	cmd := exec.Command("git", args...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "GIT_CONFIG_GLOBAL="+os.DevNull, "GIT_CONFIG_NOSYSTEM=1", "GIT_TERMINAL_PROMPT=0",
		"GIT_AUTHOR_NAME=bench", "GIT_AUTHOR_EMAIL=bench@example.org", "GIT_COMMITTER_NAME=bench", "GIT_COMMITTER_EMAIL=bench@example.org")
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("git %s: %v\n%s", strings.Join(args, " "), err, out)
	}
}
