package align

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"netlore/query/diag"
)

// camera is a photo of a board 62 by 38 mm at a slant, 1600 pixels wide: board to photo.
var camera = matrix{25, 1.5, 60, 1.2, -24, 1010, 0.0012, 0.0021, 1}

// turned is as a camera has it that is held the other way up.
var turned = matrix{-20, 4, 1500, 3, 22, 80, -0.001, 0.0004, 1}

func picked(m matrix, places ...Point) (pairs []Pair) {
	for i, p := range places {
		pairs = append(pairs, Pair{fmt.Sprint("P", i+1), m.at(p), p})
	}
	return pairs
}

var corners = []Point{{0, 0}, {62, 0}, {62, 38}, {0, 38}}

func spots(r *rand.Rand, n int) (all []Point) {
	all = append(all, corners...)
	for len(all) < n {
		p := Point{62 * r.Float64(), 38 * r.Float64()}
		if !slices.ContainsFunc(all, func(q Point) bool { return same(p, q, 3) }) {
			all = append(all, p)
		}
	}
	return all[:n]
}

func near(t *testing.T, what string, got, want Point, within float64) {
	t.Helper()
	if math.Hypot(got.X-want.X, got.Y-want.Y) > within || !finite(got.X, got.Y) {
		t.Errorf("%s is %v, want %v", what, got, want)
	}
}

// square takes the unit square to a quadrilateral, by the closed form of P. Heckbert,
// "Fundamentals of Texture Mapping and Image Warping", 1989, section 2.2.3 (from memory): no
// equations are solved.
func square(q [4]Point) matrix {
	d1, d2 := Point{q[1].X - q[2].X, q[1].Y - q[2].Y}, Point{q[3].X - q[2].X, q[3].Y - q[2].Y}
	s := Point{q[0].X - q[1].X + q[2].X - q[3].X, q[0].Y - q[1].Y + q[2].Y - q[3].Y}
	det := d1.X*d2.Y - d2.X*d1.Y
	g, h := (s.X*d2.Y-d2.X*s.Y)/det, (d1.X*s.Y-s.X*d1.Y)/det
	return matrix{q[1].X - q[0].X + g*q[1].X, q[3].X - q[0].X + h*q[3].X, q[0].X,
		q[1].Y - q[0].Y + g*q[1].Y, q[3].Y - q[0].Y + h*q[3].Y, q[0].Y, g, h, 1}
}

// TestFourPointsAgainstHeckbert has the fit through four points beside the closed form.
func TestFourPointsAgainstHeckbert(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 200 {
		var quad [4]Point
		for i, c := range corners {
			p := camera.at(c)
			quad[i] = Point{p.X + 80*r.NormFloat64(), p.Y + 80*r.NormFloat64()}
		}
		closed := square(quad)
		var pairs []Pair
		for i, c := range corners {
			pairs = append(pairs, Pair{fmt.Sprint(i), quad[i], c})
		}
		fit, err := To(pairs, Perspective, false)
		if err != nil {
			t.Fatal(err)
		}
		for range 10 {
			u, v := r.Float64(), r.Float64()
			on := closed.at(Point{u, v})
			near(t, "a point of the square", fit.Board(on), Point{62 * u, 38 * v}, 1e-8)
			near(t, "a point of the photo", fit.Photo(Point{62 * u, 38 * v}), on, 1e-6)
		}
		if fit.Spare != 0 || fit.RMS > 1e-9 || fit.Worst != -1 {
			t.Errorf("four points leave %d numbers, %g mm and %d", fit.Spare, fit.RMS, fit.Worst)
		}
	}
}

// TestAffineAgainstRegression has gonum's linear regression beside the fit, where the two are
// the same: x of the board depends on x of the photo only, and so with y.
func TestAffineAgainstRegression(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	var pairs []Pair
	for _, x := range []float64{0, 400, 800, 1200} { // a grid, so x and y do not depend on each other
		for _, y := range []float64{100, 500, 900} {
			pairs = append(pairs, Pair{"", Point{x, y}, Point{x/25 + 0.1*r.NormFloat64(), 40 - y/25 + 0.1*r.NormFloat64()}})
		}
	}
	var x, y, u, v []float64
	for _, p := range pairs {
		x, y, u, v = append(x, p.Photo.X), append(y, p.Photo.Y), append(u, p.Board.X), append(v, p.Board.Y)
	}
	fit, err := To(pairs, Affine, false)
	if err != nil {
		t.Fatal(err)
	}
	_, slopeX := stat.LinearRegression(x, u, nil, false)
	_, slopeY := stat.LinearRegression(y, v, nil, false)
	if math.Abs(fit.to[0]/slopeX-1) > 1e-9 || math.Abs(fit.to[4]/slopeY-1) > 1e-9 {
		t.Errorf("slopes %g, %g; regression %g, %g", fit.to[0], fit.to[4], slopeX, slopeY)
	}
}

