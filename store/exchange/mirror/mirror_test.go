package mirror

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"netlore/store/exchange"
	"netlore/store/exchange/exchangetest"
	"netlore/store/sheet"
)

// TestNames gives folders to names of all sorts: none leads out of the folder, none
// is one that a system keeps for itself, and no two are one where letters of two
// sizes are the same.
func TestNames(t *testing.T) {
	seen := map[string]string{}
	for _, of := range []string{"board Heron-A rev 3", "board heron-a rev 3", "board HERON-A rev 3", "stack Heron-A rev 3", "board Heron A rev 3", "board Heron_A rev 3",
		`board "../../etc" rev 1`, "board .. rev 1", "board . rev 1", "board .git", "board CON", "board aux.lore", "board nul", "board COM1 rev 1", "board Größe", "board 盤", `board "a/b\\c:d*e?"`,
		"board " + strings.Repeat("x", 300), "board " + strings.Repeat("é", 300), `board "trailing. "`, "questions", "meters"} {
		name := subjectFolder(of)
		if other, taken := seen[strings.ToLower(name)]; taken {
			t.Errorf("%s and %s are both %s", of, other, name)
		}
		seen[strings.ToLower(name)] = of
		fit := strings.Trim(name, "abcdefghijklmnopqrstuvwxyz0123456789-") == "" && len(name) <= 60 && !strings.HasPrefix(name, "-") && filepath.IsLocal(name)
		reserved := slices.Contains(strings.Fields("con aux nul prn com1"), name)
		if !fit || reserved || path.Clean(name) != name {
			t.Errorf("%s: %q is no name for a folder", of, name)
		}
		if placeOf("shop/"+name+"/notes.lore") != aSheet {
			t.Errorf("a sheet in %q is not known as one", name)
		}
	}
	key := exchange.Key{1, 2, 3}
	if a, b := shopFolder("Heron Repair", key), shopFolder("../HERON repair", key); !strings.HasPrefix(a, "heron-repair-") || a != b || len(a) != len("heron-repair-")+14 {
		t.Errorf("%q, %q", a, b)
	}
	if shopFolder("盤", key) != keyEnd(key)[1:] {
		t.Errorf("%q", shopFolder("盤", key))
	}
}

// TestRoundTrip shares from one bench to another by a folder, in which a second run
// changes nothing.
func TestRoundTrip(t *testing.T) {
	heron, _ := shopOf(t, "Heron Repair")
	wren, _ := shopOf(t, "Wren Repair")
	dir := t.TempDir()
	heron.says("board Wren rev 1", "part C10 1uF", "part C2 1uF", "net VMAIN power\n  C2 1", "expect diode VMAIN 0.412V ±8% by LABEL", `note on C2 "often cracked" by LABEL`)
	w, _ := heron.mirror(dir)
	if w.Files != 6 || len(w.Added) != 6 {
		t.Errorf("%d files, %q", w.Files, w.Added)
	}
	before := files(t, dir)
	text, err := os.ReadFile(heron.sheetOf(dir, "structure"))
	if want := "netlore 1\nboard Wren rev 1\n\npart C2 1uF\npart C10 1uF\n\nnet VMAIN power\n  C2 1\n"; err != nil || string(text) != want {
		t.Errorf("%v\n%s", err, text)
	}
	for range 2 {
		if w, r := heron.mirror(dir); w.Files != 0 || len(r.Complaints()) != 0 {
			t.Errorf("written again: %d files, %v", w.Files, r.Complaints())
		}
	}
	wren.trust(heron.id)
	if _, r, taken := wren.read(dir); taken.New != 6 || len(r.Complaints()) != 0 || !strings.Contains(wren.holds(), "often cracked") {
		t.Errorf("%+v\n%v\n%s", taken, r.Complaints(), wren.holds())
	}
	if _, _, taken := wren.read(dir); taken.New != 0 || taken.Known != 6 || taken.Receipt != 0 {
		t.Errorf("taken again: %+v", taken)
	}
	wren.says("part C3 1uF")
	wren.mirror(dir)
	for name, text := range before {
		if files(t, dir)[name] != text {
			t.Errorf("another shop has changed %s", name)
		}
	}
	heron.said = map[string]bool{"board Wren rev 1\n": true}
	if w, _ := heron.mirror(dir); len(w.Removed) != 5 {
		t.Errorf("withdrawn: %q", w.Removed)
	}
	if _, err := os.Stat(heron.sheetOf(dir, "notes")); !os.IsNotExist(err) {
		t.Errorf("a sheet with nothing in it stays: %v", err)
	}
	if wren.read(dir); strings.Contains(wren.holds(), "often cracked") {
		t.Errorf("what was withdrawn counts:\n%s", wren.holds())
	}
}

