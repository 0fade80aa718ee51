package board

import "math"

// Bounds is a box along the axes; its edges belong to it.
type Bounds struct{ Min, Max Point }

// Meets reports whether two boxes share at least a point.
func (b Bounds) Meets(c Bounds) bool {
	return b.Min.X <= c.Max.X && c.Min.X <= b.Max.X && b.Min.Y <= c.Max.Y && c.Min.Y <= b.Max.Y
}

// Contains reports whether a point lies in the box or on its edge.
func (b Bounds) Contains(p Point) bool {
	return b.Min.X <= p.X && p.X <= b.Max.X && b.Min.Y <= p.Y && p.Y <= b.Max.Y
}

// Grow returns the box that is by micrometres larger on every side.
func (b Bounds) Grow(by int32) Bounds {
	return Bounds{b.Min.moved(-int64(by), -int64(by)), b.Max.moved(int64(by), int64(by))}
}

// join is the smallest box that holds both.
func (b Bounds) join(c Bounds) Bounds {
	return Bounds{
		Point{min(b.Min.X, c.Min.X), min(b.Min.Y, c.Min.Y)},
		Point{max(b.Max.X, c.Max.X), max(b.Max.Y, c.Max.Y)},
	}
}

// Center is the middle of the box, rounded down to whole micrometres.
func (b Bounds) Center() Point {
	return Point{int32((int64(b.Min.X) + int64(b.Max.X)) >> 1), int32((int64(b.Min.Y) + int64(b.Max.Y)) >> 1)}
}

// moved is p moved by dx, dy, but never beyond what a Point can hold.
func (p Point) moved(dx, dy int64) Point {
	return Point{clamp(int64(p.X) + dx), clamp(int64(p.Y) + dy)}
}

func clamp(n int64) int32 { return int32(max(math.MinInt32, min(n, math.MaxInt32))) }

// Spot is the outline of which only the place is known: a single point,
// without area.
func Spot(p Point) Outline { return Outline{Points: []Point{p}} }

// Box is the box along the axes with a and b at two opposite corners.
func Box(a, b Point) Outline {
	lo := Point{min(a.X, b.X), min(a.Y, b.Y)}
	hi := Point{max(a.X, b.X), max(a.Y, b.Y)}
	return Outline{Points: []Point{lo, {hi.X, lo.Y}, hi, {lo.X, hi.Y}}}
}

// upright reports whether an outline is a box that is not turned but by right
// angles.
func (o Outline) upright() bool {
	if len(o.Points) != 4 || o.Radius > 0 {
		return false
	}
	a, b, c, d := o.Points[0], o.Points[1], o.Points[2], o.Points[3]
	return a.X == b.X && c.X == d.X && b.Y == c.Y && d.Y == a.Y || a.Y == b.Y && c.Y == d.Y && b.X == c.X && d.X == a.X
}

// Circle is the circle of radius r round c, or c alone if r is not above 0.
func Circle(c Point, r int32) Outline { return Outline{Points: []Point{c}, Radius: max(r, 0)} }

// Polygon is the closed polygon through the points, in either direction. It
// may be concave but must not cross itself. The first point need not be
// repeated at the end. The slice is kept.
func Polygon(pts []Point) Outline {
	if last := len(pts) - 1; last > 0 && pts[0] == pts[last] {
		pts = pts[:last]
	}
	return Outline{Points: pts}
}

// TurnedBox is the box of size s with its middle at c, turned by turn
// millidegrees. Corners are rounded to whole micrometres; turned by right
// angles the box has exactly its size.
func TurnedBox(c Point, s Size, turn int32) Outline {
	corners := turnedCorners(c, s, turn)
	return Outline{Points: corners[:]}
}

func turnedCorners(c Point, s Size, turn int32) [4]Point {
	sin, cos := sinCos(turn)
	w, h := float64(s.W)/2, float64(s.H)/2
	corner := func(x, y float64) Point {
		return c.moved(int64(math.Floor(x*cos-y*sin+0.5)), int64(math.Floor(x*sin+y*cos+0.5)))
	}
	return [4]Point{corner(-w, -h), corner(w, -h), corner(w, h), corner(-w, h)}
}

// turnedBounds are the bounds of TurnedBox, without making the outline.
func turnedBounds(c Point, s Size, turn int32) Bounds {
	corners := turnedCorners(c, s, turn)
	b := Bounds{corners[0], corners[0]}
	for _, p := range corners[1:] {
		b = b.join(Bounds{p, p})
	}
	return b
}

// sinCos is the sine and cosine of an angle in millidegrees, without the dust
// that math.Sincos leaves at right angles.
func sinCos(turn int32) (sin, cos float64) {
	const circle = 360_000
	turn = (turn%circle + circle) % circle
	switch turn {
	case 0:
		return 0, 1
	case circle / 4:
		return 1, 0
	case circle / 2:
		return 0, -1
	case circle / 4 * 3:
		return -1, 0
	}
	return math.Sincos(float64(turn) / circle * 2 * math.Pi)
}

// At is the outline of copper of this shape with its middle at c. A shape that
// is not known is a Spot.
func (s PadShape) At(c Point) Outline {
	if s.H == 0 {
		return Circle(c, s.W/2)
	}
	return TurnedBox(c, Size{s.W, s.H}, s.Turn)
}

// Bounds is the smallest box that holds the outline; the zero Bounds if the
// outline is not known.
func (o Outline) Bounds() Bounds {
	if o.Zero() {
		return Bounds{}
	}
	b := Bounds{o.Points[0], o.Points[0]}.Grow(o.Radius)
	for _, p := range o.Points[1:] {
		b = b.join(Bounds{p, p})
	}
	return b
}

// Area is the area in square micrometres; 0 for a Spot. It is exact for
// polygons that are less than 2 km wide.
func (o Outline) Area() float64 {
	if o.Radius > 0 {
		return math.Pi * float64(o.Radius) * float64(o.Radius)
	}
	return math.Abs(float64(o.twiceArea())) / 2
}

// twiceArea is the shoelace sum of a polygon: above 0 if it runs
// counter-clockwise. Parts of the sum may wrap round; the whole then comes out
// right again, as it fits.
func (o Outline) twiceArea() int64 {
	var sum int64
	for i, p := range o.Points {
		q := o.Points[(i+1)%len(o.Points)]
		sum += int64(p.X)*int64(q.Y) - int64(q.X)*int64(p.Y)
	}
	return sum
}
