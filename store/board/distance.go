package board

import "math"

// Distance is the distance from edge to edge in micrometres: 0 if the outlines
// touch or overlap, else rounded up to a whole one. It is exact for things
// less than 1 km apart. Nothing is near an outline that is not known: then it
// is the largest int32.
func Distance(a, b Outline) int32 {
	if a.Zero() || b.Zero() {
		return math.MaxInt32
	}
	switch {
	case a.Radius > 0:
		return clamp(max(0, int64(distanceFrom(a.Points[0], b))-int64(a.Radius)))
	case b.Radius > 0:
		return Distance(b, a)
	case a.upright() && b.upright():
		return clamp(boxDistance(a.Bounds(), b.Bounds()))
	}
	return edgeDistance(a, b)
}

// boxDistance is the distance of two upright boxes, as most parts are.
func boxDistance(a, b Bounds) int64 {
	var p, q Point
	p.X, q.X = gap(a.Min.X, a.Max.X, b.Min.X, b.Max.X)
	p.Y, q.Y = gap(a.Min.Y, a.Max.Y, b.Min.Y, b.Max.Y)
	return ceilRoot(p, q)
}

// gap is the two ends of the gap between two ranges, or the same twice if there
// is none.
func gap(min1, max1, min2, max2 int32) (one, other int32) {
	switch {
	case max1 < min2:
		return max1, min2
	case max2 < min1:
		return min1, max2
	}
	return 0, 0
}

// edgeDistance is the distance of two outlines, edge by edge.
func edgeDistance(a, b Outline) int32 {
	nearest := int64(math.MaxInt32)
	for i := range a.Points {
		p, q := a.edge(i)
		for j := range b.Points {
			r, s := b.edge(j)
			if segmentsMeet(p, q, r, s) {
				return 0
			}
			nearest = min(nearest, distanceToSegment(p, r, s), distanceToSegment(r, p, q))
		}
	}
	if a.Contains(b.Points[0]) || b.Contains(a.Points[0]) {
		return 0
	}
	return clamp(nearest)
}

// distanceFrom is the distance from a point to an outline.
func distanceFrom(p Point, o Outline) int32 {
	if o.Radius > 0 {
		d := ceilRoot(p, o.Points[0])
		return clamp(max(0, d-int64(o.Radius)))
	}
	if o.Contains(p) {
		return 0
	}
	nearest := int64(math.MaxInt32)
	for i := range o.Points {
		a, b := o.edge(i)
		nearest = min(nearest, distanceToSegment(p, a, b))
	}
	return clamp(nearest)
}

// distanceToSegment is the distance from p to the straight piece from a to b,
// rounded up.
func distanceToSegment(p, a, b Point) int64 {
	dx, dy := diff(b.X, a.X), diff(b.Y, a.Y)
	px, py := diff(p.X, a.X), diff(p.Y, a.Y)
	if far(dx) || far(dy) || far(px) || far(py) {
		return farDistance(float64(px), float64(py), float64(dx), float64(dy))
	}
	along, length := px*dx+py*dy, dx*dx+dy*dy
	switch {
	case along <= 0:
		return ceilRoot(p, a)
	case along >= length:
		return ceilRoot(p, b)
	}
	// The distance is aside divided by the root of length. In floating point,
	// cut off, it is never too large.
	aside := magnitude(px*dy - py*dx)
	d := uint64(float64(aside) / math.Sqrt(float64(length)))
	for compareWide(d*d, uint64(length), aside, aside) < 0 {
		d++
	}
	return int64(d)
}

// far reports whether products of two such lengths might not fit.
func far(n int64) bool { return magnitude(n) >= 1<<30 }

// farDistance is the distance from (px, py) to the piece from the origin to
// (dx, dy) in floating point, rounded up.
func farDistance(px, py, dx, dy float64) int64 {
	t := max(0, min(1, (px*dx+py*dy)/(dx*dx+dy*dy)))
	if dx == 0 && dy == 0 {
		t = 0
	}
	return int64(math.Ceil(math.Hypot(px-t*dx, py-t*dy)))
}

// ceilRoot is the distance between two points, rounded up.
func ceilRoot(p, q Point) int64 {
	dx, dy := diff(p.X, q.X), diff(p.Y, q.Y)
	if far(dx) || far(dy) {
		return farDistance(float64(dx), float64(dy), 0, 0)
	}
	square := dx*dx + dy*dy
	d := int64(math.Sqrt(float64(square)))
	for d*d < square {
		d++
	}
	return d
}
