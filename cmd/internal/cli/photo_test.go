package cli

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"netlore/cmd/internal/photos"
	"netlore/store/board"
	"netlore/store/photo/phototest"
	"netlore/store/sheet"
)

// shootBoard is the script command `shoot SHEET SIDE PICTURE POINTS NAME...`: it takes a
// photo of a board, from aside, and writes where on it the named pads and parts, or places in mm, are.
func shootBoard(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 4 {
		ts.Fatalf("usage: shoot SHEET SIDE PICTURE POINTS NAME...")
	}
	file, list := sheet.Parse(args[0], []byte(ts.ReadFile(args[0])))
	ts.Check(list.Err())
	content, list := sheet.Read(file)
	ts.Check(list.Err())
	side, _ := board.SideByWord(args[1])
	b := content.Board
	picture, err := phototest.Shoot(b, side, phototest.Slanted, phototest.SlantedWide, phototest.SlantedHigh)
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[2]), picture, 0o600))
	var points strings.Builder
	for _, name := range args[4:] {
		var at board.Point
		var x, y float64
		if n, _ := fmt.Sscanf(name, "%g,%g", &x, &y); n == 2 {
			at = board.Point{X: int32(1000 * x), Y: int32(1000 * y)}
		} else if id := b.FindPad(name); id != board.None {
			at = b.Pads[id].At
		} else {
			at = b.Parts[b.FindPart(name)].At
		}
		x, y = phototest.Slanted.Seen(b, side, at)
		fmt.Fprintf(&points, "%.1f,%.1f=%s\n", x, y, name)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[3]), []byte(points.String()), 0o600))
}

// TestMorePoints adds points to those of a photo until there are too many: those that were kept stay.
func TestMorePoints(t *testing.T) {
	benchWithBase(t)
	if err := os.WriteFile("board.jpg", phototest.Noise(t, 500, 1).JPEG(), 0o600); err != nil {
		t.Fatal(err)
	}
	align := func(from, n int, more ...string) (code int, complaints string) {
		for i := from; i < from+n; i++ {
			x, y := 5+20*(i%20), 5+20*(i/20)
			more = append(more, fmt.Sprintf("%d,%d=%d,%d", x, y, x, 500-y))
		}
		code, _, complaints = command(t, "", append([]string{"--base", "base", "photo", "align", "Wren", "top"}, more...)...)
		return code, complaints
	}
	if code, _, complaints := command(t, "", "--base", "base", "photo", "add", "Wren", "top", "board.jpg"); code != exitOK {
		t.Fatal(complaints)
	}
	for _, c := range []struct {
		from, n int
		more    []string
		ok      bool
	}{{0, photos.MostPoints + 1, nil, false}, {0, photos.MostPoints - 1, nil, true}, {photos.MostPoints - 1, 2, []string{"--more"}, false}, {photos.MostPoints - 1, 1, []string{"--more"}, true}} {
		code, complaints := align(c.from, c.n, c.more...)
		if (code == exitOK) != c.ok || !c.ok && !strings.Contains(complaints, "by 200 points at most") {
			t.Errorf("%d points and %d more: %d, %s", c.from, c.n, code, complaints)
		}
	}
}

// TestPointsAsLongAsMayBe reads points from standard input, of which no more is read than may be.
func TestPointsAsLongAsMayBe(t *testing.T) {
	benchWithBase(t)
	for n, says := range map[int]string{64<<10 - 1: "no photo of the top of Wren", 64 << 10: "is too long for what it should be: it has more than 64 KB"} {
		text := strings.Repeat("#", n-len("\n1,1=0,0")) + "\n1,1=0,0\n"
		if code, _, complaints := command(t, text, "--base", "base", "photo", "align", "Wren", "top", "--points", "-"); code != exitInput && code != exitUsage || !strings.Contains(complaints, says) {
			t.Errorf("%d bytes: %d, %s", n+1, code, complaints)
		}
	}
}

// FuzzParsePoints reads any file of points: each complaint has a place and help, and each point is
// one of numbers.
func FuzzParsePoints(f *testing.F) {
	f.Add("210,188=P1\n# a comment\n\n 3810 , 202 = \"a b\" # P33\n")
	f.Add("1,2\nx,y=P\n1e999,0=a\nNaN,0=a\n")
	f.Fuzz(func(t *testing.T, text string) {
		all, list := parsePoints("points", text)
		for _, d := range list {
			if d.Line == 0 || len(d.Help) == 0 || d.Code != "P107" {
				t.Errorf("%+v", d)
			}
		}
		if len(list) > 0 {
			return
		}
		for _, p := range all {
			again, err := parsePoint(fmt.Sprintf("%g,%g=%s", p.X, p.Y, p.Is))
			if err != nil || again != p {
				t.Errorf("%+v is read back as %+v, %v", p, again, err)
			}
		}
	})
}
