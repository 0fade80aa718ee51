// Package align finds how a photo of a board lies on the board, from points that
// somebody has picked on it and whose places on the board are known. Pixels and
// millimetres in, a map and what it is off by out.
//
// Two points give the scale and the turn of the photo (a similarity), three what a scan or a
// photo from straight above needs (an affine map), four a photo taken at a slant
// (a perspective map, which is what a camera without distortion makes of a flat
// board). With more points than that the map is the one that is off by least, in the sense of
// least squares: in millimetres on the board for the first two, by a QR factorisation; for
// perspective by the direct linear transformation with the points first moved to their middle and
// scaled (R. Hartley, "In defense of the eight-point algorithm", IEEE PAMI 19, 1997; Hartley and
// Zisserman, "Multiple View Geometry", algorithm 4.2), by a singular value decomposition.
// What is off is in millimetres on the board in every case.
package align

import (
	"errors"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Point is a point of the photo, in pixels from its upper left corner with y going down, or
// of the board, in millimetres with y going up.
type Point struct{ X, Y float64 }

// Pair is a point that was picked.
type Pair struct {
	Name  string // what was picked, for complaints
	Photo Point
	Board Point
}

// Form is what a photo may be distorted by.
type Form uint8

const (
	Auto        Form = iota // as much as the points allow
	Similar                 // scaled and turned
	Affine                  // and stretched and slanted
	Perspective             // and seen from aside
)

func (f Form) String() string {
	return [...]string{"automatic", "similarity", "affine", "perspective"}[min(f, Perspective)]
}

// least is how many points a form needs.
func (f Form) least() int { return [...]int{2, 2, 3, 4}[f] }

// Fit is how a photo lies on the board.
type Fit struct {
	Form Form
	Off  []float64 // of each pair, in mm on the board
	RMS  float64   // of all, in mm
	// Spare is how many numbers are known beyond those that the map needs. With none the map
	// goes through every point, and says nothing of how good they are.
	Spare int
	// Worst is the pair that is at a wrong place, and Without the RMS of the others without it:
	// a third at most of that of all, and of what is left without any other. It is -1 where
	// no pair is. It takes two more than the form needs: of five points on a photo at a slant
	// any four fit. What simpler form four of them fit best says little: it is a good one that
	// stands out in one case of eight to one of three, if the camera is held 10 to 20 degrees
	// from straight.
	Worst   int
	Without float64

	to, back matrix
}

// Board is where a point of the photo is on the board.
func (f *Fit) Board(p Point) Point { return f.to.at(p) }

// Photo is where a point of the board is on the photo.
func (f *Fit) Photo(p Point) Point { return f.back.at(p) }

// matrix takes points to points, in homogeneous coordinates, row by row.
type matrix [9]float64

func (m *matrix) at(p Point) Point {
	w := m[6]*p.X + m[7]*p.Y + m[8]
	return Point{(m[0]*p.X + m[1]*p.Y + m[2]) / w, (m[3]*p.X + m[4]*p.Y + m[5]) / w}
}

// turn is the determinant of the map round a point: its sign says whether it mirrors.
func (m *matrix) turn(p Point) float64 {
	w := m[6]*p.X + m[7]*p.Y + m[8]
	return mat.Det(m.dense()) / (w * w * w)
}

func (m *matrix) dense() *mat.Dense { return mat.NewDense(3, 3, m[:]) }

func (m *matrix) times(n *matrix) (product matrix) {
	product.dense().Mul(m.dense(), n.dense())
	return product
}

// inverse is false for a map that takes the plane to a line.
func (m *matrix) inverse() (inverse matrix, ok bool) {
	err := inverse.dense().Inverse(m.dense())
	var bad mat.Condition
	if errors.As(err, &bad) && !math.IsInf(float64(bad), 1) {
		err = nil // a warning that it is badly conditioned is no failure
	}
	return inverse, err == nil && finite(inverse[:]...)
}

func finite(all ...float64) bool {
	for _, v := range all {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// To fits a map to points. Bottom says that the photo is of the bottom, as one sees it
// looking at it. Complaints are a diag.List.
func To(pairs []Pair, form Form, bottom bool) (*Fit, error) {
	if err := sound(pairs, form); err != nil {
		return nil, err
	}
	fit, err := choose(pairs, form, bottom)
	if err != nil {
		return nil, err
	}
	seen := fit
	if free, err := fitted(pairs, Affine, bottom); fit.Form == Similar && err == nil {
		seen = free // a similarity never mirrors, whatever the points say
	}
	if err := seen.believable(pairs, bottom); err != nil {
		return nil, err
	}
	fit.Worst, fit.Without = worst(pairs, fit, bottom)
	return fit, nil
}

// choose fits the form, or the largest one that the points determine.
func choose(pairs []Pair, form Form, bottom bool) (*Fit, error) {
	if form != Auto {
		return fitted(pairs, form, bottom)
	}
	form = Form(min(len(pairs)-1, int(Perspective)))
	for ; form > Similar; form-- {
		if fit, err := fitted(pairs, form, bottom); err == nil {
			return fit, nil
		}
	}
	if len(pairs) > 2 {
		return nil, onLine(pairs)
	}
	return fitted(pairs, Similar, bottom)
}

// exact is by how many millimetres a map may be off that goes through all points, but for
// rounding. Beyond that the points hardly determine it.
const exact = 1e-3

// fitted fits one form.
func fitted(pairs []Pair, form Form, bottom bool) (*Fit, error) {
	var m matrix
	var ok bool
	switch form {
	case Similar:
		m, ok = similar(pairs, bottom)
	case Affine:
		m, ok = affine(pairs)
	default:
		m, ok = perspective(pairs)
	}
	if !ok {
		return nil, onLine(pairs)
	}
	f := &Fit{Form: form, to: m, Spare: 2 * (len(pairs) - form.least())}
	if f.back, ok = m.inverse(); !ok {
		return nil, onLine(pairs)
	}
	sum := 0.0
	for _, p := range pairs {
		at := f.Board(p.Photo)
		off := math.Hypot(at.X-p.Board.X, at.Y-p.Board.Y)
		f.Off, sum = append(f.Off, off), sum+off*off
	}
	f.RMS = math.Sqrt(sum / float64(len(pairs)))
	if !finite(f.RMS) || f.Spare == 0 && f.RMS > exact {
		return nil, onLine(pairs)
	}
	return f, nil
}

// clear is by how much the others must fit better without one pair for it to be called wrong: than
// with it, and than without any other. Of six points that are picked to a pixel or three, one of them
// 2 mm wrong, a good one is named in one of fifty; if only the best counted, in one of ten, and in
// one of six if none is wrong (TestWorstIsClear).
const clear = 3

// worst leaves out each pair in turn.
func worst(pairs []Pair, fit *Fit, bottom bool) (at int, without float64) {
	if fit.Spare < 4 {
		return -1, fit.RMS
	}
	least, next := math.Inf(1), fit.RMS
	for i := range pairs {
		f, err := fitted(slices.Delete(slices.Clone(pairs), i, i+1), fit.Form, bottom)
		switch {
		case err != nil: // without it the others tell nothing
		case f.RMS < least:
			at, least, next = i, f.RMS, min(next, least)
		default:
			next = min(next, f.RMS)
		}
	}
	if !(clear*least < next) {
		return -1, fit.RMS
	}
	return at, least
}
