package photo

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"math"
)

// Flat is the picture as it would be from straight above: wide by high pixels, of which at says
// where on the photo, in its pixels, each is to be found. What is beyond the photo is white.
func (p *Photo) Flat(at func(x, y float64) (px, py float64), wide, high int) ([]byte, error) {
	decoded, err := jpeg.Decode(bytes.NewReader(p.jpeg))
	if err != nil {
		return nil, unreadable(err)
	}
	from := image.NewRGBA(decoded.Bounds())
	draw.Draw(from, from.Bounds(), decoded, image.Point{}, draw.Src)
	to := image.NewRGBA(image.Rect(0, 0, wide, high))
	n := finer(at, wide, high)
	for y := range high {
		for x := range wide {
			to.SetRGBA(x, y, mixed(from, at, float64(x), float64(y), n))
		}
	}
	var out bytes.Buffer
	err = jpeg.Encode(&out, to, &jpeg.Options{Quality: quality})
	return out.Bytes(), err
}

// finer is into how many looks each way a pixel is split: two where a pixel of the flat picture is
// larger than one of the photo in its middle, or lines of pads would come and go.
func finer(at func(x, y float64) (px, py float64), wide, high int) int {
	x, y := float64(wide)/2, float64(high)/2
	ax, ay := at(x, y)
	bx, by := at(x+1, y)
	cx, cy := at(x, y+1)
	if max(math.Hypot(bx-ax, by-ay), math.Hypot(cx-ax, cy-ay)) > 1.2 {
		return 2
	}
	return 1
}

// mixed is the mean of n by n looks at a pixel.
func mixed(from *image.RGBA, at func(x, y float64) (px, py float64), x, y float64, n int) color.RGBA {
	var sum [3]float64
	for i := range n {
		for k := range n {
			px, py := at(x+(float64(i)+0.5)/float64(n), y+(float64(k)+0.5)/float64(n))
			c := between(from, px-0.5, py-0.5)
			for j := range sum {
				sum[j] += c[j] / float64(n*n)
			}
		}
	}
	return color.RGBA{uint8(sum[0] + 0.5), uint8(sum[1] + 0.5), uint8(sum[2] + 0.5), 0xff}
}

// between is the colour at a place between four pixels.
func between(from *image.RGBA, x, y float64) [3]float64 {
	w, h := from.Rect.Dx(), from.Rect.Dy()
	if !(x > -1 && y > -1 && x < float64(w) && y < float64(h)) {
		return [3]float64{255, 255, 255}
	}
	x0, y0 := int(math.Floor(x)), int(math.Floor(y))
	fx, fy := x-float64(x0), y-float64(y0)
	x1, y1 := min(x0+1, w-1), min(y0+1, h-1)
	x0, y0 = max(x0, 0), max(y0, 0)
	var c [3]float64
	for j := range c {
		pix := func(x, y int) float64 { return float64(from.Pix[y*from.Stride+4*x+j]) }
		c[j] = (pix(x0, y0)*(1-fx)+pix(x1, y0)*fx)*(1-fy) + (pix(x0, y1)*(1-fx)+pix(x1, y1)*fx)*fy
	}
	return c
}
