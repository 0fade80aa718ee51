package mirror

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"netlore/query/diag"
)

// TestHostileFolder reads folders that somebody has filled to make the reader run out of
// memory or time. What it allocates is bounded by a small multiple of what it reads, and
// what it keeps by little. A way of looking at lines that takes the square of their
// number would not come to an end here.
func TestHostileFolder(t *testing.T) {
	heron, _ := shopOf(t, "Heron Repair")
	heron.says("board Wren rev 1", "part C1 10uF", "part C2 1uF")
	own := Reading{Now: noon, Ours: heron.id.Keys()}
	foreign := Reading{Now: noon}
	conflict := "<<<<<<< a\npart C1 22uF\n=======\npart C1 33uF\n>>>>>>> b\n"
	for name, c := range map[string]struct {
		sheet  string // that takes the place of the sheet of each board
		boards int
		opt    Reading
		code   string
	}{
		"a sheet that nobody has signed":               {strings.Repeat("part C9 1uF\n", 3<<20), 1, foreign, "X307"},
		"an own sheet that nobody has signed":          {strings.Repeat("part C9 1uF\n", 2<<20), 1, own, "X302"},
		"conflicts everywhere":                         {strings.Repeat(conflict, 1<<14), 1, foreign, "X301"},
		"conflicts everywhere in an own sheet":         {strings.Repeat(conflict, 1<<18), 1, own, "X301"},
		"one conflict round a long own sheet":          {"<<<<<<< a\n" + strings.Repeat("prat C9 1uF\n", 2<<20) + "=======\n>>>>>>> b\n", 1, own, "X302"},
		"one line":                                     {"note on C1 \"" + strings.Repeat("x", 16<<20) + "\"\n", 1, own, "X302"},
		"one statement":                                {"net VMAIN power\n" + strings.Repeat("  C1 1\n", 2<<20), 1, own, "X302"},
		"blanks and nothing else":                      {strings.Repeat(" \n", 8<<20), 1, own, "X302"},
		"empty lines and nothing else":                 {strings.Repeat("\n", 16<<20), 1, own, ""},
		"many boards, each with much that is no one's": {strings.Repeat("part C9 1uF\n", 1<<16), 100, foreign, "X302"},
	} {
		t.Run(name, func(t *testing.T) {
			if raced {
				t.Skip("the memory of the race detector cannot be told from ours; the tests without it measure")
			}
			dir := t.TempDir()
			heron.mirror(dir)
			first := heron.sheetOf(dir, "structure")
			size := int64(len(c.sheet)) * int64(c.boards)
			for n := range c.boards {
				sheet := first
				if n > 0 {
					sheet = filepath.Join(filepath.Dir(first)+fmt.Sprint(n), filepath.Base(first))
				}
				put(t, sheet, sheetHead+c.sheet)
			}
			var before, after, kept runtime.MemStats
			runtime.GC()
			runtime.ReadMemStats(&before)
			r := readAll(t, dir, c.opt)
			told := r.Complaints()
			runtime.ReadMemStats(&after)
			runtime.GC()
			runtime.ReadMemStats(&kept)
			if spent, most := after.TotalAlloc-before.TotalAlloc, 12*uint64(size)+16<<20; spent > most {
				t.Errorf("%d MB allocated for a folder of %d MB, want %d at most", spent>>20, size>>20, most>>20)
			}
			if held := int64(kept.HeapAlloc) - int64(before.HeapAlloc); held > 8<<20 {
				t.Errorf("%d MB are kept of it", held>>20)
			}
			if len(told) > mostOdd+1 || !strings.Contains(codes(told), c.code) {
				t.Errorf("%d complaints, %.100s, want %s among them", len(told), codes(told), c.code)
			}
			runtime.KeepAlive(r)
		})
	}
}

// readAll reads a folder to its end.
func readAll(t *testing.T, dir string, opt Reading) *Reader {
	t.Helper()
	folder, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer folder.Close()
	l, err := folder.List(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	r := folder.Read(t.Context(), l, opt)
	for {
		if _, err := r.Next(); errors.Is(err, io.EOF) {
			return r
		} else if err != nil {
			t.Fatal(err)
		}
	}
}

// TestComplaintsAreBounded fills a folder with links and stray sheets: the first thousand
// are told, and how many there are.
func TestComplaintsAreBounded(t *testing.T) {
	dir := t.TempDir()
	for n := range mostOdd + 200 {
		put(t, filepath.Join(dir, fmt.Sprint(n, ".lore")), sheetHead)
	}
	if err := os.Symlink("0.lore", filepath.Join(dir, "link.lore")); err != nil {
		t.Skip(err)
	}
	told := readAll(t, dir, Reading{Now: noon}).Complaints()
	if last := told[len(told)-1]; len(told) != mostOdd+1 || last.Code != "X307" || !strings.HasPrefix(last.Message, "201 more") {
		t.Errorf("%d complaints, the last: %v", len(told), last)
	}
}

// TestNamesAreQuoted: what a complaint says to type can be typed as it stands, whatever
// somebody has called a sheet or a folder.
func TestNamesAreQuoted(t *testing.T) {
	dir := t.TempDir()
	name := "$(reboot);'x.lore"
	put(t, filepath.Join(dir, name), sheetHead)
	told := readAll(t, dir, Reading{Now: noon}).Complaints()
	want := "netlore add " + diag.ShellQuote(filepath.ToSlash(dir)+"/"+name) + " takes it"
	if len(told) != 1 || !strings.HasPrefix(told[0].Help[0], want) {
		t.Errorf("%+v, want %s", told, want)
	}
}