// TestAffineNormalEquations solves the equations in another way, and holds that what is left
// is at right angles to all that a map could still change.
func TestAffineNormalEquations(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	pairs := picked(camera, spots(r, 9)...)
	fit, err := To(pairs, Affine, false)
	if err != nil {
		t.Fatal(err)
	}
	a, b := mat.NewDense(len(pairs), 3, nil), mat.NewDense(len(pairs), 2, nil)
	left := mat.NewDense(len(pairs), 2, nil)
	for i, p := range pairs {
		at := fit.Board(p.Photo)
		a.SetRow(i, []float64{p.Photo.X, p.Photo.Y, 1})
		b.SetRow(i, []float64{p.Board.X, p.Board.Y})
		left.SetRow(i, []float64{at.X - p.Board.X, at.Y - p.Board.Y})
	}
	var ata, atb, x, right mat.Dense
	ata.Mul(a.T(), a)
	atb.Mul(a.T(), b)
	if err := x.Solve(&ata, &atb); err != nil {
		t.Fatal(err)
	}
	for i := range 3 {
		for k := range 2 {
			if got, want := fit.to[3*k+i], x.At(i, k); math.Abs(got-want) > 1e-7*(1+math.Abs(want)) {
				t.Errorf("row %d, %d: %g, by the normal equations %g", k, i, got, want)
			}
		}
	}
	right.Mul(a.T(), left)
	if mat.Max(&right) > 1e-6 || mat.Min(&right) < -1e-6 {
		t.Errorf("what is left is not least: %v", mat.Formatted(&right))
	}
}

// TestRecovers finds maps that are known from points that are off by a known amount, and
// tells by how much.
func TestRecovers(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for name, c := range map[string]struct {
		m    matrix
		form Form
	}{
		"similar":     {matrix{25, 3, 50, 3, -25, 1000, 0, 0, 1}, Similar},
		"affine":      {matrix{25, 6, 50, 2, -21, 1000, 0, 0, 1}, Affine},
		"perspective": {camera, Perspective},
		"turned":      {turned, Perspective},
	} {
		bottom := c.m.turn(Point{30, 20}) > 0
		var rms, away float64
		const rounds, n, noise = 200, 12, 2.0
		for range rounds {
			pairs := picked(c.m, spots(r, n)...)
			for i := range pairs {
				pairs[i].Photo.X += noise * r.NormFloat64()
				pairs[i].Photo.Y += noise * r.NormFloat64()
			}
			fit, err := To(pairs, c.form, bottom)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			rms += fit.RMS / rounds
			at := fit.Board(c.m.at(Point{31, 19}))
			away += math.Hypot(at.X-31, at.Y-19) / rounds
		}
		// Two pixels are some 0.08 mm here; what is left of it after the fit is less by the numbers
		// that the map takes up, and the middle of the board is better known than any point.
		if pixel := 0.08 * math.Sqrt2; rms < 0.6*pixel || rms > 1.2*pixel || away > pixel/2 {
			t.Errorf("%s: points are off by %.3f mm, the middle by %.3f", name, rms, away)
		}
	}
}

// TestTwoPoints has the scale and the turn from two points, of either side.
func TestTwoPoints(t *testing.T) {
	for _, bottom := range []bool{false, true} {
		fit, err := To([]Pair{{"a", Point{100, 500}, Point{0, 0}}, {"b", Point{1100, 500}, Point{40, 0}}}, Auto, bottom)
		if err != nil {
			t.Fatal(err)
		}
		want := Point{20, 10} // 250 pixels above the middle of the two
		if bottom {
			want.Y = -10
		}
		near(t, "what is above them", fit.Board(Point{600, 250}), want, 1e-9)
		if fit.Form != Similar || fit.Spare != 0 {
			t.Errorf("%v with %d to spare", fit.Form, fit.Spare)
		}
	}
}

