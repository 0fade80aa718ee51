// Package photo takes pictures of boards as cameras write them, and leaves of them what a
// knowledge base may keep: the pixels, upright. What a camera writes beside them (where and
// when it was taken, with which device, a small copy of the picture) is not carried over, for
// the picture is decoded and written anew. A Photo can be made in no other way.
package photo

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"

	"golang.org/x/image/draw"
	"golang.org/x/image/math/f64"

	"netlore/query/diag"
)

// Limits on what is taken. To decode a picture takes 100 MB at most, which are 69 million pixels of a
// JPEG as cameras write it (4:2:0), 34 of one that keeps all colours (4:4:4), 26 of a PNG, 13 of a PNG
// of 16 bits or interlaced, of a JPEG in CMYK, and of a progressive one in 4:2:0, and 4 at least of
// any. To turn and to shrink it takes 64 MB more, and to write it anew up to three times what is kept.
const (
	MostBytes  = 24 << 20
	mostMemory = 100 << 20 // to decode one
	mostScans  = 4         // of a JPEG: one for each colour
	mostLayers = 100       // of a progressive one; programs write ten or so
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
		return nil, damaged(err)
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

// damaged says why a decoder takes no picture.
func damaged(err error) error {
	var rare jpeg.UnsupportedError
	if errors.As(err, &rare) {
		return complain("P201", fmt.Sprintf("the picture is a JPEG of a rare kind, which cannot be read (%s)", string(rare)), "save it as an ordinary JPEG")
	}
	return complain("P204", fmt.Sprintf("the picture is damaged or cut short: %v", err), "copy it from the camera once more")
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
	orientation int   // as EXIF has it, 1 to 8
	memory      int64 // bytes that it takes to decode it
	scans, most int   // how often it is gone over for that, and may be
	decode      func(io.Reader) (image.Image, error)
}

// look reads the header, and refuses what is too much to decode.
func look(data []byte) (h header, err error) {
	if len(data) > MostBytes {
		return h, complain("P202", fmt.Sprintf("the file has more than %d MB", MostBytes>>20), "let the camera make smaller pictures; 12 million pixels are plenty for a board")
	}
	switch {
	case bytes.HasPrefix(data, []byte("\xff\xd8\xff")):
		h, err = lookJPEG(data)
	case bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")):
		h, err = lookPNG(data)
	default:
		return h, noPicture(data)
	}
	switch {
	case err != nil:
		return h, damaged(err)
	case h.wide < leastSide || h.high < leastSide:
		return h, complain("P203", fmt.Sprintf("the picture has %d by %d pixels, which is too little to see a board on", h.wide, h.high))
	case h.memory > mostMemory:
		return h, complain("P203", fmt.Sprintf("the picture has %d by %d pixels, which is more than can be taken of its kind", h.wide, h.high),
			"let the camera make smaller pictures, or save it as an ordinary JPEG of 12 million pixels")
	case h.scans > h.most:
		return h, complain("P203", fmt.Sprintf("the picture is written in %d layers, which no camera does", h.scans), "save it as an ordinary JPEG")
	}
	return h, nil
}

func lookJPEG(data []byte) (h header, err error) {
	config, err := jpeg.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return h, err
	}
	s := readSegments(data)
	h = header{wide: config.Width, high: config.Height, orientation: s.orientation, scans: s.scans, most: mostScans, decode: jpeg.Decode}
	if s.progressive {
		h.most = mostLayers
	}
	h.memory, err = s.memory()
	return h, err
}

func lookPNG(data []byte) (h header, err error) {
	config, err := png.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return h, err
	}
	c := readChunks(data)
	const lines = 4 // that it works on
	// A width and a height may each have 31 bits: with the bytes of a pixel they would be beyond int64.
	pixels := min(int64(config.Width)*int64(config.Height+lines), mostMemory+1)
	return header{wide: config.Width, high: config.Height, orientation: c.orientation, memory: c.each * pixels, decode: png.Decode}, nil
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
	by.Transform(to, across, unboxed(from), from.Bounds(), draw.Over, nil)
	return to
}

// unboxed is a picture of which draw does not allocate every pixel that it looks at, as it does of
// the rarer forms of YCbCr.
func unboxed(from image.Image) image.Image {
	if p, is := from.(*image.YCbCr); is && (p.SubsampleRatio == image.YCbCrSubsampleRatio411 || p.SubsampleRatio == image.YCbCrSubsampleRatio410) {
		return struct{ image.RGBA64Image }{p}
	}
	return from
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
