package exchange

import (
	"archive/tar"
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"netlore/query/diag"
)

var morning = time.Date(2026, 3, 16, 9, 0, 0, 0, time.UTC)

// heronRepair makes an identity for a test.
func heronRepair(t testing.TB) (dir string, i *Identity) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "identity")
	if _, err := Make(dir, Making{Shop: "Heron Repair", Bench: "bench-1"}, nil); err != nil {
		t.Fatal(err)
	}
	return dir, opened(t, dir)
}

func opened(t testing.TB, dir string) *Identity {
	t.Helper()
	i, err := Open(dir, nil)
	if err != nil {
		t.Fatal(err)
	}
	return i
}

func wantCode(t *testing.T, err error, code string) {
	t.Helper()
	var d diag.Diagnostic
	if !errors.As(err, &d) || d.Code != code {
		t.Errorf("%v, want a complaint %s", err, code)
	}
	if _, ok := Explain(code); !ok {
		t.Errorf("%s is not explained", code)
	}
}

func TestPrivateFilesAreTheirOwners(t *testing.T) {
	dir, _ := heronRepair(t)
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	private := 0
	for _, e := range entries {
		text, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		info, _ := e.Info()
		if bytes.Contains(text, []byte("PRIVATE KEY")) || e.Name() == fileSpecimens {
			private++
			if info.Mode().Perm() != 0o600 {
				t.Errorf("%s has mode %o", e.Name(), info.Mode().Perm())
			}
		}
	}
	if private != 3 {
		t.Errorf("%d private files, want those of the shop and the bench, and the secret", private)
	}
	if info, err := os.Stat(dir); err != nil || info.Mode().Perm() != 0o700 {
		t.Errorf("the folder has mode %o, %v", info.Mode().Perm(), err)
	}
	for _, mode := range []os.FileMode{0o640, 0o604, 0o660} {
		if err := os.Chmod(filepath.Join(dir, fileBench), mode); err != nil {
			t.Fatal(err)
		}
		_, err = Open(dir, nil)
		wantCode(t, err, "X101")
	}
}

func TestIdentityIsMadeOnce(t *testing.T) {
	dir, first := heronRepair(t)
	_, err := Make(dir, Making{Shop: "Wren Repair", Bench: "bench-1"}, nil)
	wantCode(t, err, "X105")
	if again := opened(t, dir); again.Signer != first.Signer {
		t.Errorf("it was %v and is %v", first.Signer, again.Signer)
	}
	left, err := os.ReadDir(filepath.Dir(dir))
	if err != nil || len(left) != 1 {
		t.Errorf("what did not come to be was left: %v, %v", left, err)
	}
	for _, m := range []Making{{"", "bench-1", nil, "", ""}, {"Heron\nRepair", "bench-1", nil, "", ""}, {"Heron", "bench 1", nil, "", ""}, {"Heron", "b\u202e", nil, "", ""}} {
		if _, err := Make(filepath.Join(t.TempDir(), "i"), m, nil); err == nil {
			t.Errorf("%q with bench %q was made", m.Shop, m.Bench)
		}
	}
}

func TestPassphrase(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "identity")
	if _, err := Make(dir, Making{Shop: "Heron Repair", Bench: "bench-1", Passphrase: []byte("solder wick")}, nil); err != nil {
		t.Fatal(err)
	}
	_, err := Open(dir, nil)
	wantCode(t, err, "X103")
	_, err = Open(dir, func(string) ([]byte, error) { return []byte("flux"), nil })
	wantCode(t, err, "X103")
	if _, err := Open(dir, func(string) ([]byte, error) { return []byte("solder wick"), nil }); err != nil {
		t.Error(err)
	}
	// The new key of the shop is locked as the old one was.
	if _, err := Change(dir, nil, morning, func(string) ([]byte, error) { return []byte("solder wick"), nil }); err != nil {
		t.Fatal(err)
	}
	_, err = Revoke(dir, Key{}, "", morning, nil)
	wantCode(t, err, "X103")
}

