package query

import (
	"testing"

	"netlore/store/board"
)

// BenchmarkSaved reads and checks a question that asks for a saved one, which
// asks for another. The baseline is the question that it comes to.
func BenchmarkSaved(b *testing.B) {
	s, _ := savedCases(b)
	s.questions = []board.SavedQuestion{
		{Name: "caps", Parameters: []string{"rail", "size"}, Text: "capacitors on $rail with value at least $size"},
		{Name: "worst", Parameters: []string{"rail"}, Text: "hidden caps for $rail, 10uF"},
	}
	for name, question := range map[string]string{
		"saved":    "worst for VMAIN with side = top",
		"baseline": "hidden capacitors on VMAIN with value at least 10uF with side = top",
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Compile(b.Context(), s, Options{}, question); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
