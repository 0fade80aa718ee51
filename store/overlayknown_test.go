package store

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"netlore/store/board"
)

// eachByEach is correctExpected as it reads: each value is held against each new one.
func eachByEach(all, newer []board.Expected, own []string) []board.Expected {
	return append(slices.DeleteFunc(all, func(old board.Expected) bool {
		return slices.ContainsFunc(newer, func(e board.Expected) bool {
			return e.Mode == old.Mode && e.On == old.On && (e.By == old.By || slices.Contains(own, e.By))
		})
	}), newer...)
}

// expectedBy makes expected values on some pads, of authors as they come.
func expectedBy(n, pads int, authors ...string) []board.Expected {
	random := rand.New(rand.NewPCG(1, uint64(n)))
	var all []board.Expected
	for range n {
		all = append(all, board.Expected{Mode: board.Mode(1 + random.IntN(2)), On: board.Target{Kind: board.OnPad, Name: fmt.Sprint("P", random.IntN(pads))},
			By: authors[random.IntN(len(authors))], Text: fmt.Sprint(random.IntN(1000))})
	}
	return all
}

func TestCorrectExpectedEachByEach(t *testing.T) {
	own := []string{"Heron Repair dpty", ""}
	for n := range 50 {
		all, newer := expectedBy(n, 5, "anna", "bert", "", own[0]), expectedBy(n/4, 5, "anna", "bert", "", own[0])
		for _, own := range [][]string{nil, own[:1], own} {
			want := eachByEach(slices.Clone(all), newer, own)
			if d := cmp.Diff(want, correctExpected(slices.Clone(all), newer, own), cmp.AllowUnexported(board.Quantity{}, board.Tolerance{})); d != "" {
				t.Fatalf("%d values, own %q (-want +got):\n%s", n, own, d)
			}
		}
	}
}

// BenchmarkCorrectExpected corrects what is expected on a board of many pads, beside what it
// takes to hold each value against each.
func BenchmarkCorrectExpected(b *testing.B) {
	own := []string{"Heron Repair dpty"}
	for _, pads := range []int{1000, 10_000} {
		all, newer := expectedBy(pads, pads, "anna", "bert"), expectedBy(pads, pads, "anna", own[0])
		for _, way := range []struct {
			name    string
			correct func(all, newer []board.Expected, own []string) []board.Expected
		}{{"by place", correctExpected}, {"each by each", eachByEach}} {
			b.Run(fmt.Sprintf("%s/%d", way.name, pads), func(b *testing.B) {
				for b.Loop() {
					way.correct(slices.Clone(all), newer, own)
				}
			})
		}
	}
}
