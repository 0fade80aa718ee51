package query

import (
	"math"

	"netlore/query/align"
	"netlore/query/draw"
	"netlore/store/board"
)

// Laid is how a photo is laid flat under the plan of a side: the piece of the board that the flat
// picture shows, as one sees it looking at the side, and where on the photo each of its pixels is to be
// found.
type Laid struct {
	Side       board.Side
	Of         board.Bounds
	Wide, High int
	fit        *align.Fit
}

// mostFlat is how many pixels a flat picture has along its longer side at most.
const mostFlat = 1600

// LayPhoto says how a photo of so many pixels is laid flat.
func LayPhoto(b *board.Board, side board.Side, fit *align.Fit, wide, high int) Laid {
	l := Laid{Side: side, Of: shownOn(b, fit, wide, high), fit: fit}
	w, h := float64(l.Of.Max.X-l.Of.Min.X)/1000, float64(l.Of.Max.Y-l.Of.Min.Y)/1000
	middle := align.Point{X: float64(l.Of.Min.X)/1000 + w/2, Y: float64(l.Of.Min.Y)/1000 + h/2}
	a, c := fit.Photo(middle), fit.Photo(align.Point{X: middle.X + 0.1, Y: middle.Y})
	fine := min(10*math.Hypot(a.X-c.X, a.Y-c.Y), mostFlat/max(w, h)) // pixels for a millimetre
	if !(fine > 0) {
		fine = mostFlat / max(w, h)
	}
	l.Wide, l.High = max(1, int(w*fine)), max(1, int(h*fine))
	return l
}

// At is where on the photo a place of the flat picture is.
func (l Laid) At(x, y float64) (px, py float64) {
	w, h := float64(l.Of.Max.X-l.Of.Min.X), float64(l.Of.Max.Y-l.Of.Min.Y)
	across := x / float64(l.Wide) * w
	at := align.Point{X: (float64(l.Of.Min.X) + across) / 1000, Y: (float64(l.Of.Max.Y) - y/float64(l.High)*h) / 1000}
	if l.Side == board.Bottom {
		at.X = (float64(l.Of.Max.X) - across) / 1000
	}
	p := l.fit.Photo(at)
	return p.X, p.Y
}

// Under is the flat picture for a plan.
func (l Laid) Under(href string) draw.Photo { return draw.Photo{Side: l.Side, Of: l.Of, Href: href} }

// shownOn is the piece of the board that is shown: all of it with a rim if its size is known, else
// what the photo shows of it, as far as that makes sense.
func shownOn(b *board.Board, fit *align.Fit, wide, high int) board.Bounds {
	const rim, most = 2000, 1e6 // micrometres; a metre is beyond all boards
	if edge, known := b.Extent(); known && edge.Max.X > edge.Min.X && edge.Max.Y > edge.Min.Y {
		return edge.Grow(rim)
	}
	box := [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, x := range []float64{0, 0.5, 1} {
		for _, y := range []float64{0, 0.5, 1} {
			p := fit.Board(align.Point{X: x * float64(wide), Y: y * float64(high)})
			px, py := clampTo(p.X*1000, most), clampTo(p.Y*1000, most)
			box = [4]float64{min(box[0], px), min(box[1], py), max(box[2], px), max(box[3], py)}
		}
	}
	return board.Bounds{Min: board.Point{X: int32(box[0]), Y: int32(box[1])}, Max: board.Point{X: int32(box[2]) + 1, Y: int32(box[3]) + 1}}
}

func clampTo(v, most float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return max(-most, min(v, most))
}
