package cli

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// haveGit skips a test where there is no git.
func haveGit(t testing.TB) {
	t.Helper()
	if _, err := exec.LookPath("git"); err != nil {
		t.Skip("git is not on this machine: what merges cleanly is not tested against it")
	}
}

// git runs git in a folder, with nothing of the user's own settings.
func git(t testing.TB, dir string, args ...string) (string, error) {
	t.Helper()
	cmd := exec.Command("git", append([]string{"-C", dir, "-c", "user.name=bench", "-c", "user.email=bench@example.org", "-c", "init.defaultBranch=main", "-c", "commit.gpgsign=false"}, args...)...)
	cmd.Env = append(os.Environ(), "GIT_CONFIG_GLOBAL="+os.DevNull, "GIT_CONFIG_SYSTEM="+os.DevNull)
	out, err := cmd.CombinedOutput()
	return string(out), err
}

// mustGit runs git, which must succeed.
func mustGit(t testing.TB, dir string, args ...string) string {
	t.Helper()
	out, err := git(t, dir, args...)
	if err != nil {
		t.Fatalf("git %q: %v\n%s", args, err, out)
	}
	return out
}

// clone is a bench with a clone of what the shops share.
type clone struct {
	*shopBench
	shared string
}

// share brings base and clone in step, and commits what that has changed.
func (c clone) share() {
	c.t.Helper()
	c.run("mirror", c.shared, "--licence", "CC0-1.0", "--kinds", everyKind)
	mustGit(c.t, c.shared, "add", "--all")
	if _, err := git(c.t, c.shared, "diff", "--cached", "--quiet"); err != nil {
		mustGit(c.t, c.shared, "commit", "-m", "what we know")
	}
}

// meet pulls what others have pushed, and pushes. Git must find nothing to settle.
func (c clone) meet() {
	c.t.Helper()
	mustGit(c.t, c.shared, "pull", "--no-rebase", "--no-edit")
	c.share()
	mustGit(c.t, c.shared, "push")
}

// clones makes a repository and clones of it, a shop each, all of which trust each
// other.
func clones(t *testing.T, names ...string) []clone {
	t.Helper()
	dir := t.TempDir()
	hub, first := filepath.Join(dir, "hub"), filepath.Join(dir, "first")
	mustGit(t, dir, "init", "--bare", hub)
	mustGit(t, dir, "clone", hub, first)
	if err := os.WriteFile(filepath.Join(first, "README.md"), []byte("what our shops know\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	mustGit(t, first, "add", "--all")
	mustGit(t, first, "commit", "-m", "begin")
	mustGit(t, first, "push")
	var all []clone
	for n, name := range names {
		c := clone{benchOf(t, name), filepath.Join(dir, fmt.Sprint(n))}
		mustGit(t, dir, "clone", hub, c.shared)
		all = append(all, c)
	}
	for _, c := range all {
		c.add(fmt.Sprintf("note on C1 %q by Anna\n", "first of "+c.key()))
		c.share()
		c.meet()
	}
	for _, c := range all {
		c.meet()
		for _, other := range all {
			if other.dir != c.dir {
				c.run("trust", other.key(), "trusted")
			}
		}
	}
	return all
}

// knows is what a bench has of all shops, its own word in the form in which others
// have it, as sheets of the folder.
func (c clone) knows() string {
	c.t.Helper()
	var all []string
	err := filepath.WalkDir(c.shared, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(path) != ".lore" {
			return err
		}
		text, err := os.ReadFile(path)
		name, _ := filepath.Rel(c.shared, path)
		all = append(all, name+"\n"+string(text))
		return err
	})
	if err != nil {
		c.t.Fatal(err)
	}
	return strings.Join(all, "\n")
}

// TestGitMergesMirrors lets three shops with a clone each add and take back
// statements on the same boards without hearing of each other, and meet. Git is the
// judge: it must have nothing to settle. In the end all clones and all bases say the
// same.
func TestGitMergesMirrors(t *testing.T) {
	haveGit(t)
	all := clones(t, "Heron Repair", "Wren Repair", "Finch Repair")
	for round := range 3 {
		for n, c := range all {
			c.add(fmt.Sprintf("part C%d %d0uF\npart R%d 10kohm\nnet VMAIN power\n  C%d 1\nexpect diode VMAIN 0.4%dV ±8%% by Anna\nreading diode VMAIN 0.41V good specimen s%d%d by Anna when 2026-02-17\n", 10*n+round, n+1, round, 10*n+round, n, n, round), "--correct")
			if round == 1 {
				c.add(fmt.Sprintf("note on C%d \"of round %d\" by Anna\n", 10*n, round))
			}
			c.share()
		}
		for _, c := range all {
			c.meet()
		}
	}
	for _, c := range all {
		c.meet()
	}
	want := ""
	for n, c := range all {
		mustGit(t, c.shared, "pull", "--no-rebase", "--no-edit")
		c.run("mirror", c.shared)
		if status := mustGit(t, c.shared, "status", "--porcelain"); status != "" {
			t.Errorf("clone %d is not in step: %s", n, status)
		}
		if want == "" {
			want = c.knows()
		}
		if c.knows() != want {
			t.Errorf("clone %d says something else", n)
		}
		parts := c.run("--json", "ask", "parts")
		for m := range all {
			if c := fmt.Sprintf("\"C%d\"", 10*m+2); !strings.Contains(parts, c) {
				t.Errorf("clone %d does not know %s:\n%s", n, c, parts)
			}
		}
		c.run("verify")
	}
	if strings.Count(want, "expect diode VMAIN") != 3 || strings.Contains(want, "Anna") {
		t.Errorf("%s", want)
	}
	if _, err := exec.LookPath("ssh-keygen"); err != nil {
		t.Skip("ssh-keygen is not on this machine: that it can check the folder is not tested")
	}
	checked := 0
	for _, manifest := range globbed(t, all[0].shared, "*/*/signed/*.manifest") {
		text, err := os.ReadFile(manifest)
		if err != nil {
			t.Fatal(err)
		}
		cmd := exec.Command("ssh-keygen", "-Y", "verify", "-f", filepath.Join(filepath.Dir(manifest), "../../signers"), "-I", "bench-1", "-n", "netlore-batch", "-s", strings.TrimSuffix(manifest, ".manifest")+".sig")
		cmd.Stdin = bytes.NewReader(text)
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%s: %v\n%s", manifest, err, out)
		}
		checked++
	}
	if checked < 9 {
		t.Errorf("only %d signatures were checked", checked)
	}
}