// TestMovesWithTheCoordinates fits in other coordinates: turned, scaled and moved, of the
// photo or the board. The map is the same, which is what normalising is for (Hartley 1997).
func TestMovesWithTheCoordinates(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for _, form := range []Form{Similar, Affine, Perspective} {
		pairs := picked(camera, spots(r, 8)...)
		for i := range pairs {
			pairs[i].Photo.X += 5 * r.NormFloat64()
		}
		fit, err := To(pairs, form, false)
		if err != nil {
			t.Fatal(err)
		}
		a, s := 0.7, 3.1
		on := matrix{s * math.Cos(a), -s * math.Sin(a), 900, s * math.Sin(a), s * math.Cos(a), -300, 0, 0, 1}
		of := matrix{math.Cos(a), math.Sin(a), 12, -math.Sin(a), math.Cos(a), 7, 0, 0, 1}
		var moved []Pair
		for _, p := range pairs {
			moved = append(moved, Pair{p.Name, on.at(p.Photo), of.at(p.Board)})
		}
		other, err := To(moved, form, false)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(other.RMS-fit.RMS) > 1e-8 {
			t.Errorf("%v: off by %g and by %g", form, fit.RMS, other.RMS)
		}
		for range 20 {
			p := Point{1600 * r.Float64(), 1000 * r.Float64()}
			near(t, form.String(), other.Board(on.at(p)), of.at(fit.Board(p)), 1e-7)
		}
	}
}

// TestWorst names the point that is at a wrong place, in whatever order they come.
func TestWorst(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	for range 50 {
		pairs := picked(camera, spots(r, 8)...)
		for i := range pairs {
			pairs[i].Photo.X += r.NormFloat64()
			pairs[i].Photo.Y += r.NormFloat64()
		}
		bad := r.IntN(len(pairs))
		pairs[bad].Photo.Y += 120
		fit, err := To(pairs, Auto, false)
		if err != nil {
			t.Fatal(err)
		}
		if fit.Worst != bad || fit.Without > 0.1 || fit.RMS < 3*fit.Without {
			t.Errorf("%d was moved; %d is named, %.3f mm with it and %.3f without", bad, fit.Worst, fit.RMS, fit.Without)
		}
	}
}

// TestWorstIsClear names points by chance: with what is picked to a pixel or three, hardly ever a good one
// is called wrong; of five none is.
func TestWorstIsClear(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	const rounds = 400
	for _, c := range []struct {
		n           int
		noise, away float64 // pixels, mm
		right       int     // at least
		wrong       int     // at most
	}{{6, 3, 0, 0, 20}, {6, 1, 2, 250, 12}, {6, 3, 5, 220, 12}, {8, 1, 2, 350, 2}, {5, 1, 5, 0, 0}} {
		right, wrong := 0, 0
		for range rounds {
			pairs := picked(camera, spots(r, c.n)...)
			for i := range pairs {
				pairs[i].Photo.X += c.noise * r.NormFloat64()
				pairs[i].Photo.Y += c.noise * r.NormFloat64()
			}
			bad := r.IntN(len(pairs))
			a := 2 * math.Pi * r.Float64()
			pairs[bad].Board.X += c.away * math.Cos(a)
			pairs[bad].Board.Y += c.away * math.Sin(a)
			fit, err := To(pairs, Auto, false)
			switch {
			case err != nil || fit.Worst < 0 || fit.RMS < 0.1:
			case fit.Worst == bad && c.away > 0:
				right++
			default:
				wrong++
			}
		}
		t.Logf("%d points to %g pixels, one off by %g mm: right %d, wrong %d", c.n, c.noise, c.away, right, wrong)
		if right < c.right || wrong > c.wrong {
			t.Errorf("%d points to %g pixels, one off by %g mm: right %d, at least %d; wrong %d, at most %d of %d", c.n, c.noise, c.away, right, c.right, wrong, c.wrong, rounds)
		}
	}
}

