package draw

import "slices"

// label is a name that stands beside a thing.
type label struct {
	thing *thing // nil of a cover that is not asked for
	name  string // in full
	text  string
	w     float64
	of    box  // what it names
	at    box  // where it stands
	line  bool // a line leads from what it names to it:
	to    segment
}

// labelHeight is the height of a name with its halo.
const labelHeight = small + 3

// near and far are how far from a body names stand.
const near = 2.0

var far = []float64{16, 30, 46, 64, 84}

// placing is a view whose names are being placed.
type placing struct {
	area  box // in which names may stand
	taken grid[taken]
	full  full
	lines grid[segment]
}

// segment is a line from a name to what it names.
type segment struct{ ax, ay, bx, by float64 }

// How many names at most may be left for that they choose first in another turn, and
// how many turns there are.
const (
	fewLeft   = 24
	mostTurns = 8
)

// place gives each label a place beside what it names, as far as there is one, and
// returns those that have none. Labels are in the order in which they may choose. The
// few that are left choose first in another turn, and the turn counts that leaves the
// fewest, the first of several.
func place(labels []*label, area box) (left []*label) {
	order := labels
	left = turn(order, area)
	best, fewest, counts := order, left, true
	for n := 1; n < mostTurns && 0 < len(fewest) && len(left) <= fewLeft; n++ {
		order = slices.Concat(left, slices.DeleteFunc(slices.Clone(order), func(l *label) bool { return slices.Contains(left, l) }))
		left = turn(order, area)
		if counts = len(left) < len(fewest); counts {
			best, fewest = order, left
		}
	}
	if !counts {
		turn(best, area)
	}
	return fewest
}

// turn lets all labels choose once, in order, and returns those that found no place.
func turn(labels []*label, area box) (left []*label) {
	least := area.width()
	for _, l := range labels {
		least = min(least, l.w)
	}
	p := placing{area: area, taken: newGrid[taken](area, 2*len(labels)), full: newFull(area, least), lines: newGrid[segment](area, len(labels)/2)}
	for _, l := range labels {
		l.at, l.line, l.to = box{}, false, segment{}
		if l.thing != nil {
			p.occupy(l.of.grow(-0.5), l)
		}
	}
	for _, l := range labels {
		if !p.cornered(l) && !p.inside(l) && !p.beside(l) && !p.led(l) {
			left = append(left, l)
		}
	}
	return left
}

// cornered puts the name of a cover into a corner of it.
func (p *placing) cornered(l *label) bool {
	if l.thing != nil && l.thing.Kind != Cover {
		return false
	}
	const gap = 4
	for _, x := range []float64{l.of.x0 + gap, l.of.x1 - gap - l.w} {
		for _, y := range []float64{l.of.y0 + gap, l.of.y1 - gap - labelHeight} {
			at := box{x, y, x + l.w, y + labelHeight}
			if l.of.holds(at) && p.take(l, at, l) {
				return true
			}
		}
	}
	return false
}

// inside puts a name into the middle of a body that has room for it.
func (p *placing) inside(l *label) bool {
	x, y := l.of.middle()
	at := box{x - l.w/2, y - labelHeight/2, x + l.w/2, y + labelHeight/2}
	return l.of.holds(at.grow(2)) && p.take(l, at, l)
}

// beside puts a name at one of the eight places at its body.
func (p *placing) beside(l *label) bool {
	places := around(l, near)
	for _, at := range places[:8] {
		if p.take(l, at, nil) {
			return true
		}
	}
	return false
}

// led puts a name farther away, with a line to it: to the nearest place at which
// the line is clear of lines and names, else at which it is clear of lines.
func (p *placing) led(l *label) bool {
	var second box
	for _, gap := range far {
		for _, at := range around(l, gap) {
			if !p.free(at, nil) {
				continue
			}
			to := lead(l, at)
			if p.crossed(to) {
				continue
			}
			if !p.under(to) {
				p.lead(l, at)
				return true
			}
			if second == (box{}) {
				second = at
			}
		}
	}
	if second == (box{}) {
		return false
	}
	p.lead(l, second)
	return true
}

func (p *placing) lead(l *label, at box) {
	l.line, l.to, l.at = true, lead(l, at), at
	p.lines.add(l.to.box(), l.to)
	p.occupy(at, nil)
}

// around are the eight places: right, left, above, below, then the corners.
// The eight more between them are for names farther away.
func around(l *label, gap float64) [16]box {
	x, y := l.of.middle()
	w, h := l.w, labelHeight
	east, west := l.of.x1+gap, l.of.x0-gap-w
	north, south := l.of.y0-gap-h, l.of.y1+gap
	put := func(x, y float64) box { return box{x, y, x + w, y + h} }
	half := gap / 2
	return [16]box{
		put(east, y-h/2), put(west, y-h/2), put(x-w/2, north), put(x-w/2, south),
		put(east, north), put(west, north), put(east, south), put(west, south),
		put(l.of.x1+half, north), put(l.of.x0-half-w, north), put(l.of.x1+half, south), put(l.of.x0-half-w, south),
		put(east, l.of.y0-half-h), put(west, l.of.y0-half-h), put(east, l.of.y1+half), put(west, l.of.y1+half),
	}
}

// lead is the line from the middle of a body to the nearest point of its name.
func lead(l *label, at box) segment {
	x, y := l.of.middle()
	return segment{x, y, min(max(x, at.x0), at.x1), min(max(y, at.y0), at.y1)}
}

func (s segment) box() box {
	return box{min(s.ax, s.bx), min(s.ay, s.by), max(s.ax, s.bx), max(s.ay, s.by)}
}

// crossed reports whether a line crosses one that is there.
func (p *placing) crossed(s segment) bool { return p.lines.some(s.box(), s.crosses) }

// crosses reports whether two lines cross; to touch is not to cross.
func (s segment) crosses(t segment) bool {
	return s.side(t.ax, t.ay)*s.side(t.bx, t.by) < 0 && t.side(s.ax, s.ay)*t.side(s.bx, s.by) < 0
}

// side is above 0 for points on one side of a line, below it on the other.
func (s segment) side(x, y float64) float64 {
	return (s.bx-s.ax)*(y-s.ay) - (s.by-s.ay)*(x-s.ax)
}

// take takes a place if it is free.
func (p *placing) take(l *label, at box, own *label) bool {
	if !p.free(at, own) {
		return false
	}
	l.at = at
	p.occupy(at, nil)
	return true
}

// free reports whether a place is free and on no line; one's own body does not count.
func (p *placing) free(at box, own *label) bool {
	return p.area.holds(at) && (own != nil || !p.full.meets(at)) && !p.taken.some(at, func(t taken) bool { return t.meets(at) && (own == nil || t.body != own) }) &&
		!p.crossed(segment{at.x0, at.y0, at.x1, at.y1}) && !p.crossed(segment{at.x0, at.y1, at.x1, at.y0})
}

// taken is a box in which no name may stand, and the label whose body it is, or nil of
// a name.
type taken struct {
	box
	body *label
}

func (p *placing) occupy(b box, body *label) {
	p.taken.add(b, taken{b, body})
	p.full.add(b)
}

// under reports whether a line runs under a name.
func (p *placing) under(s segment) bool {
	return p.taken.some(s.box(), func(t taken) bool {
		return t.body == nil && (s.crosses(segment{t.x0, t.y0, t.x1, t.y1}) || s.crosses(segment{t.x0, t.y1, t.x1, t.y0}))
	})
}
