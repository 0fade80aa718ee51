package copper

import (
	"cmp"
	"math"
	"slices"

	"netlore/store/board"
)

// line is a straight line, in mm.
type line struct{ ax, ay, bx, by float64 }

func mm(p board.Point) [2]float64 { return [2]float64{float64(p.X) / 1000, float64(p.Y) / 1000} }

func segment(x *board.Conductor) line {
	a, b := mm(x.A), mm(x.B)
	return line{a[0], a[1], b[0], b[1]}
}

func (s line) length() float64 { return math.Hypot(s.bx-s.ax, s.by-s.ay) }

func (s line) at(t float64) [2]float64 { return [2]float64{s.ax + t*(s.bx-s.ax), s.ay + t*(s.by-s.ay)} }

func (s line) point(t float64) board.Point {
	p := s.at(t)
	return board.Point{X: int32(math.Round(p[0] * 1000)), Y: int32(math.Round(p[1] * 1000))}
}

// nearest is how far along the line the point nearest to another one is.
func (s line) nearest(p [2]float64) float64 {
	dx, dy := s.bx-s.ax, s.by-s.ay
	square := dx*dx + dy*dy
	if square == 0 {
		return 0
	}
	return min(max(((p[0]-s.ax)*dx+(p[1]-s.ay)*dy)/square, 0), 1)
}

// contact is where two lines touch: how far along each, and how far one middle is
// from the other.
type contact struct{ t, u, away float64 }

// contacts are where they cross, or else where an end of one is beside the other,
// no further away than where they touch; of such that are near to each other the
// closest.
func contacts(p, q line, within float64) (kept []contact) {
	if t, u, ok := crossing(p, q); ok {
		return []contact{{t, u, 0}}
	}
	var all []contact
	for _, end := range []float64{0, 1} {
		t, u := end, q.nearest(p.at(end))
		all = append(all, contact{t, u, apart(p.at(t), q.at(u))})
		t, u = p.nearest(q.at(end)), end
		all = append(all, contact{t, u, apart(p.at(t), q.at(u))})
	}
	slices.SortStableFunc(all, func(a, b contact) int { return cmp.Compare(a.away, b.away) })
	const rounding = .002 // mm
	for _, c := range all {
		near := func(k contact) bool { return apart(p.at(c.t), p.at(k.t)) < within }
		if len(kept) == 0 || c.away <= within+rounding && !slices.ContainsFunc(kept, near) {
			kept = append(kept, c)
		}
	}
	return kept
}

func apart(a, b [2]float64) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }

// crossing is where two lines cross.
func crossing(p, q line) (t, u float64, ok bool) {
	rx, ry, sx, sy := p.bx-p.ax, p.by-p.ay, q.bx-q.ax, q.by-q.ay
	cross := rx*sy - ry*sx
	if cross == 0 {
		return 0, 0, false
	}
	dx, dy := q.ax-p.ax, q.ay-p.ay
	t, u = (dx*sy-dy*sx)/cross, (dx*ry-dy*rx)/cross
	return t, u, t >= 0 && t <= 1 && u >= 0 && u <= 1
}