func TestRefused(t *testing.T) {
	line := []Point{{0, 0}, {10, 1}, {20, 2}, {40, 4}, {60, 6}}
	mirror := matrix{-25, 0, 1600, 0, -25, 1000, 0, 0, 1}
	swapped := picked(camera, corners...)
	swapped[0].Photo, swapped[1].Photo = swapped[1].Photo, swapped[0].Photo
	for name, c := range map[string]struct {
		pairs  []Pair
		form   Form
		bottom bool
		code   string
	}{
		"none":              {nil, Auto, false, "P102"},
		"one":               {picked(camera, corners[:1]...), Auto, false, "P102"},
		"two for three":     {picked(camera, corners[:2]...), Affine, false, "P102"},
		"three for four":    {picked(camera, corners[:3]...), Perspective, false, "P102"},
		"one spot twice":    {append(picked(camera, corners...), Pair{"again", camera.at(corners[0]), Point{30, 30}}), Auto, false, "P103"},
		"one place twice":   {append(picked(camera, corners...), Pair{"again", Point{800, 500}, corners[0]}), Auto, false, "P103"},
		"on a line":         {picked(camera, line...), Auto, false, "P104"},
		"three on a line":   {picked(camera, line[0], line[1], line[2], Point{5, 30}), Perspective, false, "P104"},
		"nearly on a line":  {picked(camera, Point{0, 0}, Point{60, 0}, Point{30, 0.2}), Affine, false, "P104"},
		"the other side":    {picked(mirror, corners...), Auto, false, "P105"},
		"of three points":   {picked(mirror, corners[:3]...), Auto, false, "P105"},
		"said to be below":  {picked(camera, corners...), Auto, true, "P105"},
		"scaled only":       {picked(mirror, corners...), Similar, false, "P105"},
		"two are exchanged": {swapped, Auto, false, "P106"},
		"beyond":            {append(picked(camera, corners...), Pair{"far", Point{1e300, 0}, Point{1, 1}}), Auto, false, "P101"},
		"no number":         {append(picked(camera, corners...), Pair{"nan", Point{math.NaN(), 0}, Point{1, 1}}), Auto, false, "P101"},
	} {
		_, err := To(c.pairs, c.form, c.bottom)
		var list diag.List
		if !errors.As(err, &list) || list[0].Code != c.code {
			t.Errorf("%s: %v, want %s", name, err, c.code)
			continue
		}
		if _, ok := Explain(c.code); !ok {
			t.Errorf("%s is not explained", c.code)
		}
	}
	// Three on a line and one more are enough for what a photo from straight above needs.
	if fit, err := To(picked(matrix{25, 0, 0, 0, -25, 1000, 0, 0, 1}, line[0], line[1], line[2], Point{5, 30}), Auto, false); err != nil || fit.Form != Affine {
		t.Errorf("%+v, %v", fit, err)
	}
}

// TestManyPoints has more points than a byte can count.
func TestManyPoints(t *testing.T) {
	for _, n := range []int{256, 257, 258, 300} {
		var all []Point
		for i := range n {
			all = append(all, Point{float64(i % 20 * 3), float64(i / 20 * 2)})
		}
		fit, err := To(picked(camera, all...), Auto, false)
		if err != nil || fit.Form != Perspective || fit.RMS > 1e-6 {
			t.Errorf("%d points: %+v, %v", n, fit, err)
		}
	}
}

// TestInverse refuses maps that take the plane to a line, and takes one that is badly conditioned.
func TestInverse(t *testing.T) {
	for _, m := range []matrix{{}, {1, 2, 3, 2, 4, 6, 0, 0, 1}, {1, 0, 0, 0, 0, 0, 0, 0, 1}} {
		if inverse, ok := m.inverse(); ok {
			t.Errorf("%v has the inverse %v", m, inverse)
		}
	}
	m := matrix{1e-9, 0, 0, 0, 1e9, 0, 0, 0, 1}
	if back, ok := m.inverse(); !ok || math.Abs(back[0]/1e9-1) > 1e-9 || math.Abs(back[4]/1e-9-1) > 1e-9 {
		t.Errorf("%v, %t", back, ok)
	}
}

// FuzzTo fits whatever is picked: it is refused, or all that comes out are numbers, and those
// that a map goes through are where they were picked.
func FuzzTo(f *testing.F) {
	f.Add(uint8(0), false, 0.0, 0.0, 62.0, 1.0, 60.0, 38.0, -1.0, 37.0)
	f.Add(uint8(2), true, 0.0, 0.0, 1e-7, 1.0, 1e5, 1e5, -1.0, 37.0)
	f.Fuzz(func(t *testing.T, form uint8, bottom bool, a, b, c, d, e, g, h, i float64) {
		pairs := []Pair{{"a", Point{0, 0}, Point{a, b}}, {"b", Point{1000, 30}, Point{c, d}}, {"c", Point{980, 700}, Point{e, g}}, {"d", Point{20, 640}, Point{h, i}}}
		fit, err := To(pairs, Form(form%4), bottom)
		if err != nil {
			return
		}
		if !finite(append(fit.Off, fit.RMS, fit.Without)...) {
			t.Errorf("off by %v", fit.Off)
		}
		if fit.Spare == 0 && fit.RMS > 1e-3 {
			t.Errorf("nothing to spare, and off by %g", fit.RMS)
		}
	})
}
