package store

import (
	"strings"
	"testing"
	"unicode"

	"netlore/store/board"
)

// TestRowsOfAnotherViewAreNotBelieved: what an addition that was cut short has
// written, or one of the names that are gone, makes the board itself be read.
func TestRowsOfAnotherViewAreNotBelieved(t *testing.T) {
	b := heronInMemory(t)
	around := func() map[board.Ref]*board.Board {
		found, err := b.Around(t.Context(), []string{"vm"}, func(name string) bool { return name == "VMAIN" })
		if err != nil {
			t.Fatal(err)
		}
		read := map[board.Ref]*board.Board{}
		for ref, excerpt := range found {
			err := excerpt(func(b *board.Board) {
				if read[ref] = b; b != nil {
					shown := *b // which is there during the call only
					read[ref] = &shown
				}
			})
			if err != nil {
				t.Fatal(err)
			}
		}
		return read
	}
	if found := around(); len(found) != 2 || found[heronA] == nil || found[heronA].FindNet("VMAIN") == board.None {
		t.Fatalf("found %v", found)
	}
	rec := b.recordOf(t, heronA)
	key := netKey("VMAIN", rec.ID)
	b.tamper(t, key, func(row []byte) []byte { row[7]++; return row })
	if excerpt, hit := around()[heronA]; !hit || excerpt != nil {
		t.Errorf("a row of another view: found %v, %v", excerpt, hit)
	}
	b.tamper(t, key, func(row []byte) []byte {
		row[7]--
		return append(row[:8:8], sealed(append([]byte{snapshotVersion + 1}, row[9:len(row)-4]...))...)
	})
	if excerpt, hit := around()[heronA]; !hit || excerpt != nil {
		t.Errorf("a row of another version: found %v, %v", excerpt, hit)
	}
	b.tamper(t, BoardSubject(heronA).key(), func(record []byte) []byte { record[0] = 0; return record })
	found, err := b.Around(t.Context(), []string{"NOSUCH"}, func(string) bool { return true })
	if _, hit := found[heronA]; err != nil || len(found) != 1 || !hit {
		t.Errorf("a board without rows: found %v, %v", found, err)
	}
}

// TestFoldedIsCoarser: letters that either way of comparing without regard to
// case takes for the same must be the same in the index.
func TestFoldedIsCoarser(t *testing.T) {
	for r := rune(0); r <= unicode.MaxRune; r++ {
		if folded(r) != folded(unicode.ToLower(r)) || folded(r) != folded(unicode.SimpleFold(r)) {
			t.Errorf("%U, lower %U, next %U: %U, %U, %U", r, unicode.ToLower(r), unicode.SimpleFold(r),
				folded(r), folded(unicode.ToLower(r)), folded(unicode.SimpleFold(r)))
		}
	}
	if a, b := strings.Map(folded, "vBaT_ſΩK"), strings.Map(folded, "VbAt_SωK"); a != b {
		t.Errorf("%q is not %q", a, b)
	}
}
