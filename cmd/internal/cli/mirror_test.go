package cli

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"netlore/testdata/heron"
)

// shopBench is a bench with a base and an identity of its own.
type shopBench struct {
	t   testing.TB
	dir string
	now time.Time
}

// benchOf makes a bench of a shop of its own.
func benchOf(t testing.TB, shop string) *shopBench {
	t.Helper()
	d := &shopBench{t, t.TempDir(), time.Date(2026, 3, 16, 9, 0, 0, 0, time.UTC)}
	d.run("identity", "new", "--shop", shop)
	return d
}

// benchOfShop makes a further bench of the shop of another.
func benchOfShop(t testing.TB, first *shopBench) *shopBench {
	t.Helper()
	d := &shopBench{t, t.TempDir(), first.now}
	d.run("identity", "request", "--bench", "bench-2")
	cert := filepath.Join(d.dir, "cert.pub")
	first.run("identity", "vouch", filepath.Join(d.dir, "id", "bench.pub"), "--to", cert)
	d.run("identity", "accept", cert)
	return d
}

func (d *shopBench) env(name string) string {
	return map[string]string{"NETLORE_AUTHOR": "bench-1", "NETLORE_BASE": filepath.Join(d.dir, "base"), "NETLORE_IDENTITY": filepath.Join(d.dir, "id")}[name]
}

// may runs a command, and gives all that it prints and its exit code.
func (d *shopBench) may(stdin string, args ...string) (code int, printed string) {
	d.t.Helper()
	var out bytes.Buffer
	env := Env{In: strings.NewReader(stdin), Out: &out, Err: &out, Getenv: d.env, Now: func() time.Time { return d.now }}
	code = Run(context.Background(), env, args)
	return code, out.String()
}

// run runs a command that must succeed.
func (d *shopBench) run(args ...string) string {
	d.t.Helper()
	code, printed := d.may("", args...)
	if code != exitOK {
		d.t.Fatalf("%q: exit code %d: %s", args, code, printed)
	}
	return printed
}

// add adds statements on Wren.
func (d *shopBench) add(statements string, args ...string) {
	d.t.Helper()
	if code, printed := d.may("netlore 1\nboard Wren rev 1\n"+statements, append([]string{"add", "-"}, args...)...); code > exitFound {
		d.t.Fatalf("exit code %d: %s", code, printed)
	}
}

// key is the key of the shop.
func (d *shopBench) key() string {
	d.t.Helper()
	for _, word := range strings.Fields(d.run("identity")) {
		if strings.Count(word, "-") == 4 && len(word) == 24 {
			return word
		}
	}
	d.t.Fatal("no key")
	return ""
}

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

// globbed are the files of a folder that a pattern names, of which there must be some.
func globbed(t testing.TB, dir, pattern string) []string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(dir, pattern))
	if err != nil || len(found) == 0 {
		t.Fatalf("%s: %v, %v", pattern, found, err)
	}
	return found
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

// TestPrivateDetailsLeaveNoMirror fills every private detail of a job with a canary,
// shares all kinds there are, and looks for it in the folder, in what is said, and in
// what is kept beside the base.
func TestPrivateDetailsLeaveNoMirror(t *testing.T) {
	const canary = "canary-7781"
	d := benchOf(t, "Heron Repair")
	sheets := filepath.Join(d.dir, "heron")
	if err := os.CopyFS(sheets, heron.Sheets); err != nil {
		t.Fatal(err)
	}
	d.run("add", sheets)
	d.run("job", "open", "9", "dead", "--customer", canary+"-1", "--serial", canary+"-2", "--private-remark", canary+"-3")
	d.run("job", "log", "9", "separated")
	for _, text := range []string{canary + "-1", canary + "-2", canary + "-3"} {
		if !strings.Contains(d.run("job", "show", "9", "--private"), text) {
			t.Fatalf("%s is no private detail", text)
		}
	}
	folder := filepath.Join(d.dir, "shared")
	seen := ""
	for _, args := range [][]string{{"--dry-run"}, {}, {"--summaries"}, {"--json"}} {
		os.MkdirAll(folder, 0o755)
		seen += d.run(append([]string{"mirror", folder, "--licence", "CC0-1.0", "--kinds", everyKind}, args...)...)
	}
	for _, where := range []string{folder, filepath.Join(d.dir, "base")} {
		if err := filepath.WalkDir(where, func(path string, e fs.DirEntry, err error) error {
			if err != nil || e.IsDir() || where != folder && filepath.Ext(path) != ".json" {
				return err
			}
			text, err := os.ReadFile(path)
			seen += path + string(text)
			return err
		}); err != nil {
			t.Fatal(err)
		}
	}
	if at := strings.Index(seen, canary); at >= 0 {
		t.Errorf("a private detail has left: …%s", seen[max(0, at-200):at+len(canary)])
	}
	if !strings.Contains(seen, "reading diode") || !strings.Contains(seen, "part C4103") || !strings.Contains(seen, "InStep") || strings.Contains(seen, "\njob ") {
		t.Error("what can be seen is not what was to be looked at")
	}
}

