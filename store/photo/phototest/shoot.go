package phototest

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"slices"

	"golang.org/x/image/vector"

	"netlore/store/board"
)

// Camera takes places of a board, in mm as one sees them looking at the side, to pixels, in
// homogeneous coordinates row by row.
type Camera [9]float64

// Slanted looks at a board of some 62 by 38 mm from aside, and its photo has SlantedWide by
// SlantedHigh pixels.
var Slanted = Camera{25, 1.5, 60, 1.2, -24, 1010, 0.0012, 0.0021, 1}

const SlantedWide, SlantedHigh = 1650, 1100

// At is where on the photo a place is.
func (c Camera) At(x, y float64) (px, py float64) {
	w := c[6]*x + c[7]*y + c[8]
	return (c[0]*x + c[1]*y + c[2]) / w, (c[3]*x + c[4]*y + c[5]) / w
}

// Seen is where on a photo of a side a place of the board is.
func (c Camera) Seen(b *board.Board, side board.Side, p board.Point) (px, py float64) {
	x := float64(p.X)
	if edge, _ := b.Extent(); side == board.Bottom {
		x = float64(edge.Max.X) + float64(edge.Min.X) - x
	}
	return c.At(x/1000, float64(p.Y)/1000)
}

// Shoot is a photo of a side of a board, as PNG: green with dark parts, bright pads and no names.
func Shoot(b *board.Board, side board.Side, c Camera, wide, high int) ([]byte, error) {
	to := image.NewRGBA(image.Rect(0, 0, wide, high))
	draw.Draw(to, to.Bounds(), image.NewUniform(color.RGBA{0xb8, 0xb4, 0xa8, 255}), image.Point{}, draw.Src)
	fill := func(o board.Outline, on board.Side, look color.RGBA) {
		if o.Zero() || on != side && on != board.BothSides {
			return
		}
		area(to, b, side, c, o, look)
	}
	edge, _ := b.Extent()
	fill(board.Box(edge.Min, edge.Max), side, color.RGBA{0x1f, 0x5a, 0x3a, 255})
	for i := range b.Pads {
		o, _ := b.PadOutline(board.PadID(i))
		fill(o, b.Pads[i].Side, color.RGBA{0xe6, 0xd2, 0x8a, 255})
	}
	for i := range b.Parts {
		o, _ := b.PartOutline(board.PartID(i))
		fill(o, b.PartSide(board.PartID(i)), color.RGBA{0x26, 0x26, 0x2a, 255})
	}
	var out bytes.Buffer
	err := png.Encode(&out, to)
	return out.Bytes(), err
}

// area fills an outline as the camera sees it.
func area(to *image.RGBA, b *board.Board, side board.Side, c Camera, o board.Outline, look color.RGBA) {
	var xs, ys []float32
	for _, p := range round(o) {
		x, y := c.Seen(b, side, p)
		xs, ys = append(xs, float32(x)), append(ys, float32(y))
	}
	left, top := int(slices.Min(xs)), int(slices.Min(ys))
	r := vector.NewRasterizer(int(slices.Max(xs))-left+2, int(slices.Max(ys))-top+2)
	for i := range xs {
		if x, y := xs[i]-float32(left), ys[i]-float32(top); i == 0 {
			r.MoveTo(x, y)
		} else {
			r.LineTo(x, y)
		}
	}
	r.ClosePath()
	r.Draw(to, r.Bounds().Add(image.Pt(left, top)), image.NewUniform(look), image.Point{})
}

// round are the corners of an outline; of what is round, enough of them.
func round(o board.Outline) []board.Point {
	if len(o.Points) > 1 {
		return o.Points
	}
	const corners = 24
	r, all := float64(max(o.Radius, 200)), []board.Point(nil)
	for i := range corners {
		turn := 2 * math.Pi * float64(i) / corners
		all = append(all, board.Point{X: o.Points[0].X + int32(r*math.Cos(turn)), Y: o.Points[0].Y + int32(r*math.Sin(turn))})
	}
	return all
}
