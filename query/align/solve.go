package align

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// normal moves points to their middle and scales them so that they are as far from it as
// the square of side 2 has its corners: numbers of one size are what the solutions are exact for.
func normal(points []Point) (m matrix, ok bool) {
	var middle Point
	for _, p := range points {
		middle.X += p.X / float64(len(points))
		middle.Y += p.Y / float64(len(points))
	}
	away := 0.0
	for _, p := range points {
		away += math.Hypot(p.X-middle.X, p.Y-middle.Y) / float64(len(points))
	}
	s := math.Sqrt2 / away
	return matrix{s, 0, -s * middle.X, 0, s, -s * middle.Y, 0, 0, 1}, finite(s, s*middle.X, s*middle.Y)
}

// normalised are the points of pairs, each side scaled by itself.
func normalised(pairs []Pair) (photo, board matrix, scaled []Pair, ok bool) {
	var a, b []Point
	for _, p := range pairs {
		a, b = append(a, p.Photo), append(b, p.Board)
	}
	photo, fine := normal(a)
	board, ok = normal(b)
	for i := range pairs {
		scaled = append(scaled, Pair{Photo: photo.at(a[i]), Board: board.at(b[i])})
	}
	return photo, board, scaled, ok && fine
}

// restored is a map between scaled points, for the points themselves.
func restored(m, photo, board matrix) (matrix, bool) {
	back, ok := board.inverse()
	half := m.times(&photo)
	whole := back.times(&half)
	return whole, ok && finite(whole[:]...)
}

// least solves rows for unknowns such that the squares of what is left add up to least.
// It is false where the rows do not determine them.
func least(rows *mat.Dense, want []float64) ([]float64, bool) {
	var qr mat.QR
	qr.Factorize(rows)
	if qr.Cond() > 1/leastSpread {
		return nil, false
	}
	var x mat.VecDense
	if err := qr.SolveVecTo(&x, false, mat.NewVecDense(len(want), want)); err != nil {
		return nil, false
	}
	return x.RawVector().Data, finite(x.RawVector().Data...)
}

// leastSpread is how broad a row of points must be for its length to say how the board
// lies across: as broad as a fiftieth.
const leastSpread = 0.02

// similar fits scale, turn and shift. Of the top y goes the other way on the photo; the
// bottom is mirrored as well, so that both together are a turn.
func similar(pairs []Pair, bottom bool) (matrix, bool) {
	photo, board, scaled, ok := normalised(pairs)
	if !ok {
		return matrix{}, false
	}
	flip := -1.0
	if bottom {
		flip = 1
	}
	rows, want := mat.NewDense(2*len(scaled), 4, nil), make([]float64, 0, 2*len(scaled))
	for i, p := range scaled {
		x, y := p.Photo.X, flip*p.Photo.Y
		rows.SetRow(2*i, []float64{x, -y, 1, 0})
		rows.SetRow(2*i+1, []float64{y, x, 0, 1})
		want = append(want, p.Board.X, p.Board.Y)
	}
	v, ok := least(rows, want)
	if !ok {
		return matrix{}, false
	}
	return restored(matrix{v[0], -v[1] * flip, v[2], v[1], v[0] * flip, v[3], 0, 0, 1}, photo, board)
}

func affine(pairs []Pair) (matrix, bool) {
	photo, board, scaled, ok := normalised(pairs)
	if !ok || len(pairs) < Affine.least() {
		return matrix{}, false
	}
	rows := mat.NewDense(len(scaled), 3, nil)
	var x, y []float64
	for i, p := range scaled {
		rows.SetRow(i, []float64{p.Photo.X, p.Photo.Y, 1})
		x, y = append(x, p.Board.X), append(y, p.Board.Y)
	}
	a, fine := least(rows, x)
	b, good := least(rows, y)
	if !fine || !good {
		return matrix{}, false
	}
	return restored(matrix{a[0], a[1], a[2], b[0], b[1], b[2], 0, 0, 1}, photo, board)
}

// perspective finds the map under which both sides of each pair lie in one direction: nine
// numbers up to a factor, the last singular vector of two rows for each pair.
func perspective(pairs []Pair) (m matrix, ok bool) {
	photo, board, scaled, ok := normalised(pairs)
	if !ok || len(pairs) < Perspective.least() {
		return m, false
	}
	rows := mat.NewDense(2*len(scaled), 9, nil)
	for i, p := range scaled {
		x, y, u, v := p.Photo.X, p.Photo.Y, p.Board.X, p.Board.Y
		rows.SetRow(2*i, []float64{x, y, 1, 0, 0, 0, -u * x, -u * y, -u})
		rows.SetRow(2*i+1, []float64{0, 0, 0, x, y, 1, -v * x, -v * y, -v})
	}
	var svd mat.SVD
	if !svd.Factorize(rows, mat.SVDFullV) {
		return m, false
	}
	if s := svd.Values(nil); s[7] < leastSpread*s[0] {
		return m, false // a second map does nearly as well
	}
	var v mat.Dense
	svd.VTo(&v)
	for i := range m {
		m[i] = v.At(i, 8)
	}
	return restored(m, photo, board)
}