func TestVouchForFurtherBench(t *testing.T) {
	dir, first := heronRepair(t)
	other := filepath.Join(t.TempDir(), "identity")
	card, err := Request(other, Making{Bench: "bench-2"}, nil)
	if err != nil || !card.Waiting || card.Bench != "bench-2" {
		t.Fatal(card, err)
	}
	_, err = Open(other, nil)
	wantCode(t, err, "X106")
	request, err := os.ReadFile(filepath.Join(other, "bench.pub"))
	if err != nil {
		t.Fatal(err)
	}
	line, signer, err := Vouch(dir, request, nil)
	if err != nil || signer.Shop != first.Shop || signer.Key != card.Key {
		t.Fatal(signer, err)
	}
	if _, err := Accept(dir, line); err == nil {
		t.Error("the first bench has taken the certificate of the second")
	}
	if card, err = Accept(other, line); err != nil || card.Waiting || card.Root {
		t.Fatal(card, err)
	}
	second := opened(t, other)
	if second.Name != "Heron Repair" || second.Shop != first.Shop || second.Key == first.Key {
		t.Errorf("%+v beside %+v", second.Signer, first.Signer)
	}
	_, _, err = Vouch(other, request, nil)
	wantCode(t, err, "X107")
	if card, err := Look(dir); err != nil || len(card.Benches) != 2 || !card.Root {
		t.Errorf("%+v, %v", card, err)
	}
	third := filepath.Join(t.TempDir(), "identity")
	if _, err := Request(third, Making{Bench: "bench-2"}, nil); err != nil {
		t.Fatal(err)
	}
	request, _ = os.ReadFile(filepath.Join(third, "bench.pub"))
	_, _, err = Vouch(dir, request, nil)
	wantCode(t, err, "X106")
}

func TestChangeOfKey(t *testing.T) {
	dir, before := heronRepair(t)
	w, err := Change(dir, nil, morning, nil)
	if err != nil {
		t.Fatal(err)
	}
	after := opened(t, dir)
	if w.Key != before.Shop || w.To != after.Shop || before.Shop == after.Shop || before.Key != after.Key || len(after.Words) != 1 {
		t.Errorf("%+v: from %+v to %+v", w, before.Signer, after.Signer)
	}
	again, err := ParseWord(w.Text())
	if err != nil || again.To != w.To || !again.Time.Equal(morning) {
		t.Errorf("%+v, %v", again, err)
	}
	for name, change := range map[string]func(s string) string{
		"another time":       func(s string) string { return strings.Replace(s, "2026", "2027", 1) },
		"another shop":       func(s string) string { return strings.Replace(s, "Heron", "Herons", 1) },
		"one signature":      func(s string) string { return s[:strings.LastIndex(s, armour)] },
		"signatures swapped": swapped,
		"said twice":         func(s string) string { return strings.Replace(s, "shop ", "shop X\nshop ", 1) },
	} {
		if changed := change(string(w.Text())); changed == string(w.Text()) {
			t.Fatalf("%s: nothing was changed", name)
		} else if _, err := ParseWord([]byte(changed)); err == nil {
			t.Errorf("%s: was taken", name)
		}
	}
}

func swapped(s string) string {
	first, last := strings.Index(s, armour), strings.LastIndex(s, armour)
	return s[:first] + s[last:] + s[first:last]
}

// TestChangeIsTakenUpAgain cuts a change of key short after the new key was named.
func TestChangeIsTakenUpAgain(t *testing.T) {
	dir, before := heronRepair(t)
	cert, err := os.ReadFile(filepath.Join(dir, fileCert))
	if err != nil {
		t.Fatal(err)
	}
	first, err := Change(dir, nil, morning, nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, fileCert), cert, 0o644); err != nil {
		t.Fatal(err)
	}
	if half := opened(t, dir); half.Shop != before.Shop {
		t.Error("the old key is not in force")
	}
	second, err := Change(dir, nil, morning.Add(time.Hour), nil)
	if err != nil || !bytes.Equal(first.Text(), second.Text()) {
		t.Errorf("%v: the shop has two new keys", err)
	}
	if after := opened(t, dir); after.Shop != first.To || len(after.Words) != 1 {
		t.Error("the change did not come to an end")
	}
}

