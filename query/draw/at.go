package draw

import (
	"math"

	"netlore/store/board"
)

// At is what lies at a point of a side of a board, or nearest to it and no farther
// away than near, in micrometres. Of several things it is the smallest: a part, and
// not the cover over it.
func At(b *board.Board, side board.Side, p board.Point, near float64) (kind Kind, id int32, ok bool) {
	best, size := near, math.Inf(1)
	look := func(k Kind, i int, o board.Outline, on board.Side) {
		if o.Zero() || on != side && on != board.BothSides {
			return
		}
		box := o.Bounds()
		away := distance(box, p)
		if away == 0 && !o.Contains(p) {
			away = 1 // in a corner of its box
		}
		area := float64(box.Max.X-box.Min.X) * float64(box.Max.Y-box.Min.Y)
		if away > best || away == best && area >= size {
			return
		}
		kind, id, ok, best, size = k, int32(i), true, away, area
	}
	for i := range b.Parts {
		o, _ := b.PartOutline(board.PartID(i))
		look(Part, i, o, b.PartSide(board.PartID(i)))
	}
	for i := range b.Pads {
		o, _ := b.PadOutline(board.PadID(i))
		look(Pad, i, o, b.Pads[i].Side)
	}
	for i := range b.Covers {
		o, on := b.CoverOutline(board.CoverID(i))
		look(Cover, i, o, on)
	}
	return kind, id, ok
}

// distance is how far a point is outside of a box, in micrometres.
func distance(box board.Bounds, p board.Point) float64 {
	dx := max(float64(box.Min.X)-float64(p.X), float64(p.X)-float64(box.Max.X), 0)
	dy := max(float64(box.Min.Y)-float64(p.Y), float64(p.Y)-float64(box.Max.Y), 0)
	return math.Hypot(dx, dy)
}
