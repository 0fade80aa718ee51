package draw

import "netlore/store/board"

// box is a box of the picture; y goes down.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) meets(c box) bool       { return b.x0 < c.x1 && c.x0 < b.x1 && b.y0 < c.y1 && c.y0 < b.y1 }
func (b box) holds(c box) bool       { return b.x0 <= c.x0 && c.x1 <= b.x1 && b.y0 <= c.y0 && c.y1 <= b.y1 }
func (b box) grow(by float64) box    { return box{b.x0 - by, b.y0 - by, b.x1 + by, b.y1 + by} }
func (b box) width() float64         { return b.x1 - b.x0 }
func (b box) height() float64        { return b.y1 - b.y0 }
func (b box) middle() (x, y float64) { return (b.x0 + b.x1) / 2, (b.y0 + b.y1) / 2 }

// ground takes places on a board to places in its view.
type ground struct {
	from   board.Bounds
	scale  float64 // of the picture for each micrometre
	mirror bool    // seen from below
}

func (g ground) at(p board.Point) (x, y float64) {
	x = float64(p.X-g.from.Min.X) * g.scale
	if g.mirror {
		x = float64(g.from.Max.X-p.X) * g.scale
	}
	return x, float64(g.from.Max.Y-p.Y) * g.scale
}

// size is the width and height of the view.
func (g ground) size() (w, h float64) {
	return float64(g.from.Max.X-g.from.Min.X) * g.scale, float64(g.from.Max.Y-g.from.Min.Y) * g.scale
}

// bounds is the box of an outline. What is known by its place only has a small one.
func (g ground) bounds(o board.Outline) box {
	b := o.Bounds()
	x0, y0 := g.at(board.Point{X: b.Min.X, Y: b.Max.Y})
	x1, y1 := g.at(board.Point{X: b.Max.X, Y: b.Min.Y})
	found := box{min(x0, x1), y0, max(x0, x1), y1}
	if short := leastSize - min(found.width(), found.height()); short > 0 && isSpot(o) {
		found = found.grow(short / 2)
	}
	return found
}

// leastSize is how large something is drawn of which only the place is known.
const leastSize = 6.0

func isSpot(o board.Outline) bool { return len(o.Points) == 1 && o.Radius == 0 }

// outline adds an outline to a path.
func (g ground) outline(p *path, o board.Outline) {
	switch {
	case o.Zero():
	case isSpot(o):
		b := g.bounds(o)
		p.move(b.x0, b.y0)
		p.line(b.x1, b.y1)
		p.move(b.x0, b.y1)
		p.line(b.x1, b.y0)
	case len(o.Points) == 1:
		x, y := g.at(o.Points[0])
		p.circle(x, y, float64(o.Radius)*g.scale)
	default:
		for i, pt := range o.Points {
			if x, y := g.at(pt); i == 0 {
				p.move(x, y)
			} else {
				p.line(x, y)
			}
		}
		p.close()
	}
}

// extent is what a view shows: the board with what sticks out of it, such as a
// connector; else, if no size is known, all that has a place.
func extent(b *board.Board) board.Bounds {
	const rim = 1500
	edge, known := b.Extent()
	known = known && edge.Max.X > edge.Min.X && edge.Max.Y > edge.Min.Y
	all, some := edge, known
	eachOutline(b, func(o board.Outline) {
		switch c := o.Bounds(); {
		case o.Zero() || known && !c.Meets(edge):
		case !some:
			all, some = c, true
		default:
			all = joined(all, c)
		}
	})
	if !known {
		return all.Grow(rim)
	}
	return all
}

// joined is the smallest box that holds both.
func joined(a, b board.Bounds) board.Bounds {
	return board.Bounds{
		Min: board.Point{X: min(a.Min.X, b.Min.X), Y: min(a.Min.Y, b.Min.Y)},
		Max: board.Point{X: max(a.Max.X, b.Max.X), Y: max(a.Max.Y, b.Max.Y)},
	}
}

// eachOutline hands over the outlines of all parts, pads, pins and covers.
func eachOutline(b *board.Board, add func(board.Outline)) {
	for i := range b.Parts {
		o, _ := b.PartOutline(board.PartID(i))
		add(o)
	}
	for i := range b.Pads {
		o, _ := b.PadOutline(board.PadID(i))
		add(o)
	}
	for i := range b.Pins {
		o, _ := b.PinOutline(board.PinID(i))
		add(o)
	}
	for i := range b.Covers {
		o, _ := b.CoverOutline(board.CoverID(i))
		add(o)
	}
}
