package bench_test

import (
	"bytes"
	"flag"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
)

var update = flag.Bool("update", false, "write the golden pictures anew")

// TestBrowserGolden compares the pages with pictures of how they are to look: each a
// tenth of its size and grey, so that letters of another font do not count, but what
// is missing, elsewhere, lighter or darker does.
func TestBrowserGolden(t *testing.T) {
	s := serve(t, "")
	for size, window := range map[string][2]int64{"desktop": {1440, 900}, "tablet": {820, 1180}, "phone": {390, 844}} {
		t.Run(size, func(t *testing.T) {
			p := look(t, window[0], window[1])
			p.comeIn(s)
			for _, page := range []struct{ name, path, shown string }{
				{"home", "/", `#jobs a`},
				{"answer", "/ask?q=hidden+parts+on+lower:VMAIN&on=Heron", `figure .board svg [data-thing]`},
				{"job", "/job/1042", `.board svg [data-thing]`},
				{"thing", "/thing?name=lower:P97&on=Heron", `#answer`},
			} {
				p.do(chromedp.Navigate(s.root + page.path))
				p.waitTrue(`document.querySelector("` + page.shown + `") !== null`)
				p.shoot("golden-" + size + "-" + page.name)
				p.looksLike(filepath.Join("testdata", size+"-"+page.name+".png"), reduced)
				if size == "desktop" && page.name == "job" { // which README.md shows
					p.looksLike(filepath.Join("..", "..", "..", "testdata", "pictures", "job.png"), func(full image.Image) image.Image { return full })
				}
			}
		})
	}
}

// How much darker or lighter a golden picture may be in the mean, and how many of
// its dots may be clearly so, of 255 and of 1.
const (
	mostShade = 4.0
	mostDots  = 0.02
	clearly   = 40.0
)

// looksLike compares what is in the window with a golden picture, which is kept as keep
// makes it: reduced, or as it is.
func (p *sight) looksLike(file string, keep func(image.Image) image.Image) {
	p.Helper()
	shot, err := chromedp.Run(p.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		p.Fatal(err)
	}
	full, err := png.Decode(bytes.NewReader(shot))
	if err != nil {
		p.Fatal(err)
	}
	if *update {
		writePicture(p, file, keep(full))
		return
	}
	in, err := os.Open(file)
	if err != nil {
		p.Fatal(err)
	}
	defer in.Close()
	want, err := png.Decode(in)
	if err != nil {
		p.Fatal(err)
	}
	is := reduced(full)
	if want.Bounds() != is.Bounds() {
		want = reduced(want)
	}
	if shade, dots := unlike(is, want); shade > mostShade || dots > mostDots {
		p.shoot("unlike-" + filepath.Base(file))
		p.Errorf("%s: the page is %.1f of 255 lighter or darker in the mean, want %.1f at most, and %.1f %% of it clearly so, want %.1f %%",
			file, shade, mostShade, 100*dots, 100*mostDots)
	}
}

func writePicture(p *sight, file string, is image.Image) {
	var b bytes.Buffer
	if err := png.Encode(&b, is); err != nil {
		p.Fatal(err)
	}
	if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
		p.Fatal(err)
	}
}

// reduced is a picture in grey at a tenth of its size: each dot is the mean of a
// hundred.
func reduced(full image.Image) image.Image {
	const by = 10
	size := full.Bounds().Size()
	small := image.NewGray(image.Rect(0, 0, size.X/by, size.Y/by))
	for y := range small.Rect.Dy() {
		for x := range small.Rect.Dx() {
			sum := 0
			for i := range by * by {
				at := full.At(full.Bounds().Min.X+x*by+i%by, full.Bounds().Min.Y+y*by+i/by)
				sum += int(color.GrayModel.Convert(at).(color.Gray).Y)
			}
			small.SetGray(x, y, color.Gray{Y: uint8(sum / (by * by))})
		}
	}
	return small
}

// unlike is by how much two pictures are unlike in the mean, and the share of dots
// that clearly are. Pictures of two sizes are as unlike as can be.
func unlike(a, b image.Image) (shade, dots float64) {
	if a.Bounds() != b.Bounds() {
		return 255, 1
	}
	n := float64(a.Bounds().Dx() * a.Bounds().Dy())
	for y := range a.Bounds().Dy() {
		for x := range a.Bounds().Dx() {
			from := color.GrayModel.Convert(a.At(x, y)).(color.Gray)
			to := color.GrayModel.Convert(b.At(x, y)).(color.Gray)
			by := math.Abs(float64(from.Y) - float64(to.Y))
			shade += by / n
			if by > clearly {
				dots += 1 / n
			}
		}
	}
	return shade, dots
}

// TestUnlike has the comparison tell a page with one box more, one box less and one
// moved by a line from the page itself.
func TestUnlike(t *testing.T) {
	page := func(boxes ...image.Rectangle) image.Image {
		p := image.NewGray(image.Rect(0, 0, 1440, 900))
		for i := range p.Pix {
			p.Pix[i] = 255
		}
		for _, b := range boxes {
			for y := b.Min.Y; y < b.Max.Y; y++ {
				for x := b.Min.X; x < b.Max.X; x++ {
					p.SetGray(x, y, color.Gray{Y: 120})
				}
			}
		}
		return reduced(p)
	}
	a, b := image.Rect(40, 60, 640, 460), image.Rect(700, 60, 1400, 200)
	for name, other := range map[string]image.Image{"more": page(a, b, image.Rect(700, 500, 1000, 640)), "less": page(a), "moved": page(a, b.Add(image.Pt(0, 60)))} {
		if shade, dots := unlike(page(a, b), other); shade <= mostShade && dots <= mostDots {
			t.Errorf("%s: %.2f in the mean, %.3f clearly", name, shade, dots)
		}
	}
	if shade, dots := unlike(page(a, b), page(a, b)); shade != 0 || dots != 0 {
		t.Errorf("the same page is unlike itself: %v, %v", shade, dots)
	}
}
