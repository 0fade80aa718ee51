package board

import "slices"

// Hiding is the judgement whether one thing lies under or behind another.
type Hiding struct {
	Truth  Truth
	Partly bool    // less than 95 % of it; only if Truth is True
	Share  float64 // how much of it, 0 to 1, where that is known
	Why    string  // for Unknown, what is missing, in plain words
}

// What counts as hidden: an overlap of at least leastShare of the smaller of
// the two outlines. Above wholeShare of the hidden thing it is hidden wholly.
const (
	leastShare = 0.05
	wholeShare = 0.95
	rounding   = 1e-9 // that Overlap may be off by
)

// CoversPart judges whether cover c hides part p.
//
// A cover with a list hides what is listed and nothing else. Without a list a
// part is hidden if it is on the cover's side and the outlines overlap by at
// least 5 % of the smaller one; a part known by its place alone, if that lies
// in the cover. No cover hides the part that it is.
func (b *Board) CoversPart(c CoverID, p PartID) Hiding {
	cover := &b.Covers[c]
	switch {
	case cover.Part == p:
		return Hiding{Truth: False}
	case cover.Listed:
		return listed(cover.Parts, p)
	}
	o, _ := b.PartOutline(p)
	return b.underCover(c, o, b.PartSide(p))
}

// CoversPad judges whether cover c lies over pad p, by the rule of CoversPart.
// A pad through the board is under a cover on either side.
func (b *Board) CoversPad(c CoverID, p PadID) Hiding {
	cover := &b.Covers[c]
	if cover.Listed {
		return listed(cover.Pads, p)
	}
	o, _ := b.PadOutline(p)
	return b.underCover(c, o, b.Pads[p].Side)
}

// CoversPin judges whether cover c lies over pin p, by the rule of CoversPart.
// If the cover has a list, a pin is hidden with its part.
func (b *Board) CoversPin(c CoverID, p PinID) Hiding {
	pin := &b.Pins[p]
	if b.Covers[c].Listed || b.Covers[c].Part == pin.Part {
		return b.CoversPart(c, pin.Part)
	}
	o, _ := b.PinOutline(p)
	side := pin.Side
	if side == SideUnknown {
		side = b.PartSide(pin.Part)
	}
	return b.underCover(c, o, side)
}

func listed[ID ~int32](list []ID, id ID) Hiding {
	if slices.Contains(list, id) {
		return Hiding{Truth: True, Share: 1}
	}
	return Hiding{Truth: False}
}

func (b *Board) underCover(c CoverID, o Outline, side Side) Hiding {
	lid, lidSide := b.CoverOutline(c)
	switch name := b.Covers[c].Name; {
	case apart(lidSide, side):
		return Hiding{Truth: False}
	case lid.Zero():
		return Hiding{Truth: Unknown, Why: name + " has no outline and no list"}
	case o.Zero():
		return Hiding{Truth: Unknown, Why: "no position"}
	case lidSide == SideUnknown:
		return ifOver(lid, o, "side of "+name+" not known")
	}
	if side == SideUnknown {
		return ifOver(lid, o, "side not known")
	}
	return over(lid, o)
}

// BehindPart judges whether part p lies behind an outline on one side of the
// board: on the other side, with an overlap by the rule of CoversPart.
func (b *Board) BehindPart(o Outline, side Side, p PartID) Hiding {
	part, _ := b.PartOutline(p)
	return behind(o, side, part, b.PartSide(p))
}

// BehindPad judges whether a pad lies behind an outline. A pad through the
// board does, on whichever side the outline is.
func (b *Board) BehindPad(o Outline, side Side, p PadID) Hiding {
	pad, _ := b.PadOutline(p)
	return behind(o, side, pad, b.Pads[p].Side)
}

// behind judges whether the outline o on side oSide lies behind front.
func behind(front Outline, side Side, o Outline, oSide Side) Hiding {
	switch {
	case side == oSide && (side == Top || side == Bottom):
		return Hiding{Truth: False}
	case front.Zero():
		return Hiding{Truth: Unknown, Why: "no position of what it lies behind"}
	case o.Zero():
		return Hiding{Truth: Unknown, Why: "no position"}
	case oSide == SideUnknown || side == SideUnknown:
		return ifOver(front, o, "side not known")
	}
	return over(front, o)
}

// apart reports whether two sides are known not to be the same.
func apart(a, b Side) bool { return a == Top && b == Bottom || a == Bottom && b == Top }

// ifOver is Unknown for the reason given if the outlines lie over each other.
// If they do not, the side makes no difference.
func ifOver(lid, o Outline, why string) Hiding {
	h := over(lid, o)
	if h.Truth == True {
		return Hiding{Truth: Unknown, Share: h.Share, Why: why}
	}
	return h
}

// over judges whether the outline o lies under lid, whatever the sides.
func over(lid, o Outline) Hiding {
	whole, most := o.Area(), lid.Area()
	if whole == 0 || most == 0 {
		if lid.Contains(o.Bounds().center()) {
			return Hiding{Truth: True, Share: 1}
		}
		return Hiding{Truth: False}
	}
	common := Overlap(lid, o)
	h := Hiding{Share: min(common/whole, 1)}
	if common >= leastShare*min(whole, most)*(1-rounding) {
		h.Truth = True
		h.Partly = h.Share < wholeShare*(1-rounding)
	}
	return h
}
