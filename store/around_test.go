package store_test

import (
	"context"
	"fmt"
	"math/rand"
	"runtime"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/query"
	"netlore/query/run"
	"netlore/store"
	"netlore/store/board"
	"netlore/store/sheet"
)

// unindexed is a base whose index nobody sees, so that every board is read.
type unindexed struct{ run.Source }

// acrossQuestions are asked of every board: such as the index can answer, and
// such as it cannot.
var acrossQuestions = []string{
	"parts on VBAT* in every board",
	"parts on VBAT* in every board with value = 10uF by board",
	"parts on vbat in every board",
	"parts on VBAT or VSYS in every board",
	"parts on VSYS in every board sorted by value",
	"parts on VBAT and on GND in every board",
	"parts on VBAT and not on VMAIN in every board",
	"parts on V* in every board except parts on VBAT in every board",
	"hidden parts on VBAT* in every board",
	"possibly hidden parts on VBAT* in every board",
	"capacitors on VBAT under shield or connector in every board",
	"capacitors on VBAT not under any cover in every board with value at least 1uF show cover, side, x",
	"parts on VBAT in every board under shield, connector",
	"count hidden parts on VBAT* in every board by cover",
	"total value of capacitors on VMAIN in every board by board",
	"parts on VBAT* in every board without value",
	"parts on VBAT.a in every board",
	"parts on N?3 in every board show net, pins",
	"parts on *BAT in every board",
	"parts on NOSUCH in every board",
	"parts on VBAT under SH1 in every board",
	"parts within 3mm of U1 on VBAT in every board",
	"parts on VBAT in every board and also hidden parts on VMAIN in every board",
	"pads on VBAT in every board",
	"nets of C1 in every board",
	"top parts on VBAT* shared with parts on V* in every board",
	"notes on VBAT in every board",
	"parts on VBAT* in every board with unknown value",
	"possibly parts on VBAT* in every board with value = 10uF by board",
	"parts on V?AT* and not on GND in every board with value at most 1uF",
	"parts not on VMAIN and on vb* in every board with value != 10uF",
	"parts on VBAT* in every board by board first 3",
	"median value of parts on V* in every board by board, class",
	"greatest value of capacitors on V* not under any cover in every board",
}

// TestIndexAndBoardsAgree asks of many random boards with the index of nets and
// without it. Names that differ by case, second names, branches, covers with and
// without outlines or lists, and parts known by their pins alone are among them.
func TestIndexAndBoardsAgree(t *testing.T) {
	seeds := 40
	if testing.Short() {
		seeds = 8
	}
	for seed := range int64(seeds) {
		r := rand.New(rand.NewSource(seed))
		base := store.OpenMemory(nil)
		if seed%8 == 0 {
			base = openBase(t, t.TempDir(), store.Options{})
		}
		for i := range 6 {
			addBoard(t, base, acrossBoard(r, fmt.Sprintf("Knot-%d", i)), store.Union)
		}
		addRings(t, r, base)
		sameAnswers(t, base, fmt.Sprint("seed ", seed))
		for i := range 3 {
			addBoard(t, base, acrossBoard(r, fmt.Sprintf("Knot-%d", i)), store.Replace)
		}
		if _, err := base.Remove(context.Background(), store.BoardSubject(board.Ref{Name: "Knot-5"}), "bench-1"); err != nil {
			t.Fatal(err)
		}
		sameAnswers(t, base, fmt.Sprint("seed ", seed, ", changed"))
		if err := base.Close(); err != nil || t.Failed() {
			t.Fatal(err)
		}
	}
}

// sameAnswers asks every board and the index, and the index on one processor,
// too: the order in which boards are done must not show.
func sameAnswers(t *testing.T, base *store.Base, when string) {
	t.Helper()
	for _, text := range acrossQuestions {
		want := answered(t, unindexed{base}, text)
		if d := cmp.Diff(want, answered(t, base, text)); d != "" {
			t.Errorf("%s: %s: by every board, then by the index: %s", when, text, d)
		}
		before := runtime.GOMAXPROCS(1)
		alone := answered(t, base, text)
		runtime.GOMAXPROCS(before)
		if d := cmp.Diff(want, alone); d != "" {
			t.Errorf("%s: %s: on several processors, then on one: %s", when, text, d)
		}
	}
	if _, err := base.Verify(t.Context(), nil); err != nil {
		t.Errorf("%s: %v", when, err)
	}
}

// answered is all that an answer says, but for the time it took.
func answered(t *testing.T, src run.Source, text string) []string {
	t.Helper()
	a, err := query.Ask(t.Context(), src, query.Options{}, text)
	if err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	lines := []string{fmt.Sprint(a.Columns), a.Footer(false), fmt.Sprint(a.Possible, a.Missing, a.LeftOut, a.Remarks, a.Groups)}
	for _, row := range a.Rows {
		var of run.Member
		if row.Of != nil {
			of = *row.Of
		}
		lines = append(lines, fmt.Sprint(of.Board, row.Why, row.Cells))
	}
	return lines
}

func addBoard(t *testing.T, base *store.Base, b *board.Board, mode store.Mode) {
	t.Helper()
	file, list := sheet.Parse("knot.lore", sheet.WriteBoard(b))
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	a := store.Addition{Subject: store.BoardSubject(b.Ref), Files: []*sheet.File{file}, Author: "bench-1", Mode: mode}
	if _, err := base.Add(t.Context(), a); err != nil {
		t.Fatal(err)
	}
}

