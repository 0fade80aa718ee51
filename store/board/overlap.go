package board

import "math"

// Overlap is the area in square micrometres that two outlines have in common.
// It is computed from the edges without any approximation of circles, to
// floating-point precision: about one part in 10^9 of the larger outline. It
// is 0 if an outline is not known or has no area.
func Overlap(a, b Outline) float64 {
	box := a.Bounds()
	if a.Zero() || b.Zero() || !box.Meets(b.Bounds()) {
		return 0
	}
	switch {
	case a.Radius > 0 && b.Radius > 0:
		return lens(a, b)
	case a.Radius > 0:
		return circleOverlap(a, b)
	case b.Radius > 0:
		return circleOverlap(b, a)
	}
	if a.isBox() && b.isBox() {
		return box.common(b.Bounds())
	}
	return polygonOverlap(a, b)
}

// isBox reports whether a polygon is a box along the axes.
func (o Outline) isBox() bool {
	p := o.Points
	if len(p) != 4 {
		return false
	}
	return p[0].Y == p[1].Y && p[1].X == p[2].X && p[2].Y == p[3].Y && p[3].X == p[0].X ||
		p[0].X == p[1].X && p[1].Y == p[2].Y && p[2].X == p[3].X && p[3].Y == p[0].Y
}

// common is the area that two boxes that meet share.
func (b Bounds) common(c Bounds) float64 {
	w := diff(min(b.Max.X, c.Max.X), max(b.Min.X, c.Min.X))
	h := diff(min(b.Max.Y, c.Max.Y), max(b.Min.Y, c.Min.Y))
	return float64(w) * float64(h)
}

// vec is a point or direction relative to some origin.
type vec struct{ x, y float64 }

func from(origin, p Point) vec {
	return vec{float64(diff(p.X, origin.X)), float64(diff(p.Y, origin.Y))}
}

func (a vec) cross(b vec) float64       { return a.x*b.y - a.y*b.x }
func (a vec) dot(b vec) float64         { return a.x*b.x + a.y*b.y }
func (a vec) less(b vec) vec            { return vec{a.x - b.x, a.y - b.y} }
func (a vec) plus(b vec, t float64) vec { return vec{a.x + t*b.x, a.y + t*b.y} }

// lens is the area common to two circles: two segments over one chord.
func lens(a, b Outline) float64 {
	r, s := float64(a.Radius), float64(b.Radius)
	v := from(a.Points[0], b.Points[0])
	d := math.Hypot(v.x, v.y)
	switch {
	case d >= r+s:
		return 0
	case d <= math.Abs(r-s):
		return math.Pi * min(r, s) * min(r, s)
	}
	alpha := angleOf(d*d+r*r-s*s, 2*d*r)
	beta := angleOf(d*d+s*s-r*r, 2*d*s)
	return r*r*(alpha-math.Sin(2*alpha)/2) + s*s*(beta-math.Sin(2*beta)/2)
}

// angleOf is the arc cosine of a/b, for quotients that may be a hair above 1.
func angleOf(a, b float64) float64 { return math.Acos(max(-1, min(1, a/b))) }

// circleOverlap is the area common to a circle and a polygon. Each side of the
// polygon makes a triangle with the middle of the circle; what of it lies in
// the circle counts with the sign of the side's direction.
func circleOverlap(circle, polygon Outline) float64 {
	r, middle := float64(circle.Radius), circle.Points[0]
	sum := 0.0
	for i := range polygon.Points {
		p, q := polygon.edge(i)
		sum += inCircle(from(middle, p), from(middle, q), r)
	}
	return math.Abs(sum)
}

// inCircle is the signed area of the triangle from the origin over a to b, as
// far as it lies in the circle of radius r round the origin.
func inCircle(a, b vec, r float64) float64 {
	d := b.less(a)
	length := d.dot(d)
	if length == 0 {
		return 0
	}
	// The side is a + t*d for t from 0 to 1; it is in the circle from t1 to t2.
	middle := -a.dot(d) / length
	half := r*r/length - math.Pow(a.cross(d)/length, 2)
	if half <= 0 {
		return sector(a, b, r)
	}
	half = math.Sqrt(half)
	t1, t2 := max(0, middle-half), min(1, middle+half)
	if t1 >= t2 {
		return sector(a, b, r)
	}
	p, q := a.plus(d, t1), a.plus(d, t2)
	return sector(a, p, r) + p.cross(q)/2 + sector(q, b, r)
}

// sector is the signed area of the circle between the directions a and b.
func sector(a, b vec, r float64) float64 {
	return r * r * math.Atan2(a.cross(b), a.dot(b)) / 2
}

// polygonOverlap is the area common to two polygons, concave or not. Both are
// taken as sums of signed triangles from one common corner to each of their
// sides; the common area is the sum over the pairs of triangles.
func polygonOverlap(a, b Outline) float64 {
	corner := a.Points[0]
	sum := 0.0
	for i := range a.Points {
		p, q := a.edge(i)
		t, s := newWedge(from(corner, p), from(corner, q))
		if s == 0 {
			continue
		}
		for j := range b.Points {
			p, q := b.edge(j)
			if u, v := newWedge(from(corner, p), from(corner, q)); v != 0 {
				sum += s * v * t.common(u)
			}
		}
	}
	return math.Abs(sum)
}

// wedge is a triangle at the origin: a and b are its other corners, b to the
// left of a as seen from the origin.
type wedge struct{ a, b vec }

// newWedge makes the wedge of a side and gives its sign: -1 if the side runs
// clockwise, 0 if the triangle has no area.
func newWedge(a, b vec) (wedge, float64) {
	switch c := a.cross(b); {
	case c > 0:
		return wedge{a, b}, 1
	case c < 0:
		return wedge{b, a}, -1
	}
	return wedge{}, 0
}

// spans reports whether a direction lies between the sides of the wedge.
func (w wedge) spans(v vec) bool { return w.a.cross(v) >= 0 && v.cross(w.b) >= 0 }

// reach is how often v fits from the origin to the far side of the wedge.
func (w wedge) reach(v vec) float64 {
	side := w.b.less(w.a)
	return w.a.cross(side) / v.cross(side)
}

// common is the area that two wedges share. Between the two directions from
// and to that bound it, the nearer of the two far sides bounds it outside;
// they may change over once, where they cross.
func (w wedge) common(u wedge) float64 {
	var from, to vec
	switch {
	case w.spans(u.a):
		from = u.a
	case u.spans(w.a):
		from = w.a
	default:
		return 0
	}
	if to = u.b; !w.spans(to) {
		to = w.b
	}
	if from.cross(to) <= 0 {
		return 0
	}
	w1, u1 := w.reach(from), u.reach(from)
	w2, u2 := w.reach(to), u.reach(to)
	start, end := vec{}.plus(from, min(w1, u1)), vec{}.plus(to, min(w2, u2))
	if (w1-u1)*(w2-u2) >= 0 {
		return start.cross(end) / 2
	}
	turnover := w.crossing(u)
	return (start.cross(turnover) + turnover.cross(end)) / 2
}

// crossing is where the lines of the far sides of two wedges cross.
func (w wedge) crossing(u wedge) vec {
	d, e := w.b.less(w.a), u.b.less(u.a)
	return w.a.plus(d, u.a.less(w.a).cross(e)/d.cross(e))
}
