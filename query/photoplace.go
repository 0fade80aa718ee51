package query

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"netlore/query/align"
	"netlore/query/diag"
	"netlore/store/board"
)

// Placed is the statement of a sheet that says where a part or pad is that was picked on a photo of a
// side, such as "part C12 top at 12.3,8.15". What has a place already is complained of, what no
// place is written of (a pin, a cover, a corner), and what would lie beside the board.
func Placed(b *board.Board, side board.Side, is string, at align.Point) (string, error) {
	t, ok := placeableNamed(b, is)
	name := board.QuoteName(t.name)
	switch {
	case !ok:
		return "", notPlaceable(b, is)
	case t.known:
		return "", complain("Q98", name+" has a place already", "if it was picked on a photo, it can be taken back: netlore photo unplace", "else correct it in a sheet: netlore add --correct")
	case !onBoard(b, at):
		return "", complain("P101", fmt.Sprintf("%s would be at %s, beside the board", name, inMM(at)), "if the photo is aligned well and it does stick out so far, say its place in a sheet")
	}
	return t.statement(side, at), nil
}

// onBoard reports whether a place is on the board, or near where any may be if its size is not known.
// A place beside it would also take its corners away (board.Board.Extent).
func onBoard(b *board.Board, at align.Point) bool {
	const most = 1e3 // a metre
	if !(math.Abs(at.X) <= most && math.Abs(at.Y) <= most) {
		return false
	}
	edge, known := b.Extent()
	return !known || edge.Contains(board.Point{X: int32(10 * math.Round(100*at.X)), Y: int32(10 * math.Round(100*at.Y))})
}

// Placing is the statement that Placed has made of a part or pad, as its board has it now; empty if
// it has no place.
func Placing(b *board.Board, is string) string {
	t, ok := placeableNamed(b, is)
	if !ok || !t.stated {
		return ""
	}
	return t.statement(t.side, align.Point{X: float64(t.at.X) / 1000, Y: float64(t.at.Y) / 1000})
}

// placeable is a part or pad: what a sheet states the place of.
type placeable struct {
	kind, name string
	known      bool // where it is, if only by its pins
	stated     bool // at is, on the side
	at         board.Point
	side       board.Side
}

func placeableNamed(b *board.Board, is string) (placeable, bool) {
	name := plainName(is)
	if id := b.FindPad(name); id != board.None {
		p := &b.Pads[id]
		return placeable{"pad", p.Name, p.Placed, p.Placed, p.At, p.Side}, true
	}
	if id := b.FindPart(name); id != board.None {
		p := &b.Parts[id]
		_, basis := b.PartOutline(id)
		return placeable{"part", p.Name, basis != board.NoPlace, p.Placed, p.At, p.Side}, true
	}
	return placeable{}, false
}

func (t *placeable) statement(side board.Side, at align.Point) string {
	return fmt.Sprintf("%s %s %s at %s", t.kind, board.QuoteName(t.name), side, inMM(at))
}

// inMM is a place to a hundredth of a millimetre, without zeros at its end.
func inMM(at align.Point) string {
	mm := func(v float64) string { return strconv.FormatFloat(math.Round(100*v)/100+0, 'f', -1, 64) }
	return mm(at.X) + "," + mm(at.Y)
}

// notPlaceable says why no place is written of what was picked.
func notPlaceable(b *board.Board, is string) error {
	const help = "pick a part or a pad that has no place"
	if _, _, found := thingNamed(b, plainName(is)); found || slices.Contains(cornerWords(), is) {
		return complain("Q98", fmt.Sprintf("%s is no part or pad, and only these are given places by a photo", is), help)
	}
	list := complain("Q98", fmt.Sprintf("no part or pad on %s is called %s", b.Ref, diag.Quote(is)))
	list[0].Help = append(meant(is, placeableNames(b)), help)
	return list
}

// placeableNames are the names of all pads and parts.
func placeableNames(b *board.Board) (all []string) {
	for i := range b.Pads {
		all = append(all, b.Pads[i].Name)
	}
	for i := range b.Parts {
		all = append(all, b.Parts[i].Name)
	}
	return all
}
