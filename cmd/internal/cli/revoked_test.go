package cli

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// later moves the clock of benches on.
func later(benches ...*shopBench) {
	for _, d := range benches {
		d.now = d.now.Add(time.Hour)
	}
}

// has checks which of some words a bench's board says.
func (d *shopBench) has(words string, not ...string) {
	d.t.Helper()
	printed := d.run("export", "Wren")
	for word := range strings.FieldsSeq(words) {
		if strings.Count(printed, word) != 1 {
			d.t.Errorf("%q is there %d times in\n%s", word, strings.Count(printed, word), printed)
		}
	}
	for _, word := range not {
		if strings.Contains(printed, word) {
			d.t.Errorf("%q is there in\n%s", word, printed)
		}
	}
	d.run("verify")
}

// TestSignedAgainAfterRevoking: a shop revokes the key of its bench, which gets a new one.
// Its next pack has all of it, signed anew. Who had it traces it to the new signature,
// and can pass it on; who hears of the shop now takes it, and nothing that the old key
// has signed.
func TestSignedAgainAfterRevoking(t *testing.T) {
	a, b, c, d := benchOf(t, "Heron Repair"), benchOf(t, "Wren Repair"), benchOf(t, "Robin Repair"), benchOf(t, "Finch Repair")
	file := func(name string) string { return filepath.Join(a.dir, name) }
	pack := func(by *shopBench, name string, args ...string) string {
		t.Helper()
		return by.run(append([]string{"pack", "--licence", "CC0-1.0", "--to", file(name)}, args...)...)
	}
	take := func(by *shopBench, name string, want int) string {
		t.Helper()
		code, printed := by.may("", "merge", file(name), "--take")
		if code != want {
			t.Errorf("%s: exit code %d, want %d: %s", name, code, want, printed)
		}
		return printed
	}
	a.add("part C1 10uF\npart C2 1uF\nnote on C1 \"often-cracked\"\n")
	pack(a, "first.pack")
	take(b, "first.pack", exitOK)
	b.run("trust", a.key(), "trusted")
	a.add("part C2 22uF\n", "--correct")
	pack(a, "second.pack") // which withdraws
	later(a, b, c, d)
	a.run("identity", "revoke", "bench-1", "--because", "stolen")
	pack(a, "third.pack")
	if printed := take(b, "third.pack", exitOK); !strings.Contains(printed, "Heron Repair has revoked the key") {
		t.Errorf("%s", printed)
	}
	b.has("10uF often-cracked 22uF", "1uF\n")
	take(c, "third.pack", exitOK)
	c.run("trust", a.key(), "trusted")
	c.has("10uF often-cracked 22uF", "1uF\n")
	if printed := take(c, "first.pack", exitFound); !strings.Contains(printed, "X208") {
		t.Errorf("%s", printed)
	}
	pack(b, "passed-on.pack", "--others")
	take(d, "third.pack", exitOK) // the shop's word on its keys
	d.run("merge", "undo", "1")
	take(d, "passed-on.pack", exitOK)
	d.run("trust", a.key(), "trusted")
	d.has("10uF often-cracked 22uF", "1uF\n")
	// Once is enough, and to take back the pack with the new signatures leaves what came before.
	later(a)
	pack(a, "fourth.pack")
	if n := strings.Count(a.run("shops", "--packs"), "made"); n != 3 {
		t.Errorf("%d packs were made:\n%s", n, a.run("shops", "--packs"))
	}
	b.run("merge", "undo", "2")
	b.run("verify")
}

