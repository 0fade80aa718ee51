package run_test

import (
	"context"
	"fmt"
	"math/rand"
	"slices"
	"strings"
	"testing"
	"time"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/run"
	"netlore/store/board"
)

// largeBoard is a board with so many parts, ten covers and half of the parts on
// one rail, laid out in a grid.
func largeBoard(parts int) *board.Board {
	r := rand.New(rand.NewSource(1))
	bu := board.NewBuilder(board.Ref{Name: "Heron-L"})
	const wide = 100_000
	bu.Board().Size = board.Size{W: wide, H: wide}
	for i := range parts {
		id := bu.Part(fmt.Sprintf("C%d", i+1))
		part := bu.PartAt(id)
		part.Side, part.Placed, part.Size = pick(r, board.Top, board.Bottom), true, board.Size{W: 1000, H: 500}
		part.At = board.Point{X: int32(r.Intn(wide)), Y: int32(r.Intn(wide))}
		part.Value, part.Volts = board.MustQuantity(pick(r, "1uF", "10uF")), board.MustQuantity("6.3V")
		bu.Connect(bu.Pin(id, "1"), bu.Net(pick(r, "VMAIN", fmt.Sprintf("N%d", i/10))))
		bu.Connect(bu.Pin(id, "2"), bu.Net("GND"))
		bu.Pin(id, "3")
		bu.Pin(id, "4")
	}
	for i := range 10 {
		c := bu.CoverAt(bu.Cover(fmt.Sprintf("SH%d", i+1)))
		c.Kind, c.Side, c.Minutes = board.Shield, board.Top, board.MustQuantity("12min")
		x := int32(i) * wide / 10
		c.Outline = board.Box(board.Point{X: x}, board.Point{X: x + 8000, Y: wide / 2})
	}
	return bu.Build()
}

// railBoard has n parts, of which one in twenty is in series in the supply: the
// rail VMAIN feeds ten rails by an inductor each, these feed rails behind beads,
// and so on. All others hang on a rail and on ground, or tie two signals. The
// rail comes in by the pads P1 to P4, and each of the first ten rails has pads
// of its own.
func railBoard(n int) *board.Board {
	bu := board.NewBuilder(board.Ref{Name: "Plover-A"})
	gnd, main := bu.Net("GND"), bu.Net("VMAIN")
	bu.NetAt(gnd).Kind, bu.NetAt(main).Kind = board.Ground, board.Power
	bu.Connect(bu.Pin(bu.Part("U1"), "1"), main)
	bu.PartAt(bu.Part("U1")).Class = board.Charger
	rails := []board.NetID{main}
	for i := range n {
		switch {
		case i%20 == 0:
			rail := bu.Net(fmt.Sprintf("V%d", len(rails)))
			bu.NetAt(rail).Kind = board.Power
			p := bu.Part(fmt.Sprintf("%s%d", []string{"L", "FB"}[i/20%2], i))
			bu.Connect(bu.Pin(p, "1"), rails[(len(rails)-1)/10])
			bu.Connect(bu.Pin(p, "2"), rail)
			rails = append(rails, rail)
		case i%3 == 0:
			p := bu.Part(fmt.Sprintf("R%d", i))
			bu.PartAt(p).Value = board.MustQuantity("4.7kohm")
			bu.Connect(bu.Pin(p, "1"), bu.Net(fmt.Sprintf("S%d", i/6)))
			bu.Connect(bu.Pin(p, "2"), bu.Net(fmt.Sprintf("S%d", i/5)))
		default:
			p := bu.Part(fmt.Sprintf("C%d", i))
			bu.PartAt(p).Value = board.MustQuantity("10uF")
			bu.Connect(bu.Pin(p, "1"), rails[i%len(rails)])
			bu.Connect(bu.Pin(p, "2"), gnd)
		}
	}
	return bu.Build()
}

func ask(t testing.TB, text string, b *board.Board) *check.Question {
	q := typed(text, b, nil)
	if q == nil {
		t.Fatalf("%s is refused", text)
	}
	return q
}

func TestLimitOnRowsIsReported(t *testing.T) {
	b := largeBoard(300)
	a := run.Run(context.Background(), ask(t, "parts", b), run.Options{Rows: 7, Now: stillClock})
	if len(a.Rows) != 7 || a.Things != 300 || a.Complete() || a.Footer(false) != "7 of 300 parts · cut at the limit of 7 rows" {
		t.Errorf("%d rows, %s", len(a.Rows), a.Footer(false))
	}
	first := run.Run(context.Background(), ask(t, "parts first 7", b), run.Options{Rows: 7})
	if len(first.Rows) != 7 || !first.Complete() || first.Footer(false) != "7 of 300 parts" {
		t.Errorf("the seven that were asked for are no limit: %s", first.Footer(false))
	}
}

// The rows that a limit leaves are the first ones in the order asked for.
func TestLimitKeepsTheFirstRows(t *testing.T) {
	b := largeBoard(9000)
	q := ask(t, "parts sorted by x descending", b)
	all := run.Run(context.Background(), q, run.Options{})
	few := run.Run(context.Background(), q, run.Options{Rows: 20})
	for i, row := range few.Rows {
		if row.ID != all.Rows[i].ID {
			t.Fatalf("row %d is %s, want %s", i, row.Cells[0], all.Rows[i].Cells[0])
		}
	}
}

