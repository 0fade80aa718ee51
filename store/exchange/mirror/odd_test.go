package mirror

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

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
		"manifest of dos":    {".manifest", func(s string) string { return strings.ReplaceAll(s, "\n", "\r\n") }, "", 5, ""},
		"signature of dos":   {".sig", func(s string) string { return strings.ReplaceAll(s, "\n", "\r\n") }, "", 5, ""},
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

// TestTooManyBatches gives one board more licences and origins than any shop has: each
// statement would be looked for under all of them.
func TestTooManyBatches(t *testing.T) {
	heron, _ := shopOf(t, "Heron Repair")
	dir := t.TempDir()
	heron.says("board Wren rev 1", "part C1 10uF")
	heron.mirror(dir)
	for n := range mostAbouts + 5 {
		about := about
		about.Origin = fmt.Sprint("origin ", n)
		batches, err := heron.id.Batches(about, []string{"part C2 1uF\n"}, nil, noon)
		if err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(filepath.Dir(heron.sheetOf(dir, "structure")), dirSigned, batchName(batches[0].Hash()))
		put(t, name+endManifest, string(batches[0].Signed))
		put(t, name+endSignature, string(batches[0].Signature))
	}
	wren, _ := shopOf(t, "Wren Repair")
	_, r, _ := wren.read(dir)
	told := 0
	for _, d := range r.Complaints() {
		if d.Code == "X307" {
			told++
		}
	}
	if told != 6 {
		t.Errorf("%d batches are too many, want 6: %s", told, codes(r.Complaints()))
	}
}
