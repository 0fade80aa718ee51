package run_test

import (
	"flag"
	"fmt"
	"testing"

	"netlore/query/check"
	"netlore/query/plan"
	"netlore/query/run"
	"netlore/store/board"
)

var everyBoard = flag.Bool("every", false, "ask the small questions of every board of four parts, which takes a minute")

// Where a part of a small board can be: each of them a place of its own.
var smallPlaces = []struct {
	at     board.Point
	placed bool
}{
	{board.Point{X: 1000, Y: 1000}, true},  // under SH1
	{board.Point{X: 5000, Y: 1000}, true},  // under SH2
	{board.Point{X: 3000, Y: 1000}, true},  // under both
	{board.Point{X: 20000, Y: 1000}, true}, // under none
	{},                                     // not known
}

const smallNets = 3

// smallBoard is a board of some parts. Each is given by a number that says
// which of three nets it is on and where it is.
func smallBoard(parts []int) *board.Board {
	bu := board.NewBuilder(board.Ref{Name: "Wren"})
	for i := range smallNets {
		bu.Net(fmt.Sprintf("N%d", i))
	}
	bu.NetAt(0).Kind, bu.NetAt(1).Kind = board.Power, board.Signal
	for i, code := range parts {
		id := bu.Part(fmt.Sprintf("C%d", i+1))
		place := smallPlaces[code%len(smallPlaces)]
		part := bu.PartAt(id)
		part.Side, part.Placed, part.At, part.Size = board.Top, place.placed, place.at, board.Size{W: 1000, H: 500}
		for net := range smallNets {
			if code/len(smallPlaces)>>net&1 == 1 {
				bu.Connect(bu.Pin(id, fmt.Sprint(net)), board.NetID(net))
			}
		}
	}
	for i, name := range []string{"SH1", "SH2"} {
		c := bu.CoverAt(bu.Cover(name))
		c.Kind, c.Side = []board.CoverKind{board.Shield, board.CoverUnknown}[i], board.Top
		c.Outline = board.Box(board.Point{X: int32(i) * 2000}, board.Point{X: int32(i)*2000 + 4000, Y: 3000})
	}
	return bu.Build()
}

var smallQuestions = []string{
	"parts on N0 under SH1",
	"hidden parts on N0 and on N1",
	"parts on N0 not under any cover",
	"parts under shield or on N2",
	"parts not (on N0 under shield)",
	"(parts on N0) except (parts under SH2)",
	"(parts under SH1) except (parts under SH2) and also parts on N2",
	"parts on (nets of C1) not under SH1",
	"parts within 2mm of C1",
	"parts under (covers over C1)",
	"nets of (hidden parts)",
	"nets not of (visible parts)",
	"covers over (parts on N0)",
	"covers not over (parts on power nets)",
	"parts on power nets under shield",
	"nets with parts > 1",
}

// TestEverySmallBoard asks questions of every board with up to three parts on
// three nets under two covers, and of one in many of those with four.
func TestEverySmallBoard(t *testing.T) {
	codes := 1 << smallNets * len(smallPlaces)
	boards := 0
	for n := 1; n <= 4; n++ {
		template := smallBoard(make([]int, n))
		var asked []*check.Question
		for _, text := range smallQuestions {
			q := typed(text, template, nil)
			if q == nil {
				t.Fatalf("%s is refused", text)
			}
			asked = append(asked, q)
		}
		multisets(codes, n, func(i int, parts []int) {
			const oneIn = 97
			if n < 4 || *everyBoard || i%oneIn == 0 {
				boards++
				askSmall(t, parts, asked)
			}
		})
	}
	t.Logf("%d boards, %d questions", boards, len(smallQuestions))
}

func askSmall(t *testing.T, parts []int, asked []*check.Question) {
	b := smallBoard(parts)
	for _, q := range asked {
		q.Scope.Members[0].Board = b // its names have the same ids
		got, n := run.Evaluate(q, plan.Options{}), naively(b)
		for id := range n.count(q.Set.Noun()) {
			want := n.in(q.Set, id)
			if got.Certain.Has(int32(id)) != (want == board.True) || got.Possible.Has(int32(id)) != (want != board.False) {
				t.Fatalf("%s on %v: %s should be %s", q.Text, parts, n.name(q.Set.Noun(), id), want)
			}
		}
	}
}

// multisets calls f with every ascending list of n numbers below codes.
func multisets(codes, n int, f func(i int, list []int)) {
	list, i := make([]int, n), 0
	for {
		f(i, list)
		i++
		at := n - 1
		for at >= 0 && list[at] == codes-1 {
			at--
		}
		if at < 0 {
			return
		}
		next := list[at] + 1
		for ; at < n; at++ {
			list[at] = next
		}
	}
}