// TestStatementsStayApart writes two statements of one shop on one thing: neither is
// changed, or its hash would be gone.
func TestStatementsStayApart(t *testing.T) {
	texts := map[string]bool{"part C1 22uF\n": true, "part C1 10uF\n": true, "net A\n  C5 1\n": true, "net A\n  C6 1\n": true, "part C1\n": true}
	want := "netlore 1\nboard Wren rev 1\n\npart C1\npart C1 10uF\npart C1 22uF\n\nnet A\n  C5 1\nnet A\n  C6 1\n"
	if got := string(arranged(about.Of, texts)); got != want {
		t.Errorf("%s", got)
	}
	// Of what does not contradict itself, it is the canonical text.
	file, _ := sheet.Parse("", arranged(about.Of, map[string]bool{"part C10 1uF\n": true, "part C2 1uF\n": true, "note on C2 \"x\"\n": true, "board Wren rev 1 \"title\"\n": true}))
	if got := string(file.Canonical()); got != string(arranged(about.Of, map[string]bool{"part C10 1uF\n": true, "part C2 1uF\n": true, "note on C2 \"x\"\n": true, "board Wren rev 1 \"title\"\n": true})) {
		t.Errorf("%s", got)
	}
}

func TestSides(t *testing.T) {
	for name, c := range map[string]struct {
		text, ours, theirs string
		lines              []int
	}{
		"none":           {"a\nb\n", "a\nb\n", "a\nb\n", nil},
		"one":            {"a\n<<<<<<< HEAD\nb\n=======\nc\n>>>>>>> other\nd\n", "a\nb\nd\n", "a\nc\nd\n", []int{2}},
		"with the base":  {"<<<<<<< HEAD\nb\n||||||| 1234\nx\n=======\nc\n>>>>>>> other\n", "b\n", "c\n", []int{1}},
		"two":            {"<<<<<<< a\nb\n=======\n>>>>>>> c\nm\n<<<<<<< a\n=======\nn\n>>>>>>> c\n", "b\nm\n", "m\nn\n", []int{1, 6}},
		"never ended":    {"a\n<<<<<<< HEAD\nb\n=======\nc\n", "a\nb\n", "a\nc\n", []int{2}},
		"a longer line":  {"a\n<<<<<<<< no\n", "a\n<<<<<<<< no\n", "a\n<<<<<<<< no\n", nil},
		"a stray middle": {"<<<<<<< a\nb\n>>>>>>> c\n=======\nd\n", "b\n>>>>>>> c\n", "d\n", []int{1}},
	} {
		ours, theirs, cuts := sides(c.text)
		var lines []int
		for _, cut := range cuts {
			lines = append(lines, cut.line)
		}
		if ours.text != c.ours || theirs.text != c.theirs || !slices.Equal(lines, c.lines) {
			t.Errorf("%s: %q, %q, %v", name, ours.text, theirs.text, lines)
		}
	}
}

