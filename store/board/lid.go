package board

// Lid is a cover made ready for judging many things against it.
type Lid struct {
	board     *Board
	cover     *Cover
	outline   Outline // zero when not known
	box       Bounds
	side      Side
	noOutline Hiding // the judgements that need a reason
	noSide    string
}

// Lid makes a cover ready.
func (b *Board) Lid(c CoverID) *Lid {
	l := &Lid{board: b, cover: &b.Covers[c]}
	l.outline, l.side = b.CoverOutline(c)
	switch {
	case l.cover.Listed:
	case l.outline.Zero():
		l.noOutline = Hiding{Truth: Unknown, Why: l.cover.Name + " has no outline and no list"}
	case l.side == SideUnknown:
		l.noSide = "side of " + l.cover.Name + " not known"
	}
	l.box = l.outline.Bounds()
	return l
}

// OverPart judges whether the lid hides a part.
//
// A cover with a list hides what is listed and nothing else. Without a list a
// part is hidden if it is on the cover's side and the outlines overlap by at
// least 5 % of the smaller one; a part known by its place alone, if that lies
// in the cover. No cover hides the part that it is.
func (l *Lid) OverPart(p PartID) Hiding {
	switch {
	case l.cover.Part == p:
		return Hiding{Truth: False}
	case l.cover.Listed:
		return listed(l.cover.Parts, p)
	}
	if l.misses(l.board.PartBounds(p)) {
		return Hiding{Truth: False}
	}
	o, _ := l.board.PartOutline(p)
	return l.judge(o, l.board.PartSide(p))
}

// OverPad judges whether the lid lies over a pad, by the rule of OverPart. A
// pad through the board is under a cover on either side.
func (l *Lid) OverPad(p PadID) Hiding {
	if l.cover.Listed {
		return listed(l.cover.Pads, p)
	}
	pad := &l.board.Pads[p]
	if l.misses(copperBounds(pad.Placed, pad.At, pad.Shape)) {
		return Hiding{Truth: False}
	}
	o, _ := l.board.PadOutline(p)
	return l.judge(o, pad.Side)
}

// OverPin judges whether the lid lies over a pin, by the rule of OverPart. If
// the cover has a list, a pin is hidden with its part.
func (l *Lid) OverPin(p PinID) Hiding {
	pin := &l.board.Pins[p]
	if l.cover.Listed || l.cover.Part == pin.Part {
		return l.OverPart(pin.Part)
	}
	if l.misses(copperBounds(pin.Placed, pin.At, pin.Shape)) {
		return Hiding{Truth: False}
	}
	side := pin.Side
	if side == SideUnknown {
		side = l.board.PartSide(pin.Part)
	}
	o, _ := l.board.PinOutline(p)
	return l.judge(o, side)
}

// misses reports whether a thing in a box is known to lie elsewhere.
func (l *Lid) misses(box Bounds, basis Basis) bool {
	return basis != NoPlace && !l.outline.Zero() && !l.box.Meets(box)
}

func (l *Lid) judge(o Outline, side Side) Hiding {
	switch {
	case apart(l.side, side):
		return Hiding{Truth: False}
	case l.outline.Zero():
		return l.noOutline
	case o.Zero():
		return Hiding{Truth: Unknown, Why: "no position"}
	case l.side == SideUnknown:
		return ifOver(l.outline, o, l.noSide)
	case side == SideUnknown:
		return ifOver(l.outline, o, "side not known")
	}
	return over(l.outline, o)
}
