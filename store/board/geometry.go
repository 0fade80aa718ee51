package board

// Point is a place in micrometres, x to the right, y up, seen from the top.
type Point struct{ X, Y int32 }

// Size is a width (along x) and a height (along y) in micrometres.
type Size struct{ W, H int32 }

// Zero reports whether the size is not known.
func (s Size) Zero() bool { return s == Size{} }

// Side is a side of a board.
type Side uint8

const (
	SideUnknown Side = iota
	Top
	Bottom
	BothSides // a through hole, a via
)

// PadShape is the copper of a pin or pad, or the pen of a track: round with
// diameter W when H is 0, else a W by H box turned by Turn millidegrees.
// The zero value is unknown.
type PadShape struct {
	W, H int32
	Turn int32
}

// Truth is the answer to a question that may lack its facts.
type Truth uint8

const (
	False Truth = iota
	Unknown
	True
)

// Outline is a closed shape: a circle of Radius round Points[0] when Radius is
// above 0, else the polygon through Points. The zero value is unknown.
type Outline struct {
	Points []Point
	Radius int32
}

// Zero reports whether the outline is not known.
func (o Outline) Zero() bool { return len(o.Points) == 0 }