func TestRevoke(t *testing.T) {
	dir, i := heronRepair(t)
	w, err := Revoke(dir, i.Key, "the notebook is gone", morning, nil)
	if err != nil || w.By != i.Shop || w.Key != i.Key || w.Change() {
		t.Fatalf("%+v, %v", w, err)
	}
	_, err = Revoke(dir, Key{1}, "", morning, nil)
	wantCode(t, err, "X107")
	if card, err := Look(dir); err != nil || len(card.Words) != 1 || card.Words[0].Because != "the notebook is gone" {
		t.Errorf("%+v, %v", card, err)
	}
	if now := opened(t, dir); now.Key == i.Key || now.Shop != i.Shop || now.Bench != i.Bench {
		t.Errorf("the bench that has the shop's key has no new one: %+v", now.Signer)
	}
}

// TestRevokeCutShort puts back what a bench had before it got a new key: it cannot sign,
// and to revoke once more gives it one, and says nothing twice.
func TestRevokeCutShort(t *testing.T) {
	dir, i := heronRepair(t)
	was := map[string][]byte{}
	for _, name := range []string{fileBench, fileCert} {
		was[name], _ = os.ReadFile(filepath.Join(dir, name))
	}
	first, err := Revoke(dir, i.Key, "", morning, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, names := range [][]string{{fileBench, fileCert}, {fileCert}} {
		for _, name := range names {
			if err := writeNew(filepath.Join(dir, name), was[name], modeOf(name)); err != nil {
				t.Fatal(err)
			}
		}
		_, err = Open(dir, nil)
		wantCode(t, err, "X208")
		again, err := Revoke(dir, i.Key, "", morning.Add(time.Hour), nil)
		if err != nil || !bytes.Equal(again.Text(), first.Text()) {
			t.Errorf("it is said in two ways: %v", err)
		}
		if now := opened(t, dir); now.Key == i.Key || len(now.Words) != 1 {
			t.Errorf("%+v", now)
		}
	}
}

func TestExportAndRestore(t *testing.T) {
	dir, i := heronRepair(t)
	if _, err := Change(dir, nil, morning, nil); err != nil {
		t.Fatal(err)
	}
	var archive bytes.Buffer
	if err := Export(dir, &archive); err != nil {
		t.Fatal(err)
	}
	to := filepath.Join(t.TempDir(), "deep", "identity")
	card, err := Restore(to, bytes.NewReader(archive.Bytes()))
	if err != nil || card.Key != i.Key || !card.Root || len(card.Words) != 1 {
		t.Fatalf("%+v, %v", card, err)
	}
	message := []byte("the same")
	for _, dir := range []string{dir, to} {
		signature, err := sign(message, opened(t, dir).signer, BatchNamespace)
		if err != nil {
			t.Fatal(err)
		}
		if by, err := verify(message, signature, BatchNamespace); err != nil || by != card.Signer {
			t.Errorf("%v, %v", by, err)
		}
	}
	for _, n := range []int{0, 100, 600, archive.Len() / 2} {
		_, err := Restore(filepath.Join(t.TempDir(), "i"), bytes.NewReader(archive.Bytes()[:n]))
		wantCode(t, err, "X108")
	}
	_, err = Restore(to, bytes.NewReader(archive.Bytes()))
	wantCode(t, err, "X105")
	for _, name := range []string{"../bench", "/bench", "bench/../../x", "shop-..-..-..-..-....", "sh", ""} {
		var evil bytes.Buffer
		w := tar.NewWriter(&evil)
		if err := errors.Join(member(w, fileContents, 0o644, fmt.Appendf(nil, "%x  %s\n", sha256.Sum256(nil), name)), member(w, name, 0o644, nil), w.Close()); err != nil && name != "" {
			t.Fatal(err)
		}
		_, err := Restore(filepath.Join(t.TempDir(), "i"), &evil)
		wantCode(t, err, "X108")
	}
}
