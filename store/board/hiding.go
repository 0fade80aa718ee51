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

// CoversPart judges whether cover c hides part p; see Lid.OverPart.
func (b *Board) CoversPart(c CoverID, p PartID) Hiding { return b.Lid(c).OverPart(p) }

// CoversPad judges whether cover c lies over pad p; see Lid.OverPad.
func (b *Board) CoversPad(c CoverID, p PadID) Hiding { return b.Lid(c).OverPad(p) }

// CoversPin judges whether cover c lies over pin p; see Lid.OverPin.
func (b *Board) CoversPin(c CoverID, p PinID) Hiding { return b.Lid(c).OverPin(p) }

func listed[ID ~int32](list []ID, id ID) Hiding {
	if _, in := slices.BinarySearch(list, id); in {
		return Hiding{Truth: True, Share: 1}
	}
	return Hiding{Truth: False}
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
		if lid.Contains(o.Bounds().Center()) {
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
