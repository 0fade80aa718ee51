package cli

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"

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
