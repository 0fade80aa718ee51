package render

import (
	"bytes"
	"fmt"
	"html"
	"image/color"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"

	"netlore/query/readings"
	"netlore/query/run"
	"netlore/store/board"
)

// The looks of a chart: thin dark ink on white, one accent colour for what was
// read. Forms differ as well, so that it can be read without colour.
var (
	ink    = color.Gray{Y: 0x33}
	pale   = color.Gray{Y: 0x99}
	accent = color.RGBA{R: 0xb3, G: 0x3a, B: 0x12, A: 0xff}
)

// mostCharted is how many places a chart shows: the most surprising.
const mostCharted = 60

// Chart draws a comparison: for each place what was read, as a dot, over what is
// expected, as a bar with its tolerance, and what other devices read, as rings. Only places of the mode that most were
// read in are drawn, and no more than mostCharted; the title tells. The result
// is SVG.
func Chart(points []run.Point) ([]byte, error) {
	mode, some := charted(points)
	if len(some) == 0 {
		return nil, fmt.Errorf("there is nothing to draw: no number was read")
	}
	c := chart{points: some, unit: readings.UnitOf(mode).String(), edge: edgeOf(some)}
	p := plot.New()
	p.Title.Text = c.title(mode, len(points))
	p.X.Label.Text = c.unit
	p.NominalY(c.names()...)
	lettering(p)
	p.X.Min, p.X.Max = -c.edge*0.02, c.edge*1.03
	if err := c.add(p); err != nil {
		return nil, err
	}
	return c.draw(p)
}

// lettering sets all texts in one plain face; its fallbacks are as wide.
func lettering(p *plot.Plot) {
	for _, style := range []*text.Style{&p.Title.TextStyle, &p.X.Label.TextStyle, &p.X.Tick.Label, &p.Y.Tick.Label} {
		style.Font.Variant, style.Font.Size, style.Color = "Sans", vg.Points(9), ink
	}
	p.Title.TextStyle.Font.Size, p.Title.Padding = vg.Points(10), vg.Points(8)
	p.Y.Padding, p.Y.Width = vg.Points(8), 0
}

const (
	face  = "font-family:Liberation Sans;"
	faces = "font-family:'Liberation Sans',Arial,Helvetica,sans-serif;"
)

// charted are the points of the mode with most of them, the first at the top.
func charted(points []run.Point) (board.Mode, []run.Point) {
	counts := map[board.Mode]int{}
	best := board.ModeUnknown
	for _, p := range points {
		counts[p.Mode]++
		if n, most := counts[p.Mode], counts[best]; n > most || n == most && p.Mode < best {
			best = p.Mode
		}
	}
	var some []run.Point
	for _, p := range points {
		if p.Mode == best && !math.IsNaN(p.Read) && len(some) < mostCharted {
			some = append(some, p)
		}
	}
	for i, k := 0, len(some)-1; i < k; i, k = i+1, k-1 {
		some[i], some[k] = some[k], some[i]
	}
	return best, some
}

// chart is one picture; what is open stands at its right edge.
type chart struct {
	points []run.Point
	unit   string
	edge   float64
}

// edgeOf is beyond all numbers of the points.
func edgeOf(points []run.Point) float64 {
	most := 0.0
	for i := range points {
		most = max(most, points[i].Largest())
	}
	if most == 0 {
		return 1
	}
	return most * 1.1
}

func (c *chart) title(mode board.Mode, all int) string {
	text := fmt.Sprintf("%s: dots were read, triangles read open, bars are expected", mode)
	if slices.ContainsFunc(c.points, func(p run.Point) bool { return len(p.Beside) > 0 }) {
		text += ", rings are of other devices"
	}
	if len(c.points) < all {
		text += fmt.Sprintf("; %d of %d", len(c.points), all)
	}
	return text
}

func (c *chart) names() []string {
	var all []string
	for _, p := range c.points {
		all = append(all, p.Name)
	}
	return all
}

// at is where a number is drawn.
func (c *chart) at(v float64) float64 { return min(v, c.edge) }

// add adds the layers, from the back to the front.
func (c *chart) add(p *plot.Plot) error {
	var bars spans
	var expected, others, read, open plotter.XYs
	for i, pt := range c.points {
		y := float64(i)
		if !math.IsNaN(pt.Value) {
			expected = append(expected, plotter.XY{X: c.at(pt.Value), Y: y})
		}
		if !math.IsNaN(pt.Low) {
			bars.XYs = append(bars.XYs, plotter.XY{X: pt.Value, Y: y})
			bars.XErrors = append(bars.XErrors, struct{ Low, High float64 }{pt.Value - pt.Low, pt.High - pt.Value})
		}
		for _, v := range pt.Beside {
			others = append(others, plotter.XY{X: c.at(v), Y: y})
		}
		if math.IsInf(pt.Read, 1) {
			open = append(open, plotter.XY{X: c.edge, Y: y})
		} else {
			read = append(read, plotter.XY{X: pt.Read, Y: y})
		}
	}
	p.Add(grid())
	if err := addBars(p, bars); err != nil {
		return err
	}
	for _, layer := range []struct {
		at    plotter.XYs
		style draw.GlyphStyle
	}{
		{expected, draw.GlyphStyle{Color: ink, Radius: vg.Points(3.5), Shape: draw.PlusGlyph{}}},
		{others, draw.GlyphStyle{Color: ink, Radius: vg.Points(2.5), Shape: draw.RingGlyph{}}},
		{read, draw.GlyphStyle{Color: accent, Radius: vg.Points(3), Shape: draw.CircleGlyph{}}},
		{open, draw.GlyphStyle{Color: accent, Radius: vg.Points(4), Shape: draw.TriangleGlyph{}}},
	} {
		if err := addDots(p, layer.at, layer.style); err != nil {
			return err
		}
	}
	return nil
}

// spans are expected values with their tolerances.
type spans struct {
	plotter.XYs
	plotter.XErrors
}

func grid() *plotter.Grid {
	g := plotter.NewGrid()
	g.Vertical.Color, g.Horizontal.Color = color.Gray{Y: 0xdd}, color.Gray{Y: 0xee}
	return g
}

func addBars(p *plot.Plot, bars spans) error {
	if len(bars.XYs) == 0 {
		return nil
	}
	b, err := plotter.NewXErrorBars(bars)
	if err != nil {
		return err
	}
	b.LineStyle.Color, b.LineStyle.Width, b.CapWidth = pale, vg.Points(1.2), vg.Points(7)
	p.Add(b)
	return nil
}

func addDots(p *plot.Plot, at plotter.XYs, style draw.GlyphStyle) error {
	if len(at) == 0 {
		return nil
	}
	dots, err := plotter.NewScatter(at)
	if err != nil {
		return err
	}
	dots.GlyphStyle = style
	p.Add(dots)
	return nil
}

// draw makes SVG as wide as a page, with a title for those who do not see it.
func (c *chart) draw(p *plot.Plot) ([]byte, error) {
	height := vg.Points(90) + vg.Points(16)*vg.Length(len(c.points))
	canvas := vgsvg.New(vg.Points(560), height)
	p.Draw(draw.New(canvas))
	var out bytes.Buffer
	if _, err := canvas.WriteTo(&out); err != nil {
		return nil, err
	}
	svg := strings.ReplaceAll(out.String(), face, faces)
	head := strings.Index(svg, "<svg")
	end := head + strings.Index(svg[head:], ">") + 1
	return []byte(svg[:end] + "\n<title>" + html.EscapeString(p.Title.Text) + "</title>" + svg[end:]), nil
}
