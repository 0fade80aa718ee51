package draw

import "slices"

// grid finds what is near a box, by the cells of an area that each thing in it meets.
// What lies outside of the area is in the cells at its edge.
type grid[T any] struct {
	x, y       float64 // of the first cell
	wide, high int     // in cells
	cells      []int32 // the last node of each, or -1
	nodes      []node[T]
}

// node is a thing in a cell; before is another of that cell, or -1.
type node[T any] struct {
	thing  T
	before int32
}

// cell is how large a cell is: about a name.
const cell = 24.0

// newGrid is for an area and about so many things.
func newGrid[T any](area box, things int) grid[T] {
	g := grid[T]{x: area.x0, y: area.y0, wide: int(area.width()/cell) + 1, high: int(area.height()/cell) + 1}
	g.cells = slices.Repeat([]int32{-1}, g.wide*g.high)
	g.nodes = make([]node[T], 0, 3*things) // a thing is in one cell to four, mostly
	return g
}

// span are the first and the last cell of a row that something from a to b meets.
func span(a, b float64, cells int) (first, last int) {
	within := func(v float64) int { return int(min(max(v/cell, 0), float64(cells-1))) }
	return within(a), within(b)
}

func (g *grid[T]) add(b box, t T) {
	left, right := span(b.x0-g.x, b.x1-g.x, g.wide)
	top, low := span(b.y0-g.y, b.y1-g.y, g.high)
	for y := top; y <= low; y++ {
		for x := left; x <= right; x++ {
			last := &g.cells[y*g.wide+x]
			g.nodes = append(g.nodes, node[T]{t, *last})
			*last = int32(len(g.nodes) - 1)
		}
	}
}

// some reports whether something is so of what is in the cells of a box. It may be
// asked of one thing more than once.
func (g *grid[T]) some(b box, is func(T) bool) bool {
	left, right := span(b.x0-g.x, b.x1-g.x, g.wide)
	top, low := span(b.y0-g.y, b.y1-g.y, g.high)
	for y := top; y <= low; y++ {
		for x := left; x <= right; x++ {
			for i := g.cells[y*g.wide+x]; i >= 0; i = g.nodes[i].before {
				if is(g.nodes[i].thing) {
					return true
				}
			}
		}
	}
	return false
}
