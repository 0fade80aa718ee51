package store

import (
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"netlore/query"
	"netlore/query/run"
	"netlore/store/board"
	"netlore/store/sheet"
)

// The boards of the benchmark are generated: NETLORE_BENCH_BOARDS says how many
// (10000 for the figures in DEVELOPERS.md), and NETLORE_BENCH_DIR where the base
// is kept for the next run.
const fewBoards = 200

// BenchmarkEveryBoard asks for the capacitors of 10 µF on the battery net of
// every board. About one board in four calls that net VBAT or VBAT_SW. The
// baseline is the same without the index: every board is read. Listed are as many
// parts as an answer has unless more are asked for.
func BenchmarkEveryBoard(b *testing.B) {
	boards := fewBoards
	if n, err := strconv.Atoi(os.Getenv("NETLORE_BENCH_BOARDS")); err == nil {
		boards = n
	}
	dir := manyBoards(b, boards)
	const question = "count parts on VBAT* in every board with value = 10uF"
	const listed = "parts on VBAT* in every board with value = 10uF by board"
	b.Run("index", func(b *testing.B) {
		base := open(b, dir, Options{ReadOnly: true})
		b.ReportAllocs()
		for b.Loop() {
			askEvery(b, base, question)
		}
	})
	b.Run("index, listed", func(b *testing.B) {
		base := open(b, dir, Options{ReadOnly: true})
		b.ReportAllocs()
		for b.Loop() {
			askEvery(b, base, listed)
		}
	})
	b.Run("index, fresh", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			forget(b, dir)
			b.StartTimer()
			base, err := Open(b.Context(), dir, Options{ReadOnly: true})
			if err != nil {
				b.Fatal(err)
			}
			askEvery(b, base, question)
			base.Close()
		}
	})
	b.Run("every board read", func(b *testing.B) {
		base := open(b, dir, Options{ReadOnly: true})
		b.ReportAllocs()
		for b.Loop() {
			askEvery(b, struct{ run.Source }{base}, question)
		}
	})
}

func askEvery(b *testing.B, src run.Source, question string) {
	b.Helper()
	a, err := query.Ask(b.Context(), src, query.Options{Time: time.Hour}, question)
	if err != nil || a.Partial != "" || a.Things == 0 {
		b.Fatal(a, err)
	}
}

// manyBoards is a closed base of so many boards, five thousand pins on average.
func manyBoards(b *testing.B, boards int) string {
	b.Helper()
	dir := filepath.Join(os.Getenv("NETLORE_BENCH_DIR"), fmt.Sprint("boards-", boards))
	if os.Getenv("NETLORE_BENCH_DIR") == "" {
		dir = b.TempDir()
	} else if _, err := os.Stat(dir); err == nil {
		return dir
	}
	base, err := Open(b.Context(), dir, Options{})
	if err != nil {
		b.Fatal(err)
	}
	r := rand.New(rand.NewSource(1))
	var changes []*change
	for i := range boards {
		changes = append(changes, madeBoard(r, i))
		if len(changes) == 50 || i == boards-1 {
			if err := base.commit(b.Context(), changes); err != nil {
				b.Fatal(err)
			}
			changes = changes[:0]
		}
	}
	if err := base.Close(); err != nil {
		b.Fatal(err)
	}
	return dir
}

// madeBoard is the addition of a generated board, as one statement.
func madeBoard(r *rand.Rand, i int) *change {
	ref := board.Ref{Name: fmt.Sprintf("Made-%d", i), Revision: "1"}
	s := BoardSubject(ref)
	b := generated(r, ref)
	text := fmt.Sprintf("board %s rev 1\n", ref.Name)
	return &change{
		subject: s, view: newView(s, &sheet.Content{Board: b, Knowledge: &board.Knowledge{}}),
		event:   Event{Kind: Added, Time: noon, Author: "bench-1", New: 1},
		entries: []Entry{{Subject: s, Author: "bench-1", Time: noon, Text: text}},
	}
}

// generated is a board of 500 to 15,000 pins: two thirds of the parts are
// capacitors and resistors, the rest chips; half of all pins are on a dozen
// rails and on ground.
func generated(r *rand.Rand, ref board.Ref) *board.Board {
	pins := 500 + int(14_500*r.Float64()*r.Float64()*1.25)
	bu := board.NewBuilder(ref)
	bu.Grow(pins/2, pins/4, pins)
	rails := []string{"GND", [...]string{"VBAT", "VBAT_SW", "BATT_P", "VSYS", "VMAIN", "VCELL", "VPACK", "V_IN"}[r.Intn(8)]}
	for i := range 12 {
		rails = append(rails, fmt.Sprintf("VREG_%d", i))
	}
	for i, name := range rails {
		bu.NetAt(bu.Net(name)).Kind = board.Power
		if i == 0 {
			bu.NetAt(bu.Net(name)).Kind = board.Ground
		}
	}
	signals := pins / 8
	net := func() board.NetID {
		if r.Intn(2) == 0 {
			return bu.Net(rails[min(r.Intn(4)*r.Intn(6), len(rails)-1)])
		}
		return bu.Net(fmt.Sprintf("S_%d", r.Intn(signals)))
	}
	values := []string{"10uF", "100nF", "1uF", "22uF", "10pF"}
	for n, p := 0, 0; n < pins; p++ {
		name, balls := fmt.Sprintf("C%d", 1000+p), 2
		switch {
		case p%40 == 0:
			name, balls = fmt.Sprintf("U%d", 100+p), 40
		case p%3 == 0:
			name = fmt.Sprintf("R%d", 1000+p)
		}
		part := bu.PartAt(bu.Part(name))
		part.Placed, part.Side, part.Package = true, board.Top, "0402"
		part.At = board.Point{X: int32(r.Intn(90_000)), Y: int32(r.Intn(60_000))}
		if part.Class == board.Capacitor {
			part.Value = board.MustQuantity(values[r.Intn(len(values))])
		}
		for ball := range balls {
			bu.Connect(bu.Pin(bu.Part(name), fmt.Sprint(ball+1)), net())
		}
		n += balls
	}
	for i := range 6 {
		c := bu.CoverAt(bu.Cover(fmt.Sprintf("SH%d", i+1)))
		c.Kind, c.Side = board.Shield, board.Top
		c.Outline = board.Box(board.Point{X: int32(i) * 15_000, Y: 0}, board.Point{X: int32(i)*15_000 + 12_000, Y: 30_000})
	}
	return bu.Build()
}
