package lsp_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"golang.org/x/tools/txtar"
)

// The model is what the specification says of texts, done the slow way: on
// lines of UTF-16 units.

type wireEdit struct {
	Range   span
	NewText string
}

// units is a text in UTF-16, with where its lines start (section Text
// Documents: \n, \r\n and \r end a line).
func units(text string) (all []uint16, starts []int) {
	all = utf16.Encode([]rune(text))
	starts = []int{0}
	for i, u := range all {
		if u == '\n' || u == '\r' && !(i+1 < len(all) && all[i+1] == '\n') {
			starts = append(starts, i+1)
		}
	}
	return all, starts
}

// unitAt is the unit at a place (section Position: what is beyond the line is
// its end).
func unitAt(all []uint16, starts []int, s spot) int {
	if s.Line >= len(starts) {
		return len(all)
	}
	end := len(all)
	if s.Line+1 < len(starts) {
		end = starts[s.Line+1]
		for end > starts[s.Line] && (all[end-1] == '\n' || all[end-1] == '\r') {
			end--
		}
	}
	return min(starts[s.Line]+s.Character, end)
}

// applied makes edits, all of which are about the text as it is (section
// TextEdit[]).
func applied(text string, edits []wireEdit) string {
	all, starts := units(text)
	type cut struct {
		from, to int
		text     string
	}
	var cuts []cut
	for _, e := range edits {
		cuts = append(cuts, cut{unitAt(all, starts, e.Range.Start), unitAt(all, starts, e.Range.End), e.NewText})
	}
	slices.SortStableFunc(cuts, func(a, b cut) int { return b.from - a.from })
	for _, c := range cuts {
		all = slices.Concat(all[:c.from], utf16.Encode([]rune(c.text)), all[c.to:])
	}
	return string(utf16.Decode(all))
}

// suite is the texts of all sheets in the test data that are UTF-8, and the
// demonstration boards.
func suite(t testing.TB) (texts []string) {
	t.Helper()
	err := filepath.WalkDir("../../../testdata/sheet", func(path string, e fs.DirEntry, err error) error {
		if err != nil || filepath.Ext(path) != ".txtar" {
			return err
		}
		archive, err := txtar.ParseFile(path)
		if err != nil {
			return err
		}
		for _, f := range archive.Files {
			if strings.HasSuffix(f.Name, ".lore") && len(f.Data) < 1<<20 && strings.ToValidUTF8(string(f.Data), "") == string(f.Data) {
				texts = append(texts, string(f.Data))
			}
		}
		return nil
	})
	if err != nil || len(texts) < 100 {
		t.Fatal(err, len(texts))
	}
	return texts
}

// heron reads a sheet of the demonstration boards.
func heron(t testing.TB, name string) string {
	t.Helper()
	text, err := os.ReadFile("../../../testdata/heron/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func rune16(u []uint16) []rune { return utf16.Decode(u) }

// folder writes files and returns their URIs.
func folder(t *testing.T, files map[string]string) func(name string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return func(name string) string { return "file://" + filepath.ToSlash(filepath.Join(dir, name)) }
}
