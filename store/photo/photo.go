// Package photo takes pictures of boards as cameras write them, and leaves of them what a
// knowledge base may keep: the pixels, upright. What a camera writes beside them (where and
// when it was taken, with which device, a small copy of the picture) is not carried over, for
// the picture is decoded and written anew. A Photo can be made in no other way.
package photo

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"

	"golang.org/x/image/draw"
	"golang.org/x/image/math/f64"

	"netlore/query/diag"
)

// Limits on what is taken. Of photos as cameras write them 26 million pixels are taken; of the
// forms that need more room to decode, fewer.
const (
	MostBytes  = 24 << 20
	mostMemory = 100 << 20 // to decode one
	leastSide  = 64
	mostSide   = 4096 // of what is kept
	quality    = 88
)

// Photo is a picture that can be kept.
type Photo struct {
	jpeg       []byte
	wide, high int
}

// JPEG is the picture as it is kept.
func (p *Photo) JPEG() []byte { return p.jpeg }

// Size is how many pixels it is wide and high.
func (p *Photo) Size() (wide, high int) { return p.wide, p.high }

// Clean takes a picture in JPEG or PNG. Complaints are a diag.List.
func Clean(data []byte) (*Photo, error) {
	h, err := look(data)
	if err != nil {
		return nil, err
	}
	if _, w, high := keptSize(h.wide, h.high); min(w, high) < leastSide {
		return nil, complain("P203", fmt.Sprintf("the picture has %d by %d pixels, and %d by %d once it is small enough to keep, which is too little to see a board on", h.wide, h.high, w, high), "cut off what is beside the board")
	}
	decoded, err := h.decode(bytes.NewReader(data))
	if err != nil {
		return nil, complain("P204", fmt.Sprintf("the picture is damaged or cut short: %v", err), "copy it from the camera once more")
	}
	if decoded.Bounds() != image.Rect(0, 0, h.wide, h.high) {
		return nil, complain("P204", "the picture is not as large as it says", "copy it from the camera once more")
	}
	upright := turned(decoded, h.orientation)
	var out bytes.Buffer
	if err := jpeg.Encode(&out, upright, &jpeg.Options{Quality: quality}); err != nil {
		return nil, err
	}
	return &Photo{out.Bytes(), upright.Bounds().Dx(), upright.Bounds().Dy()}, nil
}

// Kept is a picture that Clean has made, as it comes back from where it was kept.
func Kept(data []byte) (*Photo, error) {
	config, err := jpeg.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, unreadable(err)
	}
	return &Photo{data, config.Width, config.Height}, nil
}

func unreadable(err error) error {
	return complain("P204", fmt.Sprintf("the picture that was kept cannot be read: %v", err), "add the photo once more")
}

func complain(code, message string, help ...string) diag.List {
	return diag.List{{Code: code, Message: message, Help: help}}
}

// header is what a file says of its picture before it is decoded.
type header struct {
	wide, high  int
	orientation int // as EXIF has it, 1 to 8
	each        int // bytes that a pixel takes while it is decoded
	png         bool
}

func (h *header) decode(r *bytes.Reader) (image.Image, error) {
	if h.png {
		return png.Decode(r)
	}
	return jpeg.Decode(r)
}

// look reads the header, and refuses what is too large to decode.
func look(data []byte) (h header, err error) {
	if len(data) > MostBytes {
		return h, complain("P202", fmt.Sprintf("the file has more than %d MB", MostBytes>>20), "let the camera make smaller pictures; 12 million pixels are plenty for a board")
	}
	h = header{orientation: 1}
	var config image.Config
	switch {
	case bytes.HasPrefix(data, []byte("\xff\xd8\xff")):
		h.orientation, h.each = scan(data)
		config, err = jpeg.DecodeConfig(bytes.NewReader(data))
	case bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")):
		h.png, h.each = true, 8
		config, err = png.DecodeConfig(bytes.NewReader(data))
	default:
		return h, noPicture(data)
	}
	if err != nil {
		return h, complain("P204", fmt.Sprintf("the picture is damaged or cut short: %v", err), "copy it from the camera once more")
	}
	h.wide, h.high = config.Width, config.Height
	switch {
	case h.wide < leastSide || h.high < leastSide:
		return h, complain("P203", fmt.Sprintf("the picture has %d by %d pixels, which is too little to see a board on", h.wide, h.high))
	case int64(h.wide)*int64(h.high)*int64(h.each) > mostMemory:
		return h, complain("P203", fmt.Sprintf("the picture has %d by %d pixels, which is more than can be taken of its kind", h.wide, h.high),
			"let the camera make smaller pictures, or save it as an ordinary JPEG of 12 million pixels")
	}
	return h, nil
}

func noPicture(data []byte) error {
	help := []string{"take it as JPEG or PNG"}
	if len(data) > 12 && string(data[4:8]) == "ftyp" {
		help = []string{"telephones save HEIC to save room: tell the camera to save JPEG (some call it most compatible), or send the photo by mail, which makes it one"}
	}
	return complain("P201", "this is no picture in JPEG or PNG", help...)
}

// keptSize is how large a picture is kept, and by how much it is scaled for that.
func keptSize(wide, high int) (scale float64, w, h int) {
	scale = min(1, float64(mostSide)/float64(max(wide, high)))
	return scale, int(scale * float64(wide)), int(scale * float64(high))
}

// turned is a picture as it is to be seen, no larger than is kept.
func turned(from image.Image, orientation int) image.Image {
	w, h := from.Bounds().Dx(), from.Bounds().Dy()
	s, wide, high := keptSize(w, h)
	if _, opaque := from.(*image.YCbCr); opaque && orientation == 1 && s == 1 {
		return from
	}
	m := turns[orientation]
	if m[0] == 0 { // it was lying
		w, h, wide, high = h, w, high, wide
	}
	across := f64.Aff3{s * m[0], s * m[1], s * m[2] * float64(w), s * m[3], s * m[4], s * m[5] * float64(h)}
	to := image.NewRGBA(image.Rect(0, 0, wide, high))
	draw.Draw(to, to.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	var by draw.Transformer = draw.NearestNeighbor // nothing is between pixels
	if s < 1 {
		by = draw.BiLinear
	}
	by.Transform(to, across, from, from.Bounds(), draw.Over, nil)
	return to
}

// turns are the eight orientations of EXIF 2.3 (tag 274) as maps of the stored picture to the upright one: x of
// x, of y and of the upright picture's width; then y, of x, of y and of its height.
var turns = [9][6]float64{
	1: {1, 0, 0, 0, 1, 0},
	2: {-1, 0, 1, 0, 1, 0},
	3: {-1, 0, 1, 0, -1, 1},
	4: {1, 0, 0, 0, -1, 1},
	5: {0, 1, 0, 1, 0, 0},
	6: {0, -1, 1, 1, 0, 0},
	7: {0, -1, 1, -1, 0, 1},
	8: {0, 1, 0, -1, 0, 1},
}