// TestTakenOver: a bench of the shop is stolen. What it had said before counts on the
// bench that has revoked it, which says it from then on, and withdraws what it shuns.
func TestTakenOver(t *testing.T) {
	a, b := benchOf(t, "Heron Repair"), benchOf(t, "Wren Repair")
	stolen := benchOfShop(t, a)
	file := func(name string) string { return filepath.Join(a.dir, name) }
	a.add("part C1 10uF\n")
	stolen.add("part C2 1uF\nnote on C2 \"often-cracked\"\nnote on C2 \"by-the-thief\"\n")
	stolen.run("pack", "--licence", "CC0-1.0", "--to", file("stolen.pack"))
	a.run("merge", file("stolen.pack"), "--take")
	a.run("trust", a.key(), "own")
	later(a, b)
	a.run("identity", "revoke", "bench-2")
	if printed := a.run("pack", "--licence", "CC0-1.0", "--dry-run"); !strings.Contains(printed, "often-cracked") || !strings.Contains(printed, "3 statements of the bench with the key") {
		t.Errorf("%s", printed)
	}
	for _, part := range [][]string{{"--kinds", "structure", "1 statement"}, {"--what", "notes on C2", "2 statements"}} {
		if printed := a.run("pack", "--licence", "CC0-1.0", "--dry-run", part[0], part[1]); !strings.Contains(printed, part[2]+" of the bench with the key") {
			t.Errorf("%s: what does not leave is counted, too: %s", part, printed)
		}
	}
	a.run("pack", "--licence", "CC0-1.0", "--to", file("a.pack"))
	b.run("merge", file("a.pack"), "--take")
	b.run("trust", a.key(), "trusted")
	b.has("10uF often-cracked by-the-thief")
	later(a, b)
	a.run("shun", "by-the-thief")
	if printed := a.run("pack", "--licence", "CC0-1.0", "--to", file("b.pack")); strings.Contains(printed, "of the bench with the key") {
		t.Errorf("it is told twice: %s", printed)
	}
	b.run("merge", file("b.pack"), "--take")
	b.has("10uF often-cracked", "by-the-thief")
	if code, printed := a.may("", "merge", file("stolen.pack"), "--take"); code != exitFound || !strings.Contains(printed, "X208") {
		t.Errorf("what the thief may have signed is taken: %d, %s", code, printed)
	}
}

// TestOldShopKeyRevoked changes the key of a shop and revokes the old one: what that has
// said in its own name, and what names no shop, is signed by the new one.
func TestOldShopKeyRevoked(t *testing.T) {
	a, b, c := benchOf(t, "Heron Repair"), benchOf(t, "Wren Repair"), benchOf(t, "Robin Repair")
	file := func(name string) string { return filepath.Join(a.dir, name) }
	a.add("part C1 10uF\nnote on C1 \"often-cracked\"\n")
	a.run("pack", "--licence", "CC0-1.0", "--to", file("first.pack"))
	b.run("merge", file("first.pack"), "--take")
	old := a.key()
	b.run("trust", old, "trusted")
	a.run("identity", "change")
	later(a, b, c)
	a.run("identity", "revoke", old)
	a.run("pack", "--licence", "CC0-1.0", "--to", file("second.pack"))
	for _, other := range []*shopBench{b, c} {
		other.run("merge", file("second.pack"), "--take")
	}
	c.run("trust", a.key(), "trusted")
	for _, other := range []*shopBench{b, c} {
		other.has("10uF often-cracked")
	}
	if n := strings.Count(a.run("shops", "--packs"), "made"); n != 2 {
		t.Errorf("%d packs were made", n)
	}
	later(a)
	a.run("pack", "--licence", "CC0-1.0", "--to", file("third.pack"))
	if n := strings.Count(a.run("shops", "--packs"), "made"); n != 2 {
		t.Errorf("signed once more: %s", a.run("shops", "--packs"))
	}
}

// TestMirrorAfterRevoking shares in a folder what the old key of the bench has signed,
// signed anew, and leaves nothing there that the old key has signed.
func TestMirrorAfterRevoking(t *testing.T) {
	a, b, c := benchOf(t, "Heron Repair"), benchOf(t, "Wren Repair"), benchOf(t, "Robin Repair")
	folder := filepath.Join(a.dir, "shared")
	a.add("part C1 10uF\nnote on C1 \"often-cracked\"\n")
	a.run("mirror", folder, "--licence", "CC0-1.0")
	before := globbed(t, folder, "*/*/signed/*.manifest")
	b.run("mirror", folder)
	b.run("trust", a.key(), "trusted")
	a.run("identity", "revoke", "bench-1", "--because", "stolen")
	later(a, b, c)
	a.run("mirror", folder)
	if printed := a.run("mirror", folder); !strings.Contains(printed, "0 files written") {
		t.Errorf("it is not at rest: %s", printed)
	}
	for _, name := range before {
		if _, err := os.Stat(name); err == nil {
			t.Errorf("%s is there, which nobody takes", name)
		}
	}
	for _, other := range []*shopBench{b, c} {
		other.run("mirror", folder)
	}
	c.run("trust", a.key(), "trusted")
	for _, other := range []*shopBench{b, c} {
		other.has("10uF often-cracked")
	}
}
