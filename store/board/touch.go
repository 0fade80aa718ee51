package board

import (
	"cmp"
	"math/bits"
)

// turn tells on which side of the line from a to b the point c lies: +1 left,
// -1 right, 0 on it. It is exact for all points.
func turn(a, b, c Point) int {
	return compareProducts(diff(b.X, a.X), diff(c.Y, a.Y), diff(b.Y, a.Y), diff(c.X, a.X))
}

func diff(a, b int32) int64 { return int64(a) - int64(b) }

// compareProducts compares a times b with c times d, each below 2^33 in size,
// exactly.
func compareProducts(a, b, c, d int64) int {
	const safe = 1 << 31 // two products of numbers below this, and their difference, fit
	if magnitude(a) < safe && magnitude(b) < safe && magnitude(c) < safe && magnitude(d) < safe {
		return cmp.Compare(a*b, c*d)
	}
	s, t := sign(a)*sign(b), sign(c)*sign(d)
	if s != t {
		return cmp.Compare(s, t)
	}
	return s * compareWide(magnitude(a), magnitude(b), magnitude(c), magnitude(d))
}

// compareWide compares a times b with c times d in 128 bits.
func compareWide(a, b, c, d uint64) int {
	hi1, lo1 := bits.Mul64(a, b)
	hi2, lo2 := bits.Mul64(c, d)
	if hi1 != hi2 {
		return cmp.Compare(hi1, hi2)
	}
	return cmp.Compare(lo1, lo2)
}

// onSegment reports whether p lies on the straight piece from a to b.
func onSegment(p, a, b Point) bool {
	return spanOf(a, b).Meets(Bounds{p, p}) && turn(a, b, p) == 0
}

// spanOf is the box with a and b at opposite corners.
func spanOf(a, b Point) Bounds { return Bounds{a, a}.join(Bounds{b, b}) }

// segmentsMeet reports whether two straight pieces share at least a point.
func segmentsMeet(a, b, c, d Point) bool {
	if !spanOf(a, b).Meets(spanOf(c, d)) {
		return false
	}
	if turn(a, b, c)*turn(a, b, d) < 0 && turn(c, d, a)*turn(c, d, b) < 0 {
		return true
	}
	return onSegment(c, a, b) || onSegment(d, a, b) || onSegment(a, c, d) || onSegment(b, c, d)
}

// edge is the i-th side of the polygon.
func (o Outline) edge(i int) (a, b Point) {
	return o.Points[i], o.Points[(i+1)%len(o.Points)]
}

// Contains reports whether p lies in the outline or on its edge, exactly.
// Nothing lies in an outline that is not known.
func (o Outline) Contains(p Point) bool {
	if o.Zero() || !o.Bounds().Meets(Bounds{p, p}) {
		return false
	}
	if o.Radius > 0 {
		dx, dy := diff(p.X, o.Points[0].X), diff(p.Y, o.Points[0].Y)
		return dx*dx+dy*dy <= int64(o.Radius)*int64(o.Radius)
	}
	// The polygon winds round p once for each upward side that passes p on
	// the right, less the downward ones.
	winds := 0
	for i := range o.Points {
		a, b := o.edge(i)
		if onSegment(p, a, b) {
			return true
		}
		switch {
		case a.Y <= p.Y && p.Y < b.Y && turn(a, b, p) > 0:
			winds++
		case b.Y <= p.Y && p.Y < a.Y && turn(a, b, p) < 0:
			winds--
		}
	}
	return winds != 0
}
