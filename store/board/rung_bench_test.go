package board

import (
	"fmt"
	"testing"
)

// BenchmarkRinging works out what rings on a board of 10,000 pins and 2,000 pads: of
// one of which nothing is said, as for nearly every question, and of 200 touches,
// beside making the indexes of the board, which every reading of it does.
func BenchmarkRinging(b *testing.B) {
	made := func() *Board {
		bu := NewBuilder(Ref{Name: "Made"})
		for i := range 5000 {
			for pin := range 2 {
				bu.Connect(bu.Pin(bu.Part(fmt.Sprint("C", i)), fmt.Sprint(pin+1)), bu.Net(fmt.Sprint("N", (i*7+pin)%1500)))
			}
		}
		for i := range 2000 {
			bu.Pad(fmt.Sprint("P", i))
		}
		return bu.Build()
	}
	board := made()
	k := &Knowledge{Readings: make([]Reading, 5000)}
	var touches []Touch
	for i := range 200 {
		touches = append(touches, Touch{A: Target{Name: fmt.Sprint("P", i)}, B: Target{Name: fmt.Sprint("C", i, ".1")}, Rings: i%3 > 0})
	}
	b.Run("nothing said, 5,000 other readings", func(b *testing.B) {
		for b.Loop() {
			board.Ringing(k.Touches(""))
		}
	})
	b.Run("200 touches", func(b *testing.B) {
		for b.Loop() {
			board.withRungs(newRinger(board, touches).judge())
		}
	})
	b.Run("200 touches, kept", func(b *testing.B) {
		for b.Loop() {
			board.Ringing(touches)
		}
	})
	b.Run("baseline: indexes of the board", func(b *testing.B) {
		for b.Loop() {
			board.index()
		}
	})
}
