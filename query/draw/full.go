package draw

import "math"

// full remembers which small squares of an area are taken wholly, a bit for each, so
// that most places that are not free are found to be so by a word or two of each
// row. What it does not know of may be taken all the same.
type full struct {
	x, y float64 // of the first square
	wide int     // in squares
	rows [][]uint64
}

// square is how large one is: small beside a body.
const square = 2.0

func newFull(area box) full {
	f := full{x: area.x0, y: area.y0, wide: int(area.width()/square) + 1, rows: make([][]uint64, int(area.height()/square)+1)}
	for y := range f.rows {
		f.rows[y] = make([]uint64, (f.wide+63)/64)
	}
	return f
}

// add takes all squares that lie wholly in a box.
func (f *full) add(b box) {
	left, right := within(b.x0-f.x, b.x1-f.x, f.wide)
	top, low := within(b.y0-f.y, b.y1-f.y, len(f.rows))
	for y := top; y < low; y++ {
		for x := left; x < right; x++ {
			f.rows[y][x/64] |= 1 << (x % 64)
		}
	}
}

// within are the squares of a row that lie wholly between a and b: the first, and the
// one after the last.
func within(a, b float64, squares int) (first, end int) {
	return int(math.Ceil(max(a, 0) / square)), int(min(max(b, 0)/square, float64(squares)))
}

// meets reports whether a box in the area meets a square that is taken.
func (f *full) meets(b box) bool {
	left, right := int((b.x0-f.x)/square), int(math.Ceil((b.x1-f.x)/square))-1
	top, low := int((b.y0-f.y)/square), int(math.Ceil((b.y1-f.y)/square))-1
	first, last := left/64, right/64
	from, to := ^uint64(0)<<(left%64), ^uint64(0)>>(63-right%64)
	for y := top; y <= low; y++ {
		for i := first; i <= last; i++ {
			mask := ^uint64(0)
			if i == first {
				mask &= from
			}
			if i == last {
				mask &= to
			}
			if f.rows[y][i]&mask != 0 {
				return true
			}
		}
	}
	return false
}