// TestMirrorToldByOthersIsNotObeyed changes the folder as somebody could who may push
// to it: what is shared is for the bench to say alone.
func TestMirrorToldByOthersIsNotObeyed(t *testing.T) {
	d, other := benchOf(t, "Heron Repair"), benchOf(t, "Wren Repair")
	d.add("part C1 10uF\nreading diode C1.1 0.41V good by Anna when 2026-02-17\n")
	folder := filepath.Join(d.dir, "shared")
	d.run("mirror", folder, "--licence", "CC0-1.0")
	other.add("part C9 10uF\nreading diode C9.1 0.41V good by Bert when 2026-02-17\n")
	other.run("mirror", folder, "--licence", "CC0-1.0", "--kinds", "readings")
	for _, name := range globbed(t, folder, "heron-repair-*/*/structure.lore") {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		readings := bytes.Replace(text, []byte("part C1 10uF\n"), nil, 1)
		if err := os.WriteFile(filepath.Join(filepath.Dir(name), "readings.lore"), readings, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	d.run("mirror", folder)
	for _, name := range globbed(t, folder, "heron-repair-*/*/*.lore") {
		text, err := os.ReadFile(name)
		if err != nil || strings.Contains(string(text), "reading") {
			t.Errorf("%v: %s says\n%s", err, name, text)
		}
	}
}

// TestMirrorInStep tells at a look that nothing has changed, and is not fooled by any
// change, whichever side it is on.
func TestMirrorInStep(t *testing.T) {
	d := benchOf(t, "Heron Repair")
	d.now = time.Now().Add(time.Minute) // long after the files are written
	folder := filepath.Join(d.dir, "shared")
	d.add("part C1 10uF\nmeter M1 test 1mA\n")
	d.run("mirror", folder, "--licence", "CC0-1.0")
	inStep := func() bool {
		_, printed := d.may("", "mirror", folder)
		return strings.HasSuffix(printed, ": in step with the base, nothing to do\n")
	}
	settle := func() {
		t.Helper()
		d.may("", "mirror", folder)
		if !inStep() {
			t.Error("it is never in step")
		}
	}
	settle()
	if printed := d.run("--json", "mirror", folder); !strings.Contains(printed, `"in_step":true`) {
		t.Errorf("%s", printed)
	}
	sheet := globbed(t, folder, "*/*/structure.lore")[0]
	whole, err := os.ReadFile(sheet)
	if err != nil {
		t.Fatal(err)
	}
	write := func(text []byte) {
		if err := os.WriteFile(sheet, text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for name, change := range map[string]func(){
		"a statement was added":      func() { d.add("part C2 10uF\n") },
		"a job was opened":           func() { d.run("job", "open", "9", "dead", "--of", "Wren") },
		"a sheet was changed":        func() { write(bytes.Replace(whole, []byte("10uF"), []byte("22uF"), 1)) },
		"a sheet was touched":        func() { write(whole) },
		"a sheet was removed":        func() { os.Remove(sheet) },
		"a sheet came in":            func() { os.WriteFile(filepath.Join(folder, "x.lore"), whole, 0o644) },
		"a key was made by the shop": func() { d.run("identity", "change") },
	} {
		settle()
		if change(); inStep() {
			t.Errorf("%s, and that is not seen", name)
		}
		os.Remove(filepath.Join(folder, "x.lore"))
		os.Remove(sheet) // whatever is in it, it is written anew
		d.may("", "mirror", folder)
		whole, _ = os.ReadFile(sheet)
	}
	settle()
	if printed := d.run("mirror", folder, "--kinds", "structure,meters"); strings.Contains(printed, "in step") || !strings.Contains(printed, "1 statement new in the folder") {
		t.Errorf("%s", printed)
	}
	if printed := d.run("mirror", folder); strings.Contains(printed, "withdrawn, 1 file") {
		t.Errorf("the kinds were not kept in mind: %s", printed)
	}
	settle()
	write(append(bytes.Clone(whole), "part C77 1uF\n"...))
	for range 2 {
		if code, printed := d.may("", "mirror", folder); code != exitFound || !strings.Contains(printed, "X302") {
			t.Errorf("what is wrong is told once only: %d, %s", code, printed)
		}
	}
}

// BenchmarkMirrorUnchanged mirrors a base and a folder in which nothing has changed: two
// shops with 100 boards each. Then with a sheet that was touched, so that all is read,
// checked and compared. Beside it are the bare look at the files, and their hashes.
func BenchmarkMirrorUnchanged(b *testing.B) {
	const boards, parts = 100, 300
	d, other := benchOf(b, "Heron Repair"), benchOf(b, "Wren Repair")
	folder := filepath.Join(d.dir, "shared")
	for n, one := range []*shopBench{d, other} {
		one.now = time.Now().Add(time.Minute)
		sheets := filepath.Join(one.dir, "sheets")
		if err := os.Mkdir(sheets, 0o755); err != nil {
			b.Fatal(err)
		}
		for k := range boards {
			text := fmt.Sprintf("netlore 1\nboard Wren-%d-%d rev 1\n", n, k)
			for p := range parts {
				text += fmt.Sprintf("part C%d %dnF 0402 top at %d.5,%d.25\n", p, 1+p, p%30, p/30)
			}
			text += "expect diode VMAIN 0.412V ±8%\nnote on VMAIN \"often cracked\"\nnet VMAIN power\n  C1 1\n"
			if err := os.WriteFile(filepath.Join(sheets, fmt.Sprintf("%d.lore", k)), []byte(text), 0o644); err != nil {
				b.Fatal(err)
			}
		}
		one.run("add", sheets)
		one.run("mirror", folder, "--licence", "CC0-1.0")
	}
	d.may("", "mirror", folder)
	d.run("trust", other.key(), "trusted")
	d.run("mirror", folder)
	b.Run("unchanged", func(b *testing.B) {
		for b.Loop() {
			if printed := d.run("mirror", folder); !strings.HasSuffix(printed, "nothing to do\n") {
				b.Fatal(printed)
			}
		}
	})
	var files []string
	var size int64
	look := func(each func(path string)) {
		filepath.WalkDir(folder, func(path string, e fs.DirEntry, err error) error {
			if err == nil && !e.IsDir() {
				each(path)
			}
			return err
		})
	}
	look(func(path string) { files = append(files, path) })
	b.Run("files looked at", func(b *testing.B) {
		for b.Loop() {
			size = 0
			look(func(path string) {
				if info, err := os.Lstat(path); err == nil {
					size += info.Size()
				}
			})
		}
		b.ReportMetric(float64(len(files)), "files")
		b.ReportMetric(float64(size), "bytes")
	})
	b.Run("files hashed", func(b *testing.B) {
		for b.Loop() {
			for _, path := range files {
				text, err := os.ReadFile(path)
				if err != nil {
					b.Fatal(err)
				}
				sha256.Sum256(text)
			}
		}
	})
	touched := globbed(b, folder, "*/*/notes.lore")[0]
	b.Run("one file touched", func(b *testing.B) {
		for n := 0; b.Loop(); n++ {
			if err := os.Chtimes(touched, time.Time{}, time.Now().Add(-time.Duration(n)*time.Minute)); err != nil {
				b.Fatal(err)
			}
			if printed := d.run("mirror", folder); !strings.Contains(printed, "0 files written") {
				b.Fatal(printed)
			}
		}
	})
}

// TestMirrorAfterChangeOfKey gives the shop a new key, and the bench goes on: what the
// old key has said in its own name is withdrawn by the new one, once, and said anew.
func TestMirrorAfterChangeOfKey(t *testing.T) {
	d, other := benchOf(t, "Heron Repair"), benchOf(t, "Wren Repair")
	folder := filepath.Join(d.dir, "shared")
	d.add("part C1 10uF\nnote on C1 \"often cracked\"\n")
	d.run("mirror", folder, "--licence", "CC0-1.0")
	other.run("mirror", folder)
	other.run("trust", d.key(), "trusted")
	d.run("identity", "change")
	if printed := d.run("mirror", folder); !strings.Contains(printed, "1 statement new in the folder, 1 withdrawn") {
		t.Errorf("%s", printed)
	}
	for range 2 {
		if printed := d.run("mirror", folder); !strings.Contains(printed, "0 statements new in the folder, 0 withdrawn, 0 files written") || strings.Contains(printed, "pack") {
			t.Errorf("%s", printed)
		}
	}
	if n := strings.Count(d.run("shops", "--packs"), "made"); n != 2 {
		t.Errorf("%d packs were made:\n%s", n, d.run("shops", "--packs"))
	}
	if printed := other.run("mirror", folder); !strings.Contains(printed, "Heron Repair has a new key") {
		t.Errorf("%s", printed)
	}
	if printed := other.run("export", "Wren"); strings.Count(printed, "often cracked") != 1 || !strings.Contains(printed, d.key()[:14]) || !strings.Contains(printed, "part C1 10uF") {
		t.Errorf("%s", printed)
	}
	if printed := other.run("mirror", folder); strings.Contains(printed, "new key") || strings.Contains(printed, "taken as") {
		t.Errorf("it is news twice: %s", printed)
	}
}
