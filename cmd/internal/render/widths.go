package render

import "github.com/mattn/go-runewidth"

// What stands between two columns, and where room is short.
const (
	gap       = "  "
	narrowGap = " "
)

// maxTried is how many rows are looked at to share out the room: more of them
// would hardly change it.
const maxTried = 200

// cell is the widths of the pieces of a cell.
type cell []int

// lines is how many lines a cell takes in a column of some width.
func (c cell) lines(width int) int {
	n, at := 1, -1
	for _, w := range c {
		if at >= 0 && at+1+w > width {
			n, at = n+1, -1
		}
		at += 1 + w
	}
	return n
}

// fitting is a column while its width is looked for.
type fitting struct {
	width   int // as far as decided
	natural int // width in which no cell is broken
	cells   []cell
}

// lines is how many lines all cells of the column take together.
func (f *fitting) lines(width int) int {
	n := 0
	for _, c := range f.cells {
		n += c.lines(width)
	}
	return n
}

// step is the least width above the present one, and by no more than room, in
// which the column takes fewer lines.
func (f *fitting) step(room int) (width int, ok bool) {
	now := f.lines(f.width)
	for w := f.width + 1; w <= min(f.natural, f.width+room); w++ {
		if f.lines(w) < now {
			return w, true
		}
	}
	return 0, false
}

// widths are how wide the columns are so that the table is no wider than width:
// each as wide as its widest piece, and what room is left goes to the column
// that takes most lines, again and again. Between two of them are so many blanks.
// It reports false if there is no way.
func (t *Table) widths(rows [][]string, width, between int) (widths []int, fits bool) {
	columns := make([]fitting, len(t.Columns))
	room := width - between*(len(columns)-1)
	excess := -room
	for i := range columns {
		columns[i] = t.fitting(rows, i)
		room -= columns[i].width
		excess += columns[i].natural
	}
	switch {
	case width <= 0 || excess <= 0:
		for i := range columns {
			columns[i].width = columns[i].natural
		}
	case room < 0:
		return nil, false
	default:
		share(columns, room)
	}
	for i := range columns {
		widths = append(widths, columns[i].width)
	}
	return widths, true
}

// fitting looks at the cells of a column. Numbers are never broken.
func (t *Table) fitting(rows [][]string, column int) fitting {
	name := t.Columns[column].Name
	f := fitting{natural: runewidth.StringWidth(name)}
	f.add(name, true)
	for r, row := range rows {
		text := row[column]
		f.natural = max(f.natural, runewidth.StringWidth(text))
		if t.Columns[column].Number {
			f.width = max(f.width, runewidth.StringWidth(text))
			continue
		}
		f.add(text, r < maxTried)
	}
	return f
}

// add takes a cell into account: its pieces must find room, and if it is kept,
// its lines count.
func (f *fitting) add(text string, keep bool) {
	var c cell
	for _, p := range pieces(text) {
		w := runewidth.StringWidth(p)
		f.width = max(f.width, w)
		c = append(c, w)
	}
	if keep {
		f.cells = append(f.cells, c)
	}
}

// share gives room to the columns.
func share(columns []fitting, room int) {
	for room > 0 {
		tallest, most, to := -1, 0, 0
		for i := range columns {
			if w, ok := columns[i].step(room); ok && columns[i].lines(columns[i].width) > most {
				tallest, most, to = i, columns[i].lines(columns[i].width), w
			}
		}
		if tallest < 0 {
			return
		}
		room -= to - columns[tallest].width
		columns[tallest].width = to
	}
}
