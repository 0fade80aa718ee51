package board

// Basis tells how the outline of a part, pin or pad is known.
type Basis uint8

const (
	NoPlace     Basis = iota // it is not known where it is
	ByPoint                  // only the place is known: the outline is a Spot
	ByPins                   // the box round the pins of the part
	ByPackage                // the body that the name of the package tells
	ByStatement              // its size was stated
)

// PartOutline returns the outline of a part's body and how it is known: by its
// stated size, else by its package, else by the box round its pins, else the
// Spot where it is. The outline is zero for NoPlace.
func (b *Board) PartOutline(p PartID) (Outline, Basis) {
	part := &b.Parts[p]
	if size, basis := part.body(); basis != NoPlace {
		return TurnedBox(part.At, size, part.Turn), basis
	}
	if box, ok := b.pinBox(p); ok {
		return Box(box.Min, box.Max), ByPins
	}
	if part.Placed {
		return Spot(part.At), ByPoint
	}
	return Outline{}, NoPlace
}

// PartBounds returns the bounds of PartOutline, without making the outline.
func (b *Board) PartBounds(p PartID) (Bounds, Basis) {
	part := &b.Parts[p]
	if size, basis := part.body(); basis != NoPlace {
		return turnedBounds(part.At, size, part.Turn), basis
	}
	if box, ok := b.pinBox(p); ok {
		return box, ByPins
	}
	if part.Placed {
		return Bounds{part.At, part.At}, ByPoint
	}
	return Bounds{}, NoPlace
}

// body is the size of a part that has a place, and how it is known.
func (part *Part) body() (Size, Basis) {
	switch {
	case !part.Placed:
	case !part.Size.Zero():
		return part.Size, ByStatement
	default:
		if size, ok := PackageSize(part.Package); ok {
			return size, ByPackage
		}
	}
	return Size{}, NoPlace
}

// pinBox is the box round the placed pins of a part. It reports false if they
// are no more than one place without size.
func (b *Board) pinBox(p PartID) (Bounds, bool) {
	first, last := b.PinsOf(p)
	var box Bounds
	known := false
	for id := first; id < last; id++ {
		pin := &b.Pins[id]
		copper, basis := copperBounds(pin.Placed, pin.At, pin.Shape)
		switch {
		case basis == NoPlace:
		case !known:
			box, known = copper, true
		default:
			box = box.join(copper)
		}
	}
	return box, known && box.Min != box.Max
}

// PinOutline returns the outline of a pin's copper and how it is known.
func (b *Board) PinOutline(p PinID) (Outline, Basis) {
	pin := &b.Pins[p]
	return copperOutline(pin.Placed, pin.At, pin.Shape)
}

// PadOutline returns the outline of a pad's copper and how it is known.
func (b *Board) PadOutline(p PadID) (Outline, Basis) {
	pad := &b.Pads[p]
	return copperOutline(pad.Placed, pad.At, pad.Shape)
}

func copperOutline(placed bool, at Point, shape PadShape) (Outline, Basis) {
	switch {
	case !placed:
		return Outline{}, NoPlace
	case shape.W == 0:
		return Spot(at), ByPoint
	}
	return shape.At(at), ByStatement
}

// copperBounds are the bounds of copperOutline, without making the outline.
func copperBounds(placed bool, at Point, shape PadShape) (Bounds, Basis) {
	switch {
	case !placed:
		return Bounds{}, NoPlace
	case shape.W == 0:
		return Bounds{at, at}, ByPoint
	case shape.H == 0:
		return Bounds{at, at}.Grow(max(shape.W/2, 0)), ByStatement
	}
	return turnedBounds(at, Size{shape.W, shape.H}, shape.Turn), ByStatement
}

// PartSide is the side that a part is on: as stated, else the side of its
// pins if all that are known are on one.
func (b *Board) PartSide(p PartID) Side {
	if s := b.Parts[p].Side; s != SideUnknown {
		return s
	}
	side := SideUnknown
	first, last := b.PinsOf(p)
	for _, pin := range b.Pins[first:last] {
		switch {
		case pin.Side == SideUnknown || pin.Side == side:
		case pin.Side == BothSides || side != SideUnknown:
			return SideUnknown
		default:
			side = pin.Side
		}
	}
	return side
}

// CoverOutline returns the outline of a cover and the side it lies on. A cover
// that is a part has what is known of the part where nothing else is stated.
// The outline is zero if it is not known, or known as a Spot only.
func (b *Board) CoverOutline(c CoverID) (Outline, Side) {
	cover := &b.Covers[c]
	outline, side := cover.Outline, cover.Side
	if cover.Part == None {
		return outline, side
	}
	if outline.Zero() {
		if o, basis := b.PartOutline(cover.Part); basis > ByPoint {
			outline = o
		}
	}
	if side == SideUnknown {
		side = b.PartSide(cover.Part)
	}
	return outline, side
}

// Extent returns the box of the board, and whether it is known: the bounds of
// its outline, else its size from 0, 0 on, provided that no part or pad lies
// outside, which would show that the places count from another corner.
func (b *Board) Extent() (Bounds, bool) {
	if !b.Outline.Zero() {
		return b.Outline.Bounds(), true
	}
	box := Bounds{Max: Point{b.Size.W, b.Size.H}}
	if b.Size.Zero() {
		return box, false
	}
	for i := range b.Parts {
		if p := &b.Parts[i]; p.Placed && !box.Contains(p.At) {
			return box, false
		}
	}
	for i := range b.Pads {
		if p := &b.Pads[i]; p.Placed && !box.Contains(p.At) {
			return box, false
		}
	}
	return box, true
}