// TestGitConflictOfTwoBenches lets two benches of one shop change one sheet in the
// same place. That git cannot settle; what comes of it is both statements, each with
// its signature, and no broken file.
func TestGitConflictOfTwoBenches(t *testing.T) {
	haveGit(t)
	all := clones(t, "Heron Repair", "Wren Repair")
	first, wren := all[0], all[1]
	hub := strings.TrimSpace(mustGit(t, first.shared, "remote", "get-url", "origin"))
	second := clone{benchOfShop(t, first.shopBench), filepath.Join(t.TempDir(), "second")}
	mustGit(t, first.dir, "clone", hub, second.shared)
	second.run("mirror", second.shared)
	first.add("part C5 10uF\n")
	second.add("part C5 22uF\n")
	first.share()
	second.share()
	mustGit(t, first.shared, "push")
	out, err := git(t, second.shared, "pull", "--no-rebase", "--no-edit")
	if err == nil || !strings.Contains(out, "CONFLICT") {
		t.Fatalf("git has found nothing to settle: %s", out)
	}
	code, printed := second.may("", "mirror", second.shared)
	if code != exitFound || !strings.Contains(printed, "warning X301: git has left a conflict here; both sides were read") {
		t.Errorf("exit code %d: %s", code, printed)
	}
	sheet := globbed(t, second.shared, "heron-repair-*/wren-rev-1-*/structure.lore")
	text, err := os.ReadFile(sheet[0])
	if want := "netlore 1\nboard Wren rev 1\n\npart C5 10uF\npart C5 22uF\n"; err != nil || string(text) != want {
		t.Errorf("%v\n%s", err, text)
	}
	mustGit(t, second.shared, "add", "--all")
	mustGit(t, second.shared, "commit", "-m", "both")
	mustGit(t, second.shared, "push")
	mustGit(t, first.shared, "pull", "--no-rebase", "--no-edit")
	if printed := first.run("mirror", first.shared); !strings.Contains(printed, "disputed, and does not count: part C5 22uF") || !strings.Contains(printed, "1 by bench-2 of Heron Repair") {
		t.Errorf("%s", printed)
	}
	mustGit(t, wren.shared, "pull", "--no-rebase", "--no-edit")
	if printed := wren.run("mirror", wren.shared); strings.Count(printed, "disputed, and does not count: part C5") != 2 {
		t.Errorf("%s", printed)
	}
	for _, c := range []clone{first, second, wren} {
		if printed := c.run("mirror", c.shared); strings.Contains(printed, "X3") {
			t.Errorf("%s", printed)
		}
		if status := mustGit(t, c.shared, "status", "--porcelain"); status != "" {
			t.Errorf("it is not settled: %s", status)
		}
	}
}