// TestShopMayChangeItsName goes on in the folder that is there.
func TestShopMayChangeItsName(t *testing.T) {
	heron, _ := shopOf(t, "Heron Repair")
	heron.says("board Wren rev 1", "part C1 10uF")
	dir := t.TempDir()
	heron.mirror(dir)
	if err := os.Rename(filepath.Join(dir, shopFolder("Heron Repair", heron.id.Shop)), filepath.Join(dir, shopFolder("Heron Labs", heron.id.Shop))); err != nil {
		t.Fatal(err)
	}
	if w, _ := heron.mirror(dir); w.Files != 0 {
		t.Errorf("%d files written beside those that are there", w.Files)
	}
}

// TestRevokedKey takes from a folder what a bench has signed whose key was revoked:
// nothing, unless it came in before; and what is held already is no news.
func TestRevokedKey(t *testing.T) {
	heron, identity := shopOf(t, "Heron Repair")
	second := further(t, identity)
	second.says("board Wren rev 1", "part C1 10uF")
	dir := t.TempDir()
	second.mirror(dir)
	early, _ := shopOf(t, "Early Repair")
	early.trust(heron.id)
	early.read(dir)
	if _, err := exchange.Revoke(identity, second.id.Key, "stolen", noon, nil); err != nil {
		t.Fatal(err)
	}
	heron.id = exchangetest.Open(t, identity)
	heron.mirror(dir)
	late, _ := shopOf(t, "Late Repair")
	late.trust(heron.id)
	if _, _, taken := late.read(dir); taken.New != 0 || len(taken.Refused) != 1 || len(taken.Said) != 1 {
		t.Errorf("%+v", taken)
	}
	if _, _, taken := early.read(dir); len(taken.Refused) != 0 || len(taken.Said) != 1 || !strings.Contains(early.holds(), "part C1") {
		t.Errorf("%+v\n%s", taken, early.holds())
	}
	if _, _, taken := late.read(dir); taken.Receipt != 0 || len(taken.Refused) != 1 {
		t.Errorf("a second look: %+v", taken)
	}
}

// TestAnyOrder lets five benches of four shops say and unsay statements, and bring
// themselves in step with three copies of a folder, in random orders, while the
// copies are put together as git does, file by file. In the end all hold the same.
func TestAnyOrder(t *testing.T) {
	seeds := uint64(5)
	if testing.Short() {
		seeds = 2
	}
	for seed := range seeds {
		rng := rand.New(rand.NewPCG(seed, 5))
		var benches []*bench
		for n := range 4 {
			b, identity := shopOf(t, fmt.Sprintf("Shop %d", n))
			benches = append(benches, b)
			if n == 0 {
				benches = append(benches, further(t, identity))
			}
		}
		copies := []string{t.TempDir(), t.TempDir(), t.TempDir()}
		for n, b := range benches {
			for m, other := range benches {
				if n != m {
					b.trust(other.id)
				}
			}
			b.says("board Wren rev 1")
		}
		for range 30 {
			b := benches[rng.IntN(len(benches))]
			text := fmt.Sprintf("part C%d %duF", rng.IntN(5), 1+rng.IntN(2))
			if rng.IntN(3) == 0 {
				text = fmt.Sprintf(`note on C%d "%d" by LABEL`, rng.IntN(5), rng.IntN(3))
			}
			if b.says(text); rng.IntN(3) == 0 {
				delete(b.said, text+"\n")
			}
			b.mirror(copies[rng.IntN(len(copies))])
			if rng.IntN(3) == 0 {
				together(t, copies[rng.IntN(3)], copies[rng.IntN(3)])
			}
		}
		for range 3 { // a withdrawal may make another bench of the shop say it again
			for _, n := range rng.Perm(len(benches)) {
				together(t, copies[0], copies[rng.IntN(3)])
				together(t, copies[rng.IntN(3)], copies[0])
				benches[n].mirror(copies[0])
			}
			for n := range copies {
				together(t, copies[0], copies[n])
			}
		}
		for _, b := range benches { // what was left in conflict last is settled
			b.mirror(copies[0])
		}
		want, text := benches[0].shares(), files(t, copies[0])
		for n, b := range benches {
			if w, r := b.mirror(copies[0]); w.Files != 0 || len(r.Complaints()) != 0 {
				t.Errorf("seed %d: bench %d is not in step: %d files, %v", seed, n, w.Files, r.Complaints())
			}
			if d := cmp.Diff(want, b.shares()); d != "" {
				t.Errorf("seed %d: bench %d holds something else: %s", seed, n, d)
			}
		}
		if d := cmp.Diff(text, files(t, copies[0])); d != "" {
			t.Errorf("seed %d: the folder is another one now: %s", seed, d)
		}
		// Whoever comes late, by whatever way, holds the same, and the same counts.
		var first string
		for n := range 2 {
			late, _ := shopOf(t, "Late Repair")
			for _, m := range rng.Perm(len(benches)) {
				late.trust(benches[m].id)
			}
			late.read(copies[1+n])
			late.read(copies[0])
			if d := cmp.Diff(want, late.shares()); d != "" {
				t.Errorf("seed %d: who comes late holds something else: %s", seed, d)
			}
			if first == "" {
				first = late.holds()
			}
			if late.holds() != first {
				t.Errorf("seed %d: what counts depends on the way it came", seed)
			}
		}
	}
}