func TestTimeLimitGivesAPartialAnswer(t *testing.T) {
	now := stillClock()
	ticking := func() time.Time { now = now.Add(time.Millisecond); return now }
	a := run.Run(context.Background(), ask(t, "parts on GND", largeBoard(9000)), run.Options{Time: 30 * time.Millisecond, Now: ticking})
	if a.Complete() || len(a.Rows) == 0 || len(a.Rows) >= 9000 || !strings.Contains(a.Footer(false), "partial: stopped at the time limit") {
		t.Errorf("%d rows, %s", len(a.Rows), a.Footer(false))
	}
}

// An aggregate by what is different for each thing ends before it fills the
// memory, and says so.
func TestLimitOnGroupsIsReported(t *testing.T) {
	bu := board.NewBuilder(board.Ref{Name: "Heron-L"})
	for i := range 100_003 {
		bu.Part(fmt.Sprintf("C%d", i+1))
	}
	b := bu.Build()
	a := run.Run(t.Context(), ask(t, "count parts by name", b), run.Options{Rows: 7, Time: time.Hour})
	if want := "at least 100001 parts in 100001 groups, 7 shown · cut at the limit of 7 rows · partial: stopped at 100001 groups"; a.Footer(false) != want {
		t.Errorf("got  %s\nwant %s", a.Footer(false), want)
	}
	few := run.Run(t.Context(), ask(t, "count parts by side", b), run.Options{Time: time.Hour})
	if !few.Complete() {
		t.Errorf("two groups: %s", few.Footer(false))
	}
}

// What a cancelled answer has is part of the whole answer.
func TestCancelGivesAPartialAnswer(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	calls := 0
	clock := func() time.Time {
		if calls++; calls == 25 {
			cancel()
		}
		return stillClock()
	}
	q := ask(t, "parts on GND", largeBoard(9000))
	a := run.Run(ctx, q, run.Options{Now: clock})
	if a.Partial != "cancelled" || len(a.Rows) == 0 {
		t.Fatalf("%d rows, %s", len(a.Rows), a.Footer(false))
	}
	whole := runStill(q, plan.Options{})
	for i, row := range a.Rows {
		if row.ID != whole.Rows[i].ID {
			t.Fatalf("row %d is %s, want %s", i, row.Cells[0], whole.Rows[i].Cells[0])
		}
	}
	before := run.New(run.Options{})
	before.Add(ctx, q)
	if got := before.Finish(); !before.Stopped() || len(got.Rows) != 0 || got.Partial != "cancelled" {
		t.Errorf("asked after the cancel: %s", got.Footer(false))
	}
}

func TestAnswersAreTheSameEveryTime(t *testing.T) {
	questions(t, 9, 300, func(_ *rand.Rand, _ *board.Board, q *check.Question) {
		if a, b := answerOf(q, plan.Options{}), answerOf(q, plan.Options{}); a != b {
			t.Fatalf("%s\n%s\n%s", q.Text, a, b)
		}
	})
}

// The plan looks up a rail and tests what is on it, and not the whole board.
func TestPlanStartsAtTheIndex(t *testing.T) {
	b := largeBoard(2000)
	for _, c := range []struct{ ask, first string }{
		{"hidden parts on N3", "look up N3 in nets"},
		{"capacitors with value >= 10uF on N3", "look up N3 in nets"},
		{"nets of C7", "look up C7 in parts"},
		{"parts on (nets of C7)", "look up (nets …) in nets"},
		{"capacitors with value >= 10uF", "all parts"},
	} {
		q := ask(t, c.ask, b)
		p := plan.Of(q.Set, q.Scope, 0, plan.Options{})
		lines := p.Lines(nil)
		if !slices.ContainsFunc(lines, func(l plan.Line) bool { return l.Text == c.first && l.Depth == 0 }) {
			t.Errorf("%s: %v", c.ask, lines)
		}
		for _, line := range plan.Of(q.Set, q.Scope, 0, plan.Options{Scan: true}).Lines(nil) {
			if strings.HasPrefix(line.Text, "look up") {
				t.Errorf("%s scans with %s", c.ask, line.Text)
			}
		}
	}
}

func BenchmarkHiddenParts(b *testing.B) {
	large := largeBoard(5000)
	for _, c := range []struct{ name, ask string }{
		{"OnRail", "hidden parts on VMAIN"}, {"OnSmallNet", "hidden parts on N7"}, {"All", "hidden parts"}, {"Near", "parts within 2mm of (parts on N7)"},
	} {
		q := ask(b, c.ask, large)
		for _, opt := range []plan.Options{{}, {Scan: true}} {
			b.Run(c.name+map[bool]string{false: "/planned", true: "/fullscan"}[opt.Scan], func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					run.Run(context.Background(), q, run.Options{Plan: opt})
				}
			})
		}
	}
}
