package run_test

import (
	"fmt"
	"math/rand"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/store/board"
)

// The pieces of random boards are those that all pairs of boxes make.
func TestCopperAgreesWithAllPairs(t *testing.T) {
	boards := 1500
	if testing.Short() {
		boards = 300
	}
	seen := map[string]int{}
	r := rand.New(rand.NewSource(31))
	for range boards {
		b := randomBoard(r, 4+r.Intn(40), pick(r, 0, 15, 40))
		got, want := knownPieces(b), naivePieces(b)
		if d := cmp.Diff(want, got); d != "" {
			t.Fatalf("seed 31: %s", d)
		}
		for _, x := range b.Copper().Pieces {
			seen[fmt.Sprint("basis ", x.Basis)]++
			if x.Basis == board.Declared && x.Tracks > 0 {
				seen["declared and more"]++
			}
			if x.Basis == board.Apart && x.Open {
				seen["apart and open"]++
			}
		}
		seen["rest"] += len(b.Copper().Rest)
	}
	for _, kind := range []string{"basis 0", "basis 1", "basis 2", "basis 3", "declared and more", "apart and open", "rest"} {
		if seen[kind] < boards/100 {
			t.Errorf("%s: only %d of them on %d boards", kind, seen[kind], boards)
		}
	}
}

func pieceLine[P, Q ~int | ~int32](net int, rest, apart bool, pins []P, pads []Q) string {
	pins, pads = slices.Clone(pins), slices.Clone(pads)
	slices.Sort(pins)
	slices.Sort(pads)
	return fmt.Sprintf("net %d rest %t apart %t pins %v pads %v", net, rest, apart, pins, pads)
}

// knownPieces are the pieces of a board that are no whole nets.
func knownPieces(b *board.Board) (list []string) {
	c := b.Copper()
	for _, x := range c.Pieces {
		if !x.Whole() {
			list = append(list, pieceLine(int(x.Net), false, c.Apart[x.Net], x.Pins, x.Pads))
		}
	}
	for _, x := range c.Rest {
		list = append(list, pieceLine(int(x.Net), true, c.Apart[x.Net], x.Pins, x.Pads))
	}
	slices.Sort(list)
	return list
}

func naivePieces(b *board.Board) (list []string) {
	c := naively(b).pieces()
	for _, x := range c.pieces {
		list = append(list, pieceLine(x.net, x.rest, c.apart[x.net], x.pins, x.pads))
	}
	slices.Sort(list)
	return list
}
