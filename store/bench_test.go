package store

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"netlore/store/board"
	"netlore/store/sheet"
)

var large = board.Ref{Name: "Large", Revision: "1"}

// largeSheet is a board as a real one of ten thousand pins is made up: two
// thousand passives with their places, eighty chips of seventy-five pins each
// with the places of the pins, and six hundred nets.
func largeSheet() string {
	const passives, chips, balls, nets = 2000, 80, 75, 600
	var parts strings.Builder
	pins := make([]strings.Builder, nets)
	for i := range passives {
		fmt.Fprintf(&parts, "part C%d %dnF 0402 top at %d.%02d,%d.%02d\n", 1000+i, 10*(1+i%9), i%90, i%100, i/30, i*7%100)
		for pin := range 2 {
			fmt.Fprintf(&parts, "  %d top at %d.%02d,%d.%02d 0.5x0.6mm\n", pin+1, i%90+pin, (i*3+45)%100, i/30, i*7%100)
			fmt.Fprintf(&pins[(i*(pin+1))%nets], "  C%d %d\n", 1000+i, pin+1)
		}
	}
	for i := range chips {
		fmt.Fprintf(&parts, "part U%d 5x5mm top at %d,%d\n", 100+i, i%10*8, i/10*7)
		for ball := range balls {
			name := fmt.Sprintf("%c%d", 'A'+ball/9, 1+ball%9)
			fmt.Fprintf(&parts, "  %s top at %d.%02d,%d.%02d round 0.3mm\n", name, i%10*8+ball%9/2, ball%9*50%100, i/10*7+ball/18, ball/9*50%100)
			fmt.Fprintf(&pins[(i*balls+ball*ball)%nets], "  U%d %s\n", 100+i, name)
		}
	}
	var s strings.Builder
	s.WriteString("netlore 1\nboard Large rev 1 layers 8 size 90x70mm\n\n" + parts.String())
	for i := range pins {
		fmt.Fprintf(&s, "net N%d\n%s", i, pins[i].String())
	}
	return s.String()
}

func largeBoard(t testing.TB) *board.Board {
	t.Helper()
	content, list := sheet.Read(parse(t, "large.lore", largeSheet()))
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	return content.Board
}

// The snapshot is to take at most 16 bytes a pin, with the places of the pins.
func TestSnapshotIsSmall(t *testing.T) {
	b := largeBoard(t)
	if len(b.Pins) != 10_000 {
		t.Fatalf("the board has %d pins, want 10000", len(b.Pins))
	}
	size := len(EncodeBoard(b))
	text := len(sheet.WriteBoard(b))
	t.Logf("%.2f bytes a pin; as a sheet %.2f", float64(size)/1e4, float64(text)/1e4)
	if size > 16*len(b.Pins) {
		t.Errorf("%d bytes for %d pins", size, len(b.Pins))
	}
}

