package photos

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"os"
	"strings"
	"testing"

	"netlore/query"
	"netlore/query/draw"
	"netlore/store"
	"netlore/store/board"
	"netlore/store/photo"
	"netlore/store/photo/phototest"
	"netlore/store/sheet"
)

// shot is a base with the radio half of the Heron, and a photo of a side of it that is taken from
// aside and aligned by some of its places.
func shot(t *testing.T, side board.Side) (*store.Base, *store.Photo, *board.Board) {
	t.Helper()
	text, err := os.ReadFile("../../../testdata/heron/heron-b.lore")
	if err != nil {
		t.Fatal(err)
	}
	file, list := sheet.Parse("heron-b.lore", text)
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	base := store.OpenMemory(nil)
	t.Cleanup(func() { base.Close() })
	ref := board.Ref{Name: "Heron-B", Revision: "2"}
	if _, err := base.Add(t.Context(), store.Addition{Subject: store.BoardSubject(ref), Files: []*sheet.File{file}, Author: "bench-1"}); err != nil {
		t.Fatal(err)
	}
	b, err := base.Board(t.Context(), ref)
	if err != nil {
		t.Fatal(err)
	}
	data, err := phototest.Shoot(b, side, phototest.Slanted, phototest.SlantedWide, phototest.SlantedHigh)
	if err != nil {
		t.Fatal(err)
	}
	picture, err := photo.Clean(data)
	if err != nil {
		t.Fatal(err)
	}
	p, err := base.SetPhoto(t.Context(), ref, side, picture, "bench-1")
	if err != nil {
		t.Fatal(err)
	}
	var points []store.PhotoPoint
	for _, is := range []string{"lower-left", "lower-right", "upper-right", "upper-left", "31,19"} {
		at, err := query.PhotoPlace(b, side, is)
		if err != nil {
			t.Fatal(err)
		}
		x, y := phototest.Slanted.Seen(b, side, board.Point{X: int32(1000 * at.X), Y: int32(1000 * at.Y)})
		points = append(points, store.PhotoPoint{X: x, Y: y, Is: is})
	}
	if err := base.AlignPhoto(t.Context(), p, points, ""); err != nil {
		t.Fatal(err)
	}
	p.Points = points
	return base, p, b
}

// TestFlatIsThePhotoFromAbove lays a photo flat that was taken from aside, and compares it with one
// that was taken from straight above: nearly all of it is the same.
func TestFlatIsThePhotoFromAbove(t *testing.T) {
	for _, side := range []board.Side{board.Top, board.Bottom} {
		base, p, b := shot(t, side)
		laid, err := Lay(t.Context(), base, p)
		if err != nil {
			t.Fatal(err)
		}
		flat, err := Flat(t.Context(), base, p, laid)
		if err != nil {
			t.Fatal(err)
		}
		scale := float64(laid.Wide) / (float64(laid.Of.Max.X-laid.Of.Min.X) / 1000)
		above := phototest.Camera{scale, 0, -scale * float64(laid.Of.Min.X) / 1000, 0, -scale, scale * float64(laid.Of.Max.Y) / 1000, 0, 0, 1}
		want, err := phototest.Shoot(b, side, above, laid.Wide, laid.High)
		if err != nil {
			t.Fatal(err)
		}
		got, err := jpeg.Decode(bytes.NewReader(flat))
		if err != nil {
			t.Fatal(err)
		}
		as, _ := png.Decode(bytes.NewReader(want))
		if far := farther(got, as); far > 0.02 {
			t.Errorf("%s: %.1f %% of it is another colour", side, 100*far)
		}
		if other, _ := phototest.Shoot(b, board.Top+board.Bottom-side, above, laid.Wide, laid.High); other != nil {
			as, _ := png.Decode(bytes.NewReader(other))
			if far := farther(got, as); far < 0.04 {
				t.Error("the other side looks the same, so the test is blind")
			}
		}
	}
}

// farther is how much of two pictures is of another colour.
func farther(a, b image.Image) float64 {
	n, of := 0, 0
	for y := 0; y < a.Bounds().Dy(); y += 3 {
		for x := 0; x < a.Bounds().Dx(); x += 3 {
			of++
			r1, g1, _, _ := a.At(x, y).RGBA()
			r2, g2, _, _ := b.At(x, y).RGBA()
			if d := max(r1, r2) - min(r1, r2) + max(g1, g2) - min(g1, g2); d > 0x3000 {
				n++
			}
		}
	}
	return float64(n) / float64(of)
}

// TestUnder puts a photo under the plan of its side, and under no other.
func TestUnder(t *testing.T) {
	base, _, b := shot(t, board.Bottom)
	to := &draw.Picture{Title: "parts", Members: []draw.Member{{Name: "Heron-B", Board: b, Marks: []draw.Mark{{Kind: draw.Part, ID: 0}, {Kind: draw.Part, ID: int32(b.FindPart("C4301"))}}}}}
	n, err := Under(t.Context(), base, to, Inside(t.Context(), base))
	if err != nil || n != 1 {
		t.Fatal(n, err)
	}
	svg, err := to.SVG()
	if err != nil {
		t.Fatal(err)
	}
	views := strings.Split(string(svg), `data-side="`)
	if len(views) != 3 || strings.Contains(views[1], "<image") || !strings.Contains(views[2], `href="data:image/jpeg;base64,`) {
		t.Errorf("%d views, and the photo is not under the bottom alone", len(views)-1)
	}
}

// TestJudged says of points what to do next, for a photo of which each is off by nothing but what is wrong.
func TestJudged(t *testing.T) {
	b := board.NewBuilder(board.Ref{Name: "Wren"}).Build()
	places := []board.Point{{X: 0, Y: 0}, {X: 60, Y: 0}, {X: 60, Y: 40}, {X: 0, Y: 40}, {X: 31, Y: 17}, {X: 10, Y: 33}, {X: 44, Y: 9}}
	for _, c := range []struct {
		n     int
		wrong float64 // by how many mm the last point is
		says  string
	}{
		{4, 0, "perspective from 4 points; it goes through all of them, right or wrong: one more shows how well they fit"},
		{5, 0, "perspective from 5 points, off by 0.00mm in the mean"},
		{5, 5, "which is much: one or more are not where they are said to be, and one more point can show which"},
		{7, 5, "without P7 the others are off by 0.00mm, so pick that one again"},
	} {
		var points []store.PhotoPoint
		var picked []query.Picked
		for i, at := range places[:c.n] {
			x, y := phototest.Slanted.Seen(b, board.Top, board.Point{X: 1000 * at.X, Y: 1000 * at.Y})
			place := query.Picked{X: x, Y: y, Is: fmt.Sprintf("%d,%d", at.X, at.Y)}
			if i == c.n-1 && c.wrong != 0 {
				place.Is = fmt.Sprintf("%g,%d", float64(at.X)-c.wrong, at.Y)
			}
			picked = append(picked, place)
			points = append(points, store.PhotoPoint{X: x, Y: y, Is: fmt.Sprintf("P%d", i+1)})
		}
		fit, err := query.AlignPhoto(b, board.Top, picked, "")
		if err != nil {
			t.Fatal(err)
		}
		if got := Judged(points, fit); !strings.HasSuffix(got, c.says) {
			t.Errorf("%d points, the last off by %gmm: %s", c.n, c.wrong, got)
		}
	}
}
