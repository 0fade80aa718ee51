package store

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"netlore/store/board"
	"netlore/store/sheet"
)

var noon = time.Date(2026, 3, 16, 12, 0, 0, 0, time.UTC)

func fixed() time.Time { return noon }

var (
	heronA = board.Ref{Name: "Heron-A", Revision: "3"}
	heronB = board.Ref{Name: "Heron-B", Revision: "2"}
)

// heron are the additions that make the demonstration scenario.
func heron(t testing.TB) []Addition {
	t.Helper()
	return []Addition{
		{Subject: BoardSubject(heronA), Files: heronSheets(t, "heron-a.lore", "heron-a-readings.lore"), Author: "bench-1"},
		{Subject: BoardSubject(heronB), Files: heronSheets(t, "heron-b.lore", "heron-b-readings.lore"), Author: "bench-1"},
		{Subject: StackSubject("Heron"), Files: heronSheets(t, "heron.lore"), Author: "bench-1"},
	}
}

func heronSheets(t testing.TB, names ...string) []*sheet.File {
	t.Helper()
	var files []*sheet.File
	for _, name := range names {
		text, err := os.ReadFile(filepath.Join("..", "testdata", "heron", name))
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, parse(t, name, string(text)))
	}
	return files
}

func parse(t testing.TB, name, text string) *sheet.File {
	t.Helper()
	file, list := sheet.Parse(name, []byte(text))
	if err := list.Err(); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return file
}

func open(t testing.TB, dir string, opt Options) *Base {
	t.Helper()
	opt.Now = fixed
	b, err := Open(context.Background(), dir, opt)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	return b
}

func TestHeronOnDisk(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "base")
	b := open(t, dir, Options{})
	results, err := b.Add(t.Context(), heron(t)...)
	if err != nil {
		t.Fatal(err)
	}
	t.Log(results)
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	r := open(t, dir, Options{ReadOnly: true})
	cat, err := r.Catalogue(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%+v", cat.Boards)
	if len(cat.Boards) != 2 || len(cat.Stacks) != 1 || len(cat.Stacks[0].Joins) != 132 {
		t.Errorf("the catalogue lists %d boards, %d stacks", len(cat.Boards), len(cat.Stacks))
	}
	hb, err := r.Board(t.Context(), heronB)
	if err != nil {
		t.Fatal(err)
	}
	if len(hb.Parts) != 351 || len(hb.Branches) != 4 {
		t.Errorf("Heron-B has %d parts, %d branches", len(hb.Parts), len(hb.Branches))
	}
	c, err := r.Verify(t.Context(), nil)
	if err != nil {
		t.Error(err)
	}
	t.Log(c)
}
