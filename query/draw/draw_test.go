package draw

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"netlore/store/board"
)

var update = flag.Bool("update", false, "rewrite the pictures in testdata")

func TestGolden(t *testing.T) {
	for name, p := range map[string]*Picture{"plan": smallPlan(), "diagram": smallDiagram()} {
		got := svgOf(t, p)
		file := filepath.Join("testdata", name+".svg")
		if *update {
			if err := os.WriteFile(file, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s is drawn otherwise; look at it, then run with -update", file)
		}
	}
}

// TestProperties draws random boards: each picture is well-formed, its texts are
// apart and inside it, all that was asked for is there, and a second drawing is the same.
func TestProperties(t *testing.T) {
	rounds := 200
	if testing.Short() {
		rounds = 30
	}
	for seed := range rounds {
		p := randomPicture(uint64(seed))
		svg := svgOf(t, p)
		if again := svgOf(t, p); !bytes.Equal(svg, again) {
			t.Fatalf("seed %d: two drawings of one picture differ", seed)
		}
		checkPicture(t, fmt.Sprintf("seed %d", seed), p, svg)
	}
}

// checkPicture holds a picture to what each must keep.
func checkPicture(t *testing.T, name string, p *Picture, svg []byte) {
	t.Helper()
	s := read(t, svg)
	for i, a := range s.texts {
		if !s.sheet.holds(a.box) {
			t.Errorf("%s: %q is not inside the picture: %v of %v", name, a.text, a.box, s.sheet)
		}
		for _, b := range s.texts[i+1:] {
			if a.meets(b.box) {
				t.Errorf("%s: %q and %q overlap: %v %v", name, a.text, b.text, a.box, b.box)
			}
		}
	}
	whole := string(svg)
	for m := range p.Members {
		of := &p.Members[m]
		for _, mark := range of.Marks {
			d := drawing{picture: p}
			thing := d.describe(m, &mark, nil)
			if !slices.Contains(s.things, thing.name) && !strings.Contains(whole, "Not drawn, for no place is known") {
				t.Errorf("%s: %s is not drawn", name, thing.name)
			}
		}
	}
}

// scene is what was read back from a picture.
type scene struct {
	sheet  box
	texts  []placed
	things []string
}

type placed struct {
	box
	text string
}

// read reads a picture back with encoding/xml, which also says whether it is well-formed.
func read(t *testing.T, svg []byte) (s scene) {
	t.Helper()
	type move struct{ x, y float64 }
	stack := []move{{}}
	dec := xml.NewDecoder(bytes.NewReader(svg))
	var open *placed
	for {
		token, err := dec.Token()
		if err == io.EOF {
			return s
		}
		if err != nil {
			t.Fatalf("not well-formed: %v", err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			at, attrs := stack[len(stack)-1], attributes(e)
			var dx, dy float64
			if _, err := fmt.Sscanf(attrs["transform"], "translate(%g %g)", &dx, &dy); err == nil {
				at = move{at.x + dx, at.y + dy}
			}
			stack = append(stack, at)
			if thing := attrs["data-thing"]; thing != "" {
				s.things = append(s.things, thing)
			}
			switch e.Name.Local {
			case "svg":
				s.sheet = box{0, 0, float(attrs["width"]), float(attrs["height"])}
			case "text":
				x, y, size := at.x+float(attrs["x"]), at.y+float(attrs["y"]), float(attrs["font-size"])
				open = &placed{box: box{x, y - 0.75*size, x + float(attrs["textLength"]), y + 0.2*size}}
			}
		case xml.CharData:
			if open != nil {
				open.text += string(e)
			}
		case xml.EndElement:
			stack = stack[:len(stack)-1]
			if e.Name.Local == "text" {
				s.texts, open = append(s.texts, *open), nil
			}
		}
	}
}

func attributes(e xml.StartElement) map[string]string {
	all := map[string]string{}
	for _, a := range e.Attr {
		all[a.Name.Local] = a.Value
	}
	return all
}

func float(s string) float64 {
	v, _ := strconv.ParseFloat(s, 64)
	return v
}

func svgOf(t testing.TB, p *Picture) []byte {
	t.Helper()
	svg, err := p.SVG()
	if err != nil {
		t.Fatal(err)
	}
	return svg
}

// TestTextIsText: what looks like markup in a name is shown as it is.
func TestTextIsText(t *testing.T) {
	const evil = `</script><img src=x onerror=alert(1)>`
	bu := board.NewBuilder(board.Ref{Name: evil})
	bu.PartAt(bu.Part("R1" + evil)).Placed = true
	p := &Picture{Title: evil, Notes: []string{evil}, Groups: []Group{{Name: evil}},
		Members: []Member{{Name: evil, Role: evil, Board: bu.Build(), Marks: []Mark{{Text: evil, Groups: []int{0}}}}}}
	svg := svgOf(t, p)
	for _, bad := range []string{"<img", "<script", "</script"} {
		if bytes.Contains(svg, []byte(bad)) {
			t.Errorf("%s got through as markup", bad)
		}
	}
	checkPicture(t, "markup in names", p, svg)
	if !strings.Contains(read(t, svg).things[0], evil) {
		t.Error("the name is not there as text")
	}
}

func TestNothing(t *testing.T) {
	p := &Picture{Title: "parts on X", Members: []Member{{Board: board.NewBuilder(board.Ref{Name: "B"}).Build()}}}
	if svg, err := p.SVG(); !errors.Is(err, ErrNothing) || svg != nil {
		t.Errorf("a picture of nothing is %q, %v", svg, err)
	}
}

// TestXmllint has a reader of another hand read the pictures.
func TestXmllint(t *testing.T) {
	lint, err := exec.LookPath("xmllint")
	if err != nil {
		t.Skip("xmllint is not installed")
	}
	for _, p := range []*Picture{smallPlan(), smallDiagram(), randomPicture(1)} {
		cmd := exec.Command(lint, "--nonet", "--noout", "-")
		cmd.Stdin = bytes.NewReader(svgOf(t, p))
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%v: %s", err, out)
		}
	}
}

// TestContrast holds text to 4.5:1 and lines to 3:1 on white, as WCAG 2.2 has it
// (1.4.3, 1.4.11; the formula of relative luminance is theirs).
func TestContrast(t *testing.T) {
	for colour, least := range map[string]float64{ink: 4.5, accent: 4.5, pale: 3} {
		if got := 1.05 / (luminance(colour) + 0.05); got < least {
			t.Errorf("%s on white is %.2f:1, less than %.1f:1", colour, got, least)
		}
	}
	if got := (luminance(tint) + 0.05) / (luminance(ink) + 0.05); got < 4.5 {
		t.Errorf("text on the tint is %.2f:1", got)
	}
}

func luminance(hex string) float64 {
	n, _ := strconv.ParseUint(hex[1:], 16, 32)
	var l float64
	for i, f := range []float64{0.2126, 0.7152, 0.0722} {
		c := float64(n>>(16-8*i)&0xff) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		l += f * c
	}
	return l
}

// TestGround: places go where the geometry of the board has them, and the bottom is
// mirrored.
func TestGround(t *testing.T) {
	g := ground{from: board.Bounds{Max: board.Point{X: 20_000, Y: 10_000}}, scale: 0.01}
	if x, y := g.at(board.Point{X: 5_000, Y: 2_000}); x != 50 || y != 80 {
		t.Errorf("the place is at %g, %g", x, y)
	}
	g.mirror = true
	if x, y := g.at(board.Point{X: 5_000, Y: 2_000}); x != 150 || y != 80 {
		t.Errorf("seen from below, the place is at %g, %g", x, y)
	}
	o := board.TurnedBox(board.Point{X: 5_000, Y: 2_000}, board.Size{W: 2_000, H: 1_000}, 30_000)
	b, c := g.bounds(o), o.Bounds()
	if math.Abs(b.width()*b.height()-float64(c.Max.X-c.Min.X)*float64(c.Max.Y-c.Min.Y)*1e-4) > 1e-6 {
		t.Errorf("the box of an outline is %v", b)
	}
}

// TestMarginLines: no two lines of one margin cross.
func TestMarginLines(t *testing.T) {
	for seed := range uint64(300) {
		rng := rand.New(rand.NewPCG(seed, 7))
		var labels []*label
		for range 1 + rng.IntN(60) {
			x, y := rng.Float64()*900, rng.Float64()*700
			labels = append(labels, &label{w: 40, of: box{x, y, x + 8, y + 5}})
		}
		over := margins(labels, 920, 720)
		for i, a := range labels {
			for _, b := range labels[i+1:] {
				if !a.line || !b.line || (a.at.x0 < 0) != (b.at.x0 < 0) {
					continue
				}
				if a.to.crosses(b.to) {
					t.Fatalf("seed %d: the lines to %v and %v cross", seed, a.of, b.of)
				}
				if a.at.grow(-1e-6).meets(b.at) { // sums of heights are rounded
					t.Fatalf("seed %d: %v and %v overlap", seed, a.at, b.at)
				}
			}
		}
		if len(over) != max(0, len(labels)-2*51) {
			t.Fatalf("%d of %d have no room", len(over), len(labels))
		}
	}
}

// TestHeights: a margin that has room leaves each label at the height of its body.
func TestHeights(t *testing.T) {
	at := func(ys ...float64) (list []*label) {
		for _, y := range ys {
			list = append(list, &label{of: box{0, y, 0, y}})
		}
		return list
	}
	h := labelHeight
	for _, c := range []struct{ got, want []float64 }{
		{heights(at(100, 200), 500), []float64{100, 200}},
		{heights(at(200, 200), 500), []float64{200 - h/2, 200 + h/2}},
		{heights(at(200, 200, 200), 500), []float64{200 - h, 200, 200 + h}},
		{heights(at(0, 1), 500), []float64{h / 2, h * 3 / 2}},
		{heights(at(500), 500), []float64{500 - h/2}},
	} {
		for i := range c.want {
			if math.Abs(c.got[i]-c.want[i]) > 1e-9 {
				t.Errorf("heights are %v, want %v", c.got, c.want)
			}
		}
	}
}

// TestPlacedLines: in a view, no line to a name crosses another.
func TestPlacedLines(t *testing.T) {
	led := 0
	for seed := range uint64(100) {
		rng := rand.New(rand.NewPCG(seed, 9))
		var labels []*label
		for range 80 {
			x, y := rng.Float64()*300, rng.Float64()*200
			labels = append(labels, &label{thing: &thing{Mark: &Mark{}}, w: 40, of: box{x, y, x + 8, y + 5}})
		}
		left := place(labels, box{0, 0, 400, 300})
		for _, a := range labels {
			if !a.line || slices.Contains(left, a) {
				continue
			}
			led++
			for _, b := range labels {
				if a == b || slices.Contains(left, b) {
					continue
				}
				if b.line && a.to.crosses(b.to) {
					t.Fatalf("seed %d: two lines cross", seed)
				}
			}
		}
	}
	if led == 0 {
		t.Error("no name was led to, so this shows nothing")
	}
}
