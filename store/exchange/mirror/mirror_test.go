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
		if ours != c.ours || theirs != c.theirs || !slices.Equal(lines, c.lines) {
			t.Errorf("%s: %q, %q, %v", name, ours, theirs, lines)
		}
	}
}

// TestOddFolders damages a folder in every way that comes to mind. Each is told with
// its place, and what else is there is taken.
func TestOddFolders(t *testing.T) {
	heron, _ := shopOf(t, "Heron Repair")
	heron.says("board Wren rev 1", "part C1 10uF", "part C2 1uF", "net VMAIN power\n  C2 1", `note on C2 "often cracked" by LABEL`)
	whole := t.TempDir()
	heron.mirror(whole)
	there := files(t, whole)
	edit := func(old, new string) func(string) string {
		return func(text string) string {
			if !strings.Contains(text, old) {
				t.Fatalf("no %q in\n%s", old, text)
			}
			return strings.Replace(text, old, new, 1)
		}
	}
	for name, c := range map[string]struct {
		file   string // which is changed, by its ending
		change func(string) string
		want   string // codes, those to one who knows nothing yet
		taken  int    // of 5
		known  string // codes to one who has all of it already, if they are others
	}{
		"as it is":           {"structure.lore", edit("part", "part"), "", 5, ""},
		"line ends of dos":   {"structure.lore", func(s string) string { return strings.ReplaceAll(s, "\n", "\r\n") }, "", 5, ""},
		"no last line end":   {"structure.lore", func(s string) string { return strings.TrimSuffix(s, "\n") }, "", 5, ""},
		"edited":             {"structure.lore", edit("C1 10uF", "C1 22uF"), "X302 X308", 4, "X303"},
		"edited member":      {"structure.lore", edit("C2 1\n", "C2 2\n"), "X302 X308", 4, "X303"},
		"added":              {"structure.lore", edit("part C2", "part C9 1uF\npart C2"), "X302", 5, ""},
		"removed":            {"structure.lore", edit("part C2 1uF\n", ""), "X308", 4, ""},
		"a comment":          {"structure.lore", edit("part C2", "# seen\npart C2"), "", 5, ""},
		"nonsense":           {"structure.lore", edit("part C2", "prat C2"), "S113 X308", 4, "S113 X308"},
		"cut":                {"structure.lore", func(s string) string { return s[:len(s)-8] }, "X304 X308", 4, ""},
		"empty":              {"structure.lore", func(string) string { return "" }, "X304 X308", 2, ""},
		"no sheet":           {"structure.lore", func(string) string { return "hello\n" }, "X304 X308", 2, ""},
		"bytes":              {"structure.lore", func(string) string { return "netlore 1\n\x00\xff\xfe\n" }, "X302 X308", 2, ""},
		"conflict":           {"structure.lore", edit("part C2 1uF\n", "<<<<<<< HEAD\npart C2 1uF\n=======\n>>>>>>> theirs\n"), "X301", 5, ""},
		"conflict, added":    {"structure.lore", edit("part C2 1uF\n", "<<<<<<< HEAD\npart C2 1uF\n=======\npart C7 1uF\n>>>>>>> theirs\n"), "X301 X302", 5, ""},
		"no signature":       {".sig", nil, "X302 X305", 0, ""},
		"no manifest":        {".manifest", nil, "X302 X305", 0, ""},
		"a changed manifest": {".manifest", edit("licence CC0-1.0", "licence CC-BY-4.0"), "X204 X302", 0, ""},
		"a bad manifest":     {".manifest", edit("netlore batch 1", "netlore batch 2"), "X203 X302", 0, ""},
		"a bad signature":    {".sig", edit("U1NIU0lH", "U1NIU0lI"), "X204 X302", 0, ""},
		"a large manifest":   {".manifest", func(s string) string { return s + strings.Repeat("x", mostManifest) }, "X302 X307", 0, ""},
	} {
		dir := t.TempDir()
		for file, text := range there {
			if strings.HasSuffix(file, c.file) {
				if c.change == nil {
					continue
				}
				text = c.change(text)
			}
			put(t, filepath.Join(dir, file), text)
		}
		wren, _ := shopOf(t, "Wren Repair")
		_, r, taken := wren.read(dir)
		if got := codes(r.Complaints()); taken.New != c.taken || c.want != got {
			t.Errorf("%s: %s, want %s; %d taken, want %d", name, got, c.want, taken.New, c.taken)
		}
		for _, d := range r.Complaints() {
			if _, known := Explain(d.Code); d.File == "" || d.Message == "" || known && len(d.Help) == 0 && !slices.Contains([]string{"X301", "X307", "X308"}, d.Code) {
				t.Errorf("%s: no place or no help: %v", name, d)
			}
		}
		if c.known == "" {
			continue
		}
		wren.read(whole)
		if _, r, _ = wren.read(dir); codes(r.Complaints()) != c.known {
			t.Errorf("%s, to one who has all: %s, want %s", name, codes(r.Complaints()), c.known)
		}
	}
}

