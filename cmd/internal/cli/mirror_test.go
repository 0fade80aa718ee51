package cli

import (
	"bytes"
	"context"
	"io/fs"
	"os"
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

// TestMirrorBringsBackALostBase loses the base, and gets back what was shared.
func TestMirrorBringsBackALostBase(t *testing.T) {
	d := benchOf(t, "Heron Repair")
	folder := filepath.Join(d.dir, "shared")
	d.add("part C1 10uF\nnote on C1 \"often cracked\"\n")
	d.run("mirror", folder, "--licence", "CC0-1.0")
	if err := os.RemoveAll(filepath.Join(d.dir, "base")); err != nil {
		t.Fatal(err)
	}
	if printed := d.run("mirror", folder); !strings.Contains(printed, "3 statements new in the base") || strings.Contains(printed, "kept apart") {
		t.Errorf("%s", printed)
	}
	if printed := d.run("export", "Wren"); !strings.Contains(printed, "part C1 10uF") || !strings.Contains(printed, "often cracked") {
		t.Errorf("%s", printed)
	}
	// To share anew withdraws nothing of what was shared before.
	if printed := d.run("mirror", folder, "--licence", "CC0-1.0"); !strings.Contains(printed, "0 statements new in the folder, 0 withdrawn, 0 files written") {
		t.Errorf("%s", printed)
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

// TestMirrorUnderOneLicence packs for one shop under terms of its own, then shares in a
// folder under others: nothing of the first is in the folder, nor in a pack under the
// second. What is in the folder already stays, whatever is shared beside it.
func TestMirrorUnderOneLicence(t *testing.T) {
	const apart = "LicenseRef-Apart"
	d := benchOf(t, "Heron Repair")
	folder, pack := filepath.Join(d.dir, "shared"), filepath.Join(d.dir, "a.pack")
	d.add("part C1 10uF\npart C2 1uF\n")
	d.run("pack", "--licence", apart, "--to", pack)
	d.run("remove", "Wren")
	d.run("pack", "--licence", apart, "--to", filepath.Join(d.dir, "none.pack")) // withdraws
	d.add("part C1 10uF\n")
	d.run("mirror", folder, "--licence", "CC0-1.0")
	d.run("pack", "--licence", "CC0-1.0", "--to", pack)
	for _, name := range append(globbed(t, folder, "*/*/signed/*.manifest"), pack) {
		if text, err := os.ReadFile(name); err != nil || strings.Contains(string(text), apart) || !strings.Contains(string(text), "licence CC0-1.0") {
			t.Errorf("%v: %s is not under CC0-1.0 alone:\n%s", err, name, text)
		}
	}
	d.add("part C3 1uF\n", "--licence", "CC-BY-4.0")
	for _, licence := range []string{"CC-BY-4.0", "CC0-1.0", "CC-BY-4.0"} {
		d.run("mirror", folder, "--licence", licence)
		text, err := os.ReadFile(globbed(t, folder, "*/*/structure.lore")[0])
		if err != nil || !strings.Contains(string(text), "part C1 10uF\npart C3 1uF\n") {
			t.Errorf("%v, under %s:\n%s", err, licence, text)
		}
	}
	d.run("remove", "Wren")
	d.run("mirror", folder, "--licence", "CC-BY-4.0")
	d.run("mirror", folder, "--licence", "CC0-1.0")
	if left, _ := filepath.Glob(filepath.Join(folder, "*", "*", "*.lore")); len(left) > 0 {
		t.Errorf("%v is left of what was withdrawn", left)
	}
}

// TestTakeOnlyKnowsItsOwnShop reads the folder without sharing: what this shop has put
// there is its own word, and a sheet of it is not told to be somebody else's.
func TestTakeOnlyKnowsItsOwnShop(t *testing.T) {
	d := benchOf(t, "Heron Repair")
	folder := filepath.Join(d.dir, "shared")
	d.add("part C1 10uF\n")
	d.run("mirror", folder, "--licence", "CC0-1.0")
	sheet := globbed(t, folder, "*/*/structure.lore")[0]
	text, err := os.ReadFile(sheet)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(sheet, append(text, "part C9 1uF\n"...), 0o644); err != nil {
		t.Fatal(err)
	}
	_, printed := d.may("", "mirror", folder, "--take-only")
	if !strings.Contains(printed, "takes it on your own word") || strings.Contains(printed, "ask the shop whose sheet it is") {
		t.Errorf("%s", printed)
	}
	d.may("", "mirror", folder, "--take-only", "--dry-run")
	second := benchOfShop(t, d)
	if _, printed := second.may("", "mirror", folder, "--take-only", "--dry-run"); !strings.Contains(printed, ": own\n") || strings.Contains(printed, "kept apart") {
		t.Errorf("the other bench of the shop takes it for a stranger's: %s", printed)
	}
	if _, printed := second.may("", "mirror", folder, "--take-only"); !strings.Contains(printed, ": own\n") {
		t.Errorf("the other bench of the shop takes it for a stranger's: %s", printed)
	}
}