// together puts one copy of a folder into another: new files as they are, and a
// sheet that both have in two versions as git leaves it, in conflict as a whole. Like
// git it wants conflicts settled before it makes new ones.
func together(t testing.TB, to, from string) {
	t.Helper()
	there, other := files(t, to), files(t, from)
	for _, text := range slices.Concat(slices.Collect(maps.Values(there)), slices.Collect(maps.Values(other))) {
		if strings.Contains(text, "<<<<<<<") {
			return
		}
	}
	for name, text := range other {
		was, known := there[name]
		if known && was != text && placeOf(name) == aSheet {
			rest, _ := strings.CutPrefix(was, sheetHead)
			other, _ := strings.CutPrefix(text, sheetHead)
			text = sheetHead + "<<<<<<< ours\n" + rest + "=======\n" + other + ">>>>>>> theirs\n"
		}
		put(t, filepath.Join(to, name), text)
	}
}

// TestUnchanged tells a folder that nobody has touched from one that somebody has.
func TestUnchanged(t *testing.T) {
	heron, _ := shopOf(t, "Heron Repair")
	heron.says("board Wren rev 1", "part C1 10uF")
	dir := t.TempDir()
	w, _ := heron.mirror(dir)
	l, alone, err := w.After()
	if err != nil || !alone {
		t.Fatal(alone, err)
	}
	s := State{Files: l.Files, At: time.Now().Add(time.Minute)}
	again := func() bool {
		l, err := w.folder.List(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		return s.Unchanged(l)
	}
	if !again() {
		t.Error("nobody has touched it")
	}
	fresh := s
	if fresh.At = time.Now(); fresh.Unchanged(l) {
		t.Error("a file that was just written is trusted")
	}
	put(t, filepath.Join(dir, "README.md"), "what this is\n")
	put(t, filepath.Join(dir, ".git", "index.lore"), "x")
	if !again() {
		t.Error("what is none of the mirror's was looked at")
	}
	name := heron.sheetOf(dir, "structure")
	text, _ := os.ReadFile(name)
	put(t, name, strings.Replace(string(text), "10uF", "22uF", 1)) // of the same size
	if again() {
		t.Error("a change of the same size is not seen")
	}
	file := filepath.Join(t.TempDir(), "state")
	if err := s.Save(file); err != nil {
		t.Fatal(err)
	}
	if got := LoadState(file); !maps.Equal(got.Files, s.Files) || !got.At.Equal(s.At) {
		t.Errorf("%+v", got)
	}
	put(t, file, "{")
	if got := LoadState(file); got.Files != nil {
		t.Errorf("of a damaged file: %+v", got)
	}
}