// addRings says of some of the boards what rings on them: in their own sheets, in
// that of a stack, and in jobs.
func addRings(t *testing.T, r *rand.Rand, base *store.Base) {
	t.Helper()
	any := func(role string) string {
		return role + pick(r, "J7.1", "J7.2", "VBAT", "VMAIN", "VSYS", "X1.1", "C3.1", "U2.1")
	}
	said := map[string]string{
		"board Knot-0": "reading continuity " + any("") + " to " + any("") + " " + pick(r, "rings", "silent") + "\n",
		"board Knot-1": "continuity " + any("") + " " + any("") + "\n",
		"board Knot-2": "job 7 of Knot-2\n  1 reading continuity " + any("") + " to " + any("") + " rings\n",
		"stack Knots": "  lower Knot-3\n  upper Knot-4\ncontinuity " + any("lower:") + " " + any("lower:") +
			"\njob 8 of Knots\n  1 reading continuity " + any("upper:") + " to " + any("upper:") + " rings\n",
	}
	for about, lines := range said {
		if r.Intn(2) == 0 {
			continue
		}
		file, list := sheet.Parse("rings.lore", []byte("netlore 1\n"+about+"\n"+lines))
		if err := list.Err(); err != nil {
			t.Fatal(err, lines)
		}
		subject := store.BoardSubject(file.Subject().Board)
		if file.Subject().Stack != "" {
			subject = store.StackSubject(file.Subject().Stack)
		}
		if _, err := base.Add(t.Context(), store.Addition{Subject: subject, Files: []*sheet.File{file}, Author: "bench-1"}); err != nil {
			t.Fatal(err)
		}
	}
}

func pick[T any](r *rand.Rand, list ...T) T { return list[r.Intn(len(list))] }

var acrossNets = []string{"VBAT", "VBAT_SW", "vbat", "VMAIN", "VSYS", "GND", "N13", "N23", "/RESET#"}

// acrossBoard is a small board on which much is not known.
func acrossBoard(r *rand.Rand, name string) *board.Board {
	bu := board.NewBuilder(board.Ref{Name: name})
	for _, net := range acrossNets {
		if r.Intn(3) > 0 {
			n := bu.NetAt(bu.Net(net))
			n.Kind = pick(r, board.Power, board.Signal, board.NetUnknown)
			if net == "GND" {
				n.Kind = board.Ground
			}
			if net == "VMAIN" && r.Intn(2) == 0 {
				n.Aliases = []string{pick(r, "VBAT", "VSYS", "VBAT_ALT")}
			}
		}
	}
	for i := range 4 + r.Intn(20) {
		acrossPart(r, bu, fmt.Sprintf("%s%d", pick(r, "C", "C", "L", "U", "XQ"), i+1))
	}
	acrossPart(r, bu, "J7")
	for _, cover := range []string{"SH1", "SH2", "J7", "ST1"} {
		if r.Intn(2) == 0 {
			acrossCover(r, bu, cover)
		}
	}
	if bu.HasNet("VBAT") && r.Intn(2) == 0 {
		bu.BranchAt(bu.Branch("VBAT.a")).Net = bu.Net("VBAT")
	}
	return bu.Build()
}

func acrossPoint(r *rand.Rand) board.Point {
	return board.Point{X: int32(r.Intn(20)) * 500, Y: int32(r.Intn(20)) * 500}
}

// acrossPart is known by its body, its package, its pins, its place, or not.
func acrossPart(r *rand.Rand, bu *board.Builder, name string) {
	id := bu.Part(name)
	part := bu.PartAt(id)
	part.Side = pick(r, board.Top, board.Bottom, board.SideUnknown)
	if part.Placed = r.Intn(3) > 0; part.Placed {
		part.At = acrossPoint(r)
		part.Size = pick(r, board.Size{}, board.Size{W: 1000, H: 500}, board.Size{W: 3000, H: 3000})
		part.Package = pick(r, "", "0402", "QFN-32")
	}
	if part.Class == board.Capacitor {
		part.Value = pick(r, board.Quantity{}, board.MustQuantity("10uF"), board.MustQuantity("100nF"))
	}
	for i := range 1 + r.Intn(5) {
		pin := bu.PinAt(bu.Pin(id, fmt.Sprint(i+1)))
		if pin.Placed = r.Intn(3) > 0; pin.Placed {
			pin.At, pin.Side = acrossPoint(r), pick(r, board.Top, board.Bottom, board.BothSides, board.SideUnknown)
			pin.Shape = pick(r, board.PadShape{}, board.PadShape{W: 300, H: 300})
		}
		if net := pick(r, acrossNets...); bu.HasNet(net) && r.Intn(5) > 0 {
			bu.Connect(bu.Pin(id, fmt.Sprint(i+1)), bu.Net(net))
		}
	}
}

func acrossCover(r *rand.Rand, bu *board.Builder, name string) {
	c := bu.CoverAt(bu.Cover(name))
	c.Kind = pick(r, board.Shield, board.Connector, board.Sticker)
	c.Side = pick(r, board.Top, board.Bottom, board.SideUnknown)
	switch r.Intn(3) {
	case 0:
		at := acrossPoint(r)
		c.Outline = board.Box(at, board.Point{X: at.X + 4000, Y: at.Y + 3000})
	case 1:
		c.Listed = true
		c.Parts = []board.PartID{bu.Part("J7"), board.PartID(r.Intn(3))}
		slices.Sort(c.Parts)
		c.Parts = slices.Compact(c.Parts)
	}
}