func put(t testing.TB, name, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestOwnSheetsAreKept looks at what becomes of own sheets that somebody has changed:
// what was written by hand is never lost, and what was lost is written anew.
func TestOwnSheetsAreKept(t *testing.T) {
	heron, _ := shopOf(t, "Heron Repair")
	heron.says("board Wren rev 1", "part C1 10uF", "part C2 1uF")
	dir := t.TempDir()
	heron.mirror(dir)
	name := heron.sheetOf(dir, "structure")
	was := files(t, dir)
	read := func() string {
		text, _ := os.ReadFile(name)
		return string(text)
	}
	whole := read()
	for what, c := range map[string]struct {
		text, want string
		codes      string
	}{
		"removed":      {"", whole, ""},
		"a line gone":  {strings.Replace(whole, "part C1 10uF\n", "", 1), whole, ""},
		"cut":          {whole[:len(whole)-4], whole, "X304"},
		"edited":       {strings.Replace(whole, "10uF", "22uF", 1), "", "X303 X309"},
		"a comment":    {whole + "# to be looked at\n", "", "X309"},
		"conflict":     {strings.Replace(whole, "part C2", "<<<<<<< a\n=======\n>>>>>>> b\npart C2", 1), whole, "X301"},
		"no sheet":     {"hello\n", "", "X304 X309"},
		"out of order": {strings.Replace(whole, "part C1 10uF\npart C2 1uF\n", "part C2 1uF\npart C1 10uF\n", 1), whole, ""},
	} {
		if c.want == "" {
			c.want = c.text
		}
		if c.text == "" {
			os.Remove(name)
		} else {
			put(t, name, c.text)
		}
		_, r := heron.mirror(dir)
		if read() != c.want {
			t.Errorf("%s: the sheet says\n%s", what, read())
		}
		if got := codes(r.Complaints()); got != c.codes {
			t.Errorf("%s: %s, want %s", what, got, c.codes)
		}
		put(t, name, whole)
	}
	// What was written by hand, and then taken into the base, is signed in its place.
	put(t, name, strings.Replace(whole, "10uF", "22uF", 1))
	delete(heron.said, "part C1 10uF\n")
	heron.says("part C1 22uF")
	if _, r := heron.mirror(dir); len(r.Complaints()) != 0 {
		t.Errorf("it is signed, and told to be not: %v", r.Complaints())
	}
	if want := strings.Replace(whole, "10uF", "22uF", 1); read() != want {
		t.Errorf("%s", read())
	}
	// A damaged signature of the shop's own is mended.
	for file := range was {
		if strings.HasSuffix(file, endSignature) {
			put(t, filepath.Join(dir, file), "nothing")
		}
	}
	heron.mirror(dir)
	if _, r := heron.mirror(dir); len(r.Complaints()) != 0 {
		t.Errorf("%v", r.Complaints())
	}
}

// TestLinks puts links into a folder: none is followed, to read or to write.
func TestLinks(t *testing.T) {
	heron, _ := shopOf(t, "Heron Repair")
	heron.says("board Wren rev 1", "part C1 10uF")
	whole, outside := t.TempDir(), t.TempDir()
	heron.mirror(whole)
	put(t, filepath.Join(outside, "secret.lore"), "netlore 1\nboard Wren rev 1\npart SECRET\n")
	dir := t.TempDir()
	shop := shopFolder(heron.id.Name, heron.id.Shop)
	for name, to := range map[string]string{shop: outside, "other": filepath.Join(whole, shop), "x.lore": filepath.Join(outside, "secret.lore")} {
		if err := os.Symlink(to, filepath.Join(dir, name)); err != nil {
			t.Skip("no links on this system")
		}
	}
	wren, _ := shopOf(t, "Wren Repair")
	if _, r, taken := wren.read(dir); taken.New != 0 || codes(r.Complaints()) != "X306" || len(r.Complaints()) != 3 {
		t.Errorf("%+v, %v", taken, r.Complaints())
	}
	f, r, _ := heron.read(dir)
	if err := f.Write(t.Context(), r, Writing{Identity: heron.id}).Shop(); err == nil || !strings.Contains(err.Error(), "is no folder") {
		t.Errorf("written through a link: %v", err)
	}
	if got := files(t, outside); len(got) != 1 {
		t.Errorf("outside there is %v", slices.Collect(maps.Keys(got)))
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
	heron.id = benchOf(t, identity).id
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
