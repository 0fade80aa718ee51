package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"slices"
	"strings"
	"testing"

	"netlore/query/diag"
)

// corners is a picture with another colour in each quarter.
func corners(w, h int) *image.RGBA {
	to := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			to.SetRGBA(x, y, color.RGBA{uint8(b2i(x < w/2) * 255), uint8(b2i(y < h/2) * 255), 40, 255})
		}
	}
	return to
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

func asJPEG(t testing.TB, from image.Image) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := jpeg.Encode(&out, from, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func asPNG(t testing.TB, from image.Image) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := png.Encode(&out, from); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// segment is a marker segment of a JPEG.
func segment(marker byte, body string) []byte {
	return append(binary.BigEndian.AppendUint16([]byte{0xff, marker}, uint16(len(body)+2)), body...)
}

// exif is EXIF data with an orientation, in either order of bytes, and with what else a camera
// writes.
func exif(order binary.ByteOrder, mark string, orientation uint16) string {
	text := "canary-of-the-camera"
	b := append([]byte(mark), make([]byte, 6)...)
	order.PutUint16(b[2:], 42)
	order.PutUint32(b[4:], 8)
	entry := func(tag, kind uint16, count, value uint32) {
		e := make([]byte, 12)
		order.PutUint16(e, tag)
		order.PutUint16(e[2:], kind)
		order.PutUint32(e[4:], count)
		if kind == 3 {
			order.PutUint16(e[8:], uint16(value))
		} else {
			order.PutUint32(e[8:], value)
		}
		b = append(b, e...)
	}
	b = append(b, 0, 0)
	order.PutUint16(b[8:], 3)
	entry(0x010f, 2, uint32(len(text)), 50)  // the maker
	entry(0x0112, 3, 1, uint32(orientation)) // the orientation
	entry(0x8825, 4, 1, 50)                  // where it was taken
	return "Exif\x00\x00" + string(b) + "\x00\x00\x00\x00" + text
}

func with(picture []byte, segments ...[]byte) []byte {
	all := append([]byte(nil), picture[:2]...)
	for _, s := range segments {
		all = append(all, s...)
	}
	return append(all, picture[2:]...)
}

// TestUpright turns pictures of every orientation. What each means is that of the table of EXIF 2.3
// (from memory): on which side of the scene its first row lies, and its first column.
func TestUpright(t *testing.T) {
	const w, h = 96, 64
	scene := corners(w, h)
	for o, first := range []struct{ row, column string }{1: {"top", "left"}, 2: {"top", "right"}, 3: {"bottom", "right"}, 4: {"bottom", "left"},
		5: {"left", "top"}, 6: {"right", "top"}, 7: {"right", "bottom"}, 8: {"left", "bottom"}} {
		if o == 0 {
			continue
		}
		lying := first.row == "left" || first.row == "right"
		stored := image.NewRGBA(image.Rect(0, 0, w, h))
		if lying {
			stored = image.NewRGBA(image.Rect(0, 0, h, w))
		}
		from := func(side string, n, size int) int {
			if side == "top" || side == "left" {
				return n
			}
			return size - 1 - n
		}
		for r := range stored.Rect.Dy() {
			for c := range stored.Rect.Dx() {
				x, y := from(first.column, c, w), from(first.row, r, h)
				if lying {
					x, y = from(first.row, r, w), from(first.column, c, h)
				}
				stored.SetRGBA(c, r, scene.RGBAAt(x, y))
			}
		}
		for mark, order := range map[string]binary.ByteOrder{"II": binary.LittleEndian, "MM": binary.BigEndian} {
			p, err := Clean(with(asJPEG(t, stored), segment(0xe0, "JFIF\x00\x01"), segment(0xe1, exif(order, mark, uint16(o)))))
			if err != nil {
				t.Fatalf("%d: %v", o, err)
			}
			same(t, p, scene)
			if p, err = Clean(withExif(t, stored, exif(order, mark, uint16(o))[len("Exif\x00\x00"):])); err != nil {
				t.Fatalf("PNG, %d: %v", o, err)
			}
			same(t, p, scene)
		}
	}
}

// withExif is a PNG with an eXIf chunk, which holds what in a JPEG comes after "Exif" (PNG third edition, W3C 2025).
func withExif(t testing.TB, picture image.Image, exif string) []byte {
	t.Helper()
	plain := asPNG(t, picture)
	const behindHeader = 8 + 12 + 13
	return slices.Insert(plain, behindHeader, chunked("eXIf", exif)[8:]...)
}

// same compares a picture with what it should show, near its corners.
func same(t *testing.T, p *Photo, want *image.RGBA) {
	t.Helper()
	got, err := jpeg.Decode(bytes.NewReader(p.JPEG()))
	if w, h := p.Size(); err != nil || got.Bounds() != want.Rect || w != want.Rect.Dx() || h != want.Rect.Dy() {
		t.Fatalf("%v is not %v, %v", got.Bounds(), want.Rect, err)
	}
	for _, x := range []int{1, want.Rect.Dx() - 2} {
		for _, y := range []int{1, want.Rect.Dy() - 2} {
			r, g, _, _ := got.At(x, y).RGBA()
			if c := want.RGBAAt(x, y); math.Abs(float64(r>>8)-float64(c.R)) > 12 || math.Abs(float64(g>>8)-float64(c.G)) > 12 {
				t.Errorf("at %d, %d is %d, %d, not %v", x, y, r>>8, g>>8, c)
			}
		}
	}
}

// TestNothingButThePicture looks for what a camera has written beside it.
func TestNothingButThePicture(t *testing.T) {
	full := with(asJPEG(t, corners(200, 100)), segment(0xe1, exif(binary.LittleEndian, "II", 1)), segment(0xe1, "http://ns.adobe.com/xap/1.0/\x00<canary/>"),
		segment(0xe2, "ICC_PROFILE\x00canary"), segment(0xed, "Photoshop 3.0\x00canary"), segment(0xfe, "canary"))
	full = append(full, "canary at the end"...)
	if n := bytes.Count(full, []byte("canary")); n != 6 {
		t.Fatalf("%d canaries", n)
	}
	p, err := Clean(full)
	if err != nil {
		t.Fatal(err)
	}
	for _, word := range []string{"canary", "Exif", "II*", "ICC"} {
		if bytes.Contains(p.JPEG(), []byte(word)) {
			t.Errorf("%q is kept", word)
		}
	}
	same(t, p, corners(200, 100))
	full = withExif(t, corners(200, 100), exif(binary.BigEndian, "MM", 3)[6:])
	full = slices.Insert(full, len(full)-12, chunked("tEXt", "Author\x00canary")[8:]...)
	if n := bytes.Count(full, []byte("canary")); n != 2 {
		t.Fatalf("%d canaries", n)
	}
	if p, err := Clean(full); err != nil || bytes.Contains(p.JPEG(), []byte("canary")) {
		t.Errorf("of a PNG: %v", err)
	}
	if again, err := Kept(p.JPEG()); err != nil || again.wide != 200 || again.high != 100 {
		t.Errorf("%+v, %v", again, err)
	}
}

func TestPNG(t *testing.T) {
	p, err := Clean(asPNG(t, corners(200, 100)))
	if err != nil {
		t.Fatal(err)
	}
	same(t, p, corners(200, 100))
	clear := image.NewNRGBA(image.Rect(0, 0, 80, 80)) // where nothing is, it is paper
	if p, err = Clean(asPNG(t, clear)); err != nil {
		t.Fatal(err)
	}
	got, _ := jpeg.Decode(bytes.NewReader(p.JPEG()))
	if r, _, _, _ := got.At(40, 40).RGBA(); r < 0xf000 {
		t.Errorf("nothing is drawn as %x", r)
	}
}

// TestLargeIsMadeSmaller keeps no more pixels than are of use.
func TestLargeIsMadeSmaller(t *testing.T) {
	p, err := Clean(asPNG(t, corners(5000, 100)))
	if err != nil {
		t.Fatal(err)
	}
	same(t, p, corners(4096, 81))
}

// large is the segment of a JPEG that says it has 12 million pixels, of the kind that is told by its marker.
func large(marker byte) []byte {
	return segment(marker, "\x08\x0b\xb8\x0f\xa0\x03\x01\x11\x00\x02\x11\x01\x03\x11\x01")
}

// TestNarrow keeps what is just broad enough once it is made smaller, and reads it back.
func TestNarrow(t *testing.T) {
	p, err := Clean(asPNG(t, corners(8192, 128)))
	if err != nil {
		t.Fatal(err)
	}
	if again, err := Kept(p.JPEG()); err != nil || again.wide != 4096 || again.high != leastSide {
		t.Errorf("%+v, %v", again, err)
	}
	var list diag.List
	if _, err := Kept(p.JPEG()[:40]); !errors.As(err, &list) || list[0].Code != "P204" {
		t.Errorf("what was cut short: %v", err)
	}
}

func TestRefused(t *testing.T) {
	good, jfif := asJPEG(t, corners(200, 100)), segment(0xe0, "JFIF\x00\x01")
	huge := append([]byte(nil), asPNG(t, corners(64, 64))...)
	binary.BigEndian.PutUint32(huge[16:], 60000) // its width; the sum of the chunk is wrong then
	for name, c := range map[string]struct {
		data []byte
		code string
	}{
		"nothing":         {nil, "P201"},
		"a text":          {[]byte("a board, seen from above"), "P201"},
		"another picture": {[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00"), "P201"},
		"too many bytes":  {make([]byte, MostBytes+1), "P202"},
		"too few pixels":  {asPNG(t, corners(20, 20)), "P203"},
		"too narrow":      {asPNG(t, corners(8000, 100)), "P203"},
		"too many pixels": {with(good[:2], jfif, segment(0xc0, "\x08\xff\xff\xff\xff\x03\x01\x11\x00\x02\x11\x01\x03\x11\x01")), "P203"},
		"beyond numbers":  {chunked("IHDR", "\x40\x00\x00\x00\x20\x00\x00\x00\x10\x06\x00\x00\x01", "IDAT", "x"), "P203"}, // 2^30 by 2^29 pixels
		"progressive":     {with(good[:2], jfif, large(0xc2)), "P203"},
		"stray bytes":     {with(good[:2], jfif, []byte("stray"), large(0xc2)), "P203"},
		"an FF 00":        {with(good[:2], jfif, []byte("\xff\x00\x00\x15"), large(0xc2), large(0xc0)), "P203"},
		"a restart":       {with(good[:2], jfif, []byte("\xff\xd0\x00\x15"), large(0xc2), large(0xc0)), "P203"},
		"cut short":       {good[:len(good)/2], "P204"},
		"only a head":     {good[:4], "P204"},
		"changed":         {huge, "P204"},
	} {
		_, err := Clean(c.data)
		var list diag.List
		if !errors.As(err, &list) || list[0].Code != c.code {
			t.Errorf("%s: %v, want %s", name, err, c.code)
		} else if _, ok := Explain(c.code); !ok {
			t.Errorf("%s is not explained", c.code)
		}
	}
	if _, err := Clean([]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00")); !strings.Contains(strings.Join(err.(diag.List)[0].Help, " "), "HEIC") {
		t.Errorf("%v does not say what to do about HEIC", err)
	}
}

// TestFlat lays a picture flat whose colour at each place says where that is.
func TestFlat(t *testing.T) {
	from := image.NewRGBA(image.Rect(0, 0, 512, 256))
	for y := range 256 {
		for x := range 512 {
			from.SetRGBA(x, y, color.RGBA{uint8(x / 2), uint8(y), 128, 255})
		}
	}
	p, err := Clean(asPNG(t, from))
	if err != nil {
		t.Fatal(err)
	}
	for name, at := range map[string]func(x, y float64) (float64, float64){
		"as it is": func(x, y float64) (float64, float64) { return 4 * x, 4 * y },
		"turned":   func(x, y float64) (float64, float64) { return 512 - 4*x, 256 - 4*y },
		"at a slant": func(x, y float64) (float64, float64) {
			w := 1 + x/200 + y/300
			return (5*x + y + 20) / w, (0.4*x + 4*y + 10) / w
		},
		"much larger": func(x, y float64) (float64, float64) { return 200 + x/8, 100 + y/8 },
	} {
		flat, err := p.Flat(at, 128, 64)
		if err != nil {
			t.Fatal(err)
		}
		got, err := jpeg.Decode(bytes.NewReader(flat))
		if err != nil || got.Bounds() != image.Rect(0, 0, 128, 64) {
			t.Fatal(err)
		}
		for x := 8; x < 120; x += 7 {
			for y := 8; y < 56; y += 7 {
				px, py := at(float64(x)+0.5, float64(y)+0.5)
				if px < 8 || py < 8 || px > 504 || py > 248 {
					continue
				}
				r, g, _, _ := got.At(x, y).RGBA()
				if math.Abs(float64(r>>8)-px/2) > 6 || math.Abs(float64(g>>8)-py) > 6 {
					t.Errorf("%s: at %d, %d is what was at %d, %d, not %.0f, %.0f", name, x, y, 2*(r>>8), g>>8, px, py)
				}
			}
		}
	}
	flat, _ := p.Flat(func(x, y float64) (float64, float64) { return x + 5000, math.NaN() }, 64, 64)
	got, _ := jpeg.Decode(bytes.NewReader(flat))
	if r, _, _, _ := got.At(30, 30).RGBA(); r < 0xf000 {
		t.Error("what is beyond the photo is not white")
	}
}

// FuzzClean takes any bytes: they are refused with a complaint, or a picture comes out that is taken again.
func FuzzClean(f *testing.F) {
	small := corners(70, 66)
	f.Add(asJPEG(f, small))
	f.Add(asPNG(f, small))
	f.Add(withExif(f, small, exif(binary.BigEndian, "MM", 6)[6:]))
	for _, form := range forms {
		f.Add(form.write(66, 70))
	}
	f.Add(layered(3, 70, 66))
	f.Add(with(asJPEG(f, small), segment(0xe1, exif(binary.LittleEndian, "II", 6))))
	f.Fuzz(func(t *testing.T, data []byte) {
		if h, err := look(data); err == nil && h.wide*h.high > 1<<20 {
			t.Skip() // it is allowed, and takes long
		}
		p, err := Clean(data)
		if err != nil {
			var list diag.List
			if !errors.As(err, &list) {
				t.Errorf("%v is no complaint", err)
			}
			return
		}
		if _, err := Clean(p.JPEG()); err != nil {
			t.Errorf("what was made is refused: %v", err)
		}
	})
}

// FuzzOriented reads any EXIF data to its end, and never beyond.
func FuzzOriented(f *testing.F) {
	f.Add([]byte(exif(binary.BigEndian, "MM", 8)[6:]))
	f.Add([]byte("II*\x00\xff\xff\xff\xff"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if o := oriented(data); o < 1 || o > 8 {
			t.Errorf("orientation %d", o)
		}
	})
}
