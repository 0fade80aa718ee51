package draw

import "math"

// full remembers in which small squares of an area no name can begin, a bit for each, so
// that most places that are not free are found to be so by a look at a bit or two. What
// it does not know of may be taken all the same.
type full struct {
	x, y          float64 // of the first square
	wide          int     // in squares
	across, along int     // how many squares a name that begins in one meets at least
	least         float64 // how wide the narrowest name is
	rows          [][]uint64
}

// square is how large one is: small beside a body.
const square = 2.0

// newFull is for names of an area that are labelHeight high and no narrower than least.
func newFull(area box, least float64) full {
	f := full{x: area.x0, y: area.y0, wide: int(area.width()/square) + 1, rows: make([][]uint64, int(area.height()/square)+1),
		across: int(math.Ceil(least / square)), along: int(math.Ceil(labelHeight / square)), least: least}
	words := (f.wide + 63) / 64
	bits := make([]uint64, words*len(f.rows))
	for y := range f.rows {
		f.rows[y] = bits[y*words : (y+1)*words]
	}
	return f
}

// add takes all squares that lie wholly in a box.
func (f *full) add(b box) {
	left, right := within(b.x0-f.x, b.x1-f.x, f.wide)
	top, low := within(b.y0-f.y, b.y1-f.y, len(f.rows))
	if left >= right || top >= low {
		return
	}
	left, top = max(left-f.across+1, 0), max(top-f.along+1, 0)
	first, last := left/64, (right-1)/64
	for _, row := range f.rows[top:low] {
		for i := first; i <= last; i++ {
			row[i] |= ^uint64(0) << max(left-64*i, 0) & (^uint64(0) >> max(64*(i+1)-right, 0))
		}
	}
}

// within are the squares of a row that lie wholly between a and b: the first, and the
// one after the last.
func within(a, b float64, squares int) (first, end int) {
	return int(math.Ceil(max(a, 0) / square)), int(min(max(b, 0)/square, float64(squares)))
}

// meets reports whether a name in the area meets a square that is taken: it is as if
// several of the narrowest stood in it side by side.
func (f *full) meets(b box) bool {
	row := f.rows[int((b.y0-f.y)/square)]
	for x, last := b.x0-f.x, b.x1-f.x-f.least; ; x += f.least {
		at := uint(min(x, last) / square)
		if row[at/64]&(1<<(at%64)) != 0 {
			return true
		}
		if x >= last {
			return false
		}
	}
}