// largeBase is a base with the large board and the Heron in it, closed.
func largeBase(t testing.TB) string {
	t.Helper()
	dir := t.TempDir()
	b := open(t, dir, Options{})
	additions := append(heron(t), Addition{Subject: BoardSubject(large), Files: []*sheet.File{parse(t, "large.lore", largeSheet())}, Author: "bench-1"})
	if _, err := b.Add(context.Background(), additions...); err != nil {
		t.Fatal(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	return dir
}

func BenchmarkOpenReadOnly(b *testing.B) {
	dir := largeBase(b)
	for b.Loop() {
		base, err := Open(context.Background(), dir, Options{ReadOnly: true})
		if err != nil {
			b.Fatal(err)
		}
		base.Close()
	}
}

// BenchmarkBoard10kPins reads the board from the open base. The baseline is to
// read the sheet of the same board from memory.
func BenchmarkBoard10kPins(b *testing.B) {
	dir := largeBase(b)
	b.Run("snapshot", func(b *testing.B) {
		base := open(b, dir, Options{ReadOnly: true})
		brd := largeBoard(b)
		b.ReportAllocs()
		for b.Loop() {
			if _, err := base.Board(context.Background(), large); err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(float64(len(EncodeBoard(brd)))/float64(len(brd.Pins)), "bytes/pin")
	})
	b.Run("sheet", func(b *testing.B) {
		text := sheet.WriteBoard(largeBoard(b))
		b.ReportAllocs()
		for b.Loop() {
			file, _ := sheet.Parse("", text)
			if _, list := sheet.Read(file); list.HasErrors() {
				b.Fatal(list)
			}
		}
		b.ReportMetric(float64(len(text))/1e4, "bytes/pin")
	})
}

// BenchmarkAskOneBoard is all that a command does to get at one board: open,
// read, close.
func BenchmarkAskOneBoard(b *testing.B) {
	dir := largeBase(b)
	for b.Loop() {
		base, err := Open(context.Background(), dir, Options{ReadOnly: true})
		if err != nil {
			b.Fatal(err)
		}
		if _, err := base.Board(context.Background(), large); err != nil {
			b.Fatal(err)
		}
		base.Close()
	}
}

// BenchmarkAddBoard adds the large board, synced to disk. The baseline is to
// add it to a base in memory.
func BenchmarkAddBoard(b *testing.B) {
	file := parse(b, "large.lore", largeSheet())
	add := func(b *testing.B, base *Base, i int) {
		ref := board.Ref{Name: "Large", Revision: fmt.Sprint(i)}
		text := strings.Replace(largeSheet(), "rev 1", "rev "+fmt.Sprint(i), 1)
		file = parse(b, "large.lore", text)
		if _, err := base.Add(context.Background(), Addition{Subject: BoardSubject(ref), Files: []*sheet.File{file}, Author: "bench-1"}); err != nil {
			b.Fatal(err)
		}
	}
	b.Run("disk", func(b *testing.B) {
		base := open(b, b.TempDir(), Options{})
		for i := 0; b.Loop(); i++ {
			add(b, base, i)
		}
	})
	b.Run("memory", func(b *testing.B) {
		base := OpenMemory(fixed)
		for i := 0; b.Loop(); i++ {
			add(b, base, i)
		}
	})
}

// BenchmarkAddNothing adds a sheet that the base holds already.
func BenchmarkAddNothing(b *testing.B) {
	base := open(b, largeBase(b), Options{})
	a := Addition{Subject: BoardSubject(large), Files: []*sheet.File{parse(b, "large.lore", largeSheet())}, Author: "bench-1"}
	for b.Loop() {
		if r, err := base.Add(context.Background(), a); err != nil || r[0].New > 0 {
			b.Fatal(r, err)
		}
	}
}

// BenchmarkLogStep adds a step to a job on the large board, from the call until
// it is on disk; jobs have up to a hundred steps. The baseline is to add a
// reading to the board itself, as a step was before jobs were subjects of their
// own.
func BenchmarkLogStep(b *testing.B) {
	b.Run("job", func(b *testing.B) {
		base := open(b, largeBase(b), Options{})
		id := ""
		for i := 0; b.Loop(); i++ {
			if i%100 == 0 {
				b.StopTimer()
				var err error
				if id, err = base.OpenJob(b.Context(), board.Job{Of: "Large"}, BoardSubject(large), Private{}, "bench-1"); err != nil {
					b.Fatal(err)
				}
				b.StartTimer()
			}
			if _, err := base.Log(b.Context(), id, "reading diode C1000 0.412V", "bench-1"); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("board", func(b *testing.B) {
		base := open(b, largeBase(b), Options{})
		for i := 0; b.Loop(); i++ {
			file := parse(b, "reading.lore", fmt.Sprintf("netlore 1\nboard Large rev 1\n\nreading diode C1000 %dmV by bench-1\n", i+1))
			if _, err := base.Add(b.Context(), Addition{Subject: BoardSubject(large), Files: []*sheet.File{file}, Author: "bench-1"}); err != nil {
				b.Fatal(err)
			}
		}
	})
}
