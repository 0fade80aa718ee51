package cli

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// trustShop is the script command `trust SHOP LEVEL [--in KINDS]`: netlore trust with the key
// of the first shop whose name begins so, which is another one in each run.
func trustShop(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: trust SHOP LEVEL [--in KINDS]")
	}
	ts.Check(ts.Exec("netlore", "--json", "shops"))
	for line := range strings.Lines(ts.ReadFile("stdout")) {
		var shop struct{ Shop, Key string }
		ts.Check(json.Unmarshal([]byte(line), &shop))
		if strings.HasPrefix(shop.Shop, args[0]) {
			ts.Check(ts.Exec("netlore", append([]string{"trust", shop.Key}, args[1:]...)...))
			return
		}
	}
	ts.Fatalf("no shop called %s", args[0])
}

// changePack is the script command `change FROM TO`: a pack with one value changed
// after it was signed.
func changePack(ts *testscript.TestScript, neg bool, args []string) {
	pack := packOf(ts, neg, args)
	changed := bytes.Replace(pack, []byte("part C2 1uF"), []byte("part C2 9uF"), 1)
	if bytes.Equal(pack, changed) {
		ts.Fatalf("the pack does not say what was to be changed")
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), changed, 0o644))
}

// cutPack is the script command `cut FROM TO`: the first half of a pack.
func cutPack(ts *testscript.TestScript, neg bool, args []string) {
	pack := packOf(ts, neg, args)
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), pack[:len(pack)/2], 0o644))
}

func packOf(ts *testscript.TestScript, neg bool, args []string) []byte {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: change|cut FROM TO")
	}
	return []byte(ts.ReadFile(args[0]))
}

// TestTrustIsInAKey: who trusts a shop no more by the key that it had is told of the one
// that it has, for what that says counts still.
func TestTrustIsInAKey(t *testing.T) {
	heron, second := benchOf(t, "Heron Repair"), benchOf(t, "Second Repair")
	pack, before := filepath.Join(heron.dir, "a.pack"), heron.key()
	heron.add("part C1 10uF\n")
	heron.run("pack", "--licence", "CC0-1.0", "--to", pack)
	second.run("merge", pack, "--take")
	if printed := second.run("trust", before, "trusted"); strings.Contains(printed, "still") {
		t.Errorf("%s", printed)
	}
	heron.run("identity", "change")
	heron.run("pack", "--licence", "CC0-1.0", "--to", pack)
	second.run("merge", pack, "--take")
	after := heron.key()
	for _, told := range []struct{ key, level, want string }{
		{before, "unknown", "the key " + after + ", that took its place, is trusted still; netlore trust " + after + " unknown\n"},
		{after, "unknown", ""},
		{after, "listed", "the key " + before + ", whose place it took, is unknown still; netlore trust " + before + " listed\n"},
	} {
		printed := second.run("trust", told.key, told.level)
		if told.want == "" && strings.Contains(printed, "still") || !strings.Contains(printed, told.want) {
			t.Errorf("trust %s %s: %s, want %q", told.key, told.level, printed, told.want)
		}
	}
}
