package board_test

import (
	"fmt"

	"netlore/store/board"
)

func ExampleParseQuantity() {
	for _, text := range []string{"4k7", "0R47", "4.7 kohm"} {
		q, _ := board.ParseQuantity(text, board.Ohm)
		fmt.Println(q)
	}
	_, err := board.ParseQuantity("0.412", board.Volt)
	fmt.Println(err)
	// Output:
	// 4.7kohm
	// 0.47ohm
	// 4.7kohm
	// "0.412" has no unit; perhaps 0.412V
}

func ExampleTolerance_Bounds() {
	tolerance, _ := board.ParseTolerance("±15%")
	lo, hi, _ := tolerance.Bounds(board.MustQuantity("0.412V"))
	fmt.Println(lo, hi)
	// Output: 0.3502V 0.4738V
}

func ExampleBoard_CoversPart() {
	bu := board.NewBuilder(board.Ref{Name: "Heron-A", Revision: "3"})
	part := bu.PartAt(bu.Part("C1201"))
	part.Placed, part.Side, part.At, part.Package = true, board.Top, board.Point{X: 12300, Y: 8150}, "0402"
	lid := bu.CoverAt(bu.Cover("SH1"))
	lid.Side, lid.Outline = board.Top, board.Box(board.Point{X: 4000, Y: 3500}, board.Point{X: 22000, Y: 19000})
	bu.Cover("SH3")

	b := bu.Build()
	for c := range b.Covers {
		h := b.CoversPart(board.CoverID(c), b.FindPart("C1201"))
		fmt.Printf("%s: %v %q\n", b.Covers[c].Name, h.Truth, h.Why)
	}
	// Output:
	// SH1: yes ""
	// SH3: unknown "SH3 has no outline and no list"
}
