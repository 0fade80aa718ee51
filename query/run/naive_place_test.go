package run_test

import (
	"slices"
	"strings"

	"netlore/query/check"
	"netlore/query/words"
	"netlore/store/board"
)

// have is a value of a field as naive sees it: a number, a choice, or a text;
// or a number of things between two bounds.
type have struct {
	q           board.Quantity
	rank        int
	text        string
	counted     bool
	least, most int
}

func fitsNaively(op check.CompareOp, h have, v check.Value) board.Truth {
	switch {
	case h.counted:
		t, all := board.False, true
		for i := h.least; i <= h.most; i++ {
			q, _ := board.NewQuantity(int64(i), 0, board.One)
			if orderNaively(op, q, v.Quantity) {
				t = board.True
			} else {
				all = false
			}
		}
		if t == board.True && !all {
			return board.Unknown
		}
		return t
	case h.text != "":
		return truth(strings.EqualFold(h.text, v.Text))
	case h.rank > 0:
		c := v.Choice
		return truth(h.rank == int(c.Side)+int(c.NetKind)+int(c.CoverKind)+int(c.Risk) || c.Side != 0 && h.rank == int(board.BothSides))
	}
	return truth(h.q.SameUnit(v.Quantity) && orderNaively(op, h.q, v.Quantity))
}

func orderNaively(op check.CompareOp, a, b board.Quantity) bool {
	x, y := a.Float(), b.Float()
	return map[check.CompareOp]bool{check.Equal: a == b, check.NotEqual: a == b, check.Less: x < y && a != b,
		check.LessEqual: x < y || a == b, check.Greater: x > y && a != b, check.GreaterEqual: x > y || a == b}[op]
}

// field is the values of a field, and whether there may be one that is not
// known.
func (n naive) field(noun words.Noun, id int, f words.FieldID) (values []have, open bool) {
	number := func(q board.Quantity) ([]have, bool) {
		if q.Known() {
			return []have{{q: q}}, false
		}
		return nil, true
	}
	choice := func(rank int) ([]have, bool) {
		if rank == 0 {
			return nil, true
		}
		return []have{{rank: rank}}, false
	}
	counted := func(noun words.Noun, of func(int) board.Truth) ([]have, bool) {
		h := have{counted: true}
		for i := range n.count(noun) {
			h.least += int(of(i)) / int(board.True)
			h.most += min(int(of(i)), 1)
		}
		return []have{h}, false
	}
	switch f {
	case words.Value:
		part := n.b.Parts[id]
		if part.Class != board.ClassUnknown && part.Class.ValueUnit() == board.NoUnit && !part.Value.Known() {
			return nil, false
		}
		return number(part.Value)
	case words.Volts:
		if noun == words.Nets {
			return number(n.b.Nets[id].Volts)
		}
		return number(n.b.Parts[id].Volts)
	case words.Minutes:
		return number(n.b.Covers[id].Minutes)
	case words.Risk:
		return choice(int(n.b.Covers[id].Risk))
	case words.Side:
		return choice(int(n.side(noun, id)))
	case words.Kind:
		if noun == words.Nets {
			return choice(int(n.b.Nets[id].Kind))
		}
		return choice(int(n.b.Covers[id].Kind))
	case words.Group:
		return []have{{text: n.b.Pads[id].Group}}[:min(1, len(n.b.Pads[id].Group))], false
	case words.PinCount:
		return counted(words.Pins, func(p int) board.Truth { return truth(int(n.b.Pins[p].Part) == id) })
	case words.PartCount:
		return counted(words.Parts, func(p int) board.Truth {
			if noun == words.Nets {
				return n.partOnNet(p, id)
			}
			return n.hides(id, words.Parts, p)
		})
	}
	net := n.netOf(noun, id) // words.NetOf
	return make([]have, min(1, net+1)), false
}

func (n naive) netOf(noun words.Noun, id int) int {
	if noun == words.Pins {
		return int(n.b.Pins[id].Net)
	}
	return int(n.b.Pads[id].Net)
}

func (n naive) partOnNet(part, net int) board.Truth {
	return truth(slices.ContainsFunc(n.b.Pins, func(p board.Pin) bool { return int(p.Part) == part && int(p.Net) == net }))
}

// related is whether a thing stands in a relation to another.
func (n naive) related(r check.Related, noun words.Noun, id int, of words.Noun, o int) board.Truth {
	switch r.Relation {
	case words.Under:
		return n.hides(o, noun, id)
	case words.Over:
		return n.hides(id, of, o)
	case words.Behind:
		return n.behind(noun, id, of, o)
	case words.Within:
		return n.near(r, noun, id, of, o)
	}
	if noun == words.Nets {
		noun, id, of, o = of, o, noun, id
	}
	switch {
	case noun == words.Branches:
		return truth(int(n.b.Branches[id].Net) == o)
	case noun == words.Pins && of == words.Parts:
		return truth(int(n.b.Pins[id].Part) == o)
	case noun == words.Parts:
		t := board.False
		for p := range n.b.Pins {
			if int(n.b.Pins[p].Part) == id {
				t = max(t, n.related(r, words.Pins, p, of, o))
			}
		}
		return t
	case of == words.Nets:
		return truth(n.netOf(noun, id) == o)
	}
	return n.onBranch(noun, id, o)
}

func (n naive) onBranch(noun words.Noun, id, branch int) board.Truth {
	c, net := n.pieces(), int(n.b.Copper().Pieces[branch].Net)
	if branch = n.piece(branch); branch < 0 {
		return truth(n.netOf(noun, id) == net) // it is the whole net
	}
	in := func(x naivePiece) bool { return !x.rest && slices.Contains(x.of(noun), id) }
	switch {
	case in(c.pieces[branch]):
		return board.True
	case n.netOf(noun, id) != net, !c.apart[net] && slices.ContainsFunc(c.pieces, in):
		return board.False
	}
	return board.Unknown
}

// rect is a box in micrometres. Only its place may be known, or nothing.
type rect struct {
	x0, y0, x1, y1 int
	placed         bool
}

func (a rect) area() int     { return (a.x1 - a.x0) * (a.y1 - a.y0) }
func (a rect) hasArea() bool { return a.placed && a.area() > 0 }

// common is the area that two boxes share.
func (a rect) common(b rect) int {
	return max(0, min(a.x1, b.x1)-max(a.x0, b.x0)) * max(0, min(a.y1, b.y1)-max(a.y0, b.y0))
}

func (n naive) rect(noun words.Noun, id int) rect {
	around := func(placed bool, at board.Point, w, h int32) rect {
		return rect{int(at.X - w/2), int(at.Y - h/2), int(at.X + w/2), int(at.Y + h/2), placed}
	}
	switch noun {
	case words.Parts:
		p := n.b.Parts[id]
		if p.Turn == 90_000 {
			return around(p.Placed, p.At, p.Size.H, p.Size.W)
		}
		return around(p.Placed, p.At, p.Size.W, p.Size.H)
	case words.Pads:
		p := n.b.Pads[id]
		return around(p.Placed, p.At, p.Shape.W, p.Shape.H)
	case words.Pins:
		p := n.b.Pins[id]
		return around(p.Placed, p.At, p.Shape.W, p.Shape.H)
	case words.Covers:
		c := n.b.Covers[id]
		if len(c.Outline.Points) > 0 {
			a, b := c.Outline.Points[0], c.Outline.Points[2]
			return rect{int(a.X), int(a.Y), int(b.X), int(b.Y), true}
		}
		if c.Part != board.None {
			return n.rect(words.Parts, int(c.Part))
		}
	}
	return rect{}
}

func (n naive) side(noun words.Noun, id int) board.Side {
	switch noun {
	case words.Parts:
		return n.b.Parts[id].Side
	case words.Pads:
		return n.b.Pads[id].Side
	case words.Pins:
		return n.b.Parts[n.b.Pins[id].Part].Side
	}
	c := n.b.Covers[id]
	if c.Side == board.SideUnknown && c.Part != board.None {
		return n.b.Parts[c.Part].Side
	}
	return c.Side
}

func opposed(a, b board.Side) bool { return min(a, b) == board.Top && max(a, b) == board.Bottom }

// lies is whether what is at inner lies under outer: 5 % of the smaller area,
// or the place alone.
func lies(outer, inner rect, sidesKnown bool) board.Truth {
	hit := outer.common(inner)*20 >= min(outer.area(), inner.area())
	if !inner.hasArea() {
		hit = outer.x0 <= inner.x0 && inner.x0 <= outer.x1 && outer.y0 <= inner.y0 && inner.y0 <= outer.y1
	}
	if hit && !sidesKnown {
		return board.Unknown
	}
	return truth(hit)
}

func (n naive) hides(c int, noun words.Noun, id int) board.Truth {
	cover := n.b.Covers[c]
	part := id
	if noun == words.Pins {
		part = int(n.b.Pins[id].Part)
	}
	switch {
	case noun != words.Pads && int(cover.Part) == part:
		return board.False
	case cover.Listed && noun == words.Pads:
		return truth(slices.Contains(cover.Pads, board.PadID(id)))
	case cover.Listed:
		return truth(slices.Contains(cover.Parts, board.PartID(part)))
	}
	lid, r := n.rect(words.Covers, c), n.rect(noun, id)
	lidSide, side := n.side(words.Covers, c), n.side(noun, id)
	switch {
	case opposed(lidSide, side):
		return board.False
	case !lid.hasArea() || !r.placed:
		return board.Unknown
	}
	return lies(lid, r, lidSide != board.SideUnknown && side != board.SideUnknown)
}

func (n naive) same(noun words.Noun, id int, of words.Noun, o int) bool {
	if noun == of {
		return id == o
	}
	return noun == words.Parts && of == words.Covers && int(n.b.Covers[o].Part) == id
}

func (n naive) behind(noun words.Noun, id int, of words.Noun, o int) board.Truth {
	front, r := n.rect(of, o), n.rect(noun, id)
	frontSide, side := n.side(of, o), n.side(noun, id)
	switch {
	case n.same(noun, id, of, o), frontSide == side && (side == board.Top || side == board.Bottom):
		return board.False
	case !front.hasArea() || !r.placed:
		return board.Unknown
	}
	return lies(front, r, frontSide != board.SideUnknown && side != board.SideUnknown)
}

func (n naive) near(r check.Related, noun words.Noun, id int, of words.Noun, o int) board.Truth {
	a, b := n.rect(noun, id), n.rect(of, o)
	sideA, sideB := n.side(noun, id), n.side(of, o)
	switch {
	case n.same(noun, id, of, o) || opposed(sideA, sideB):
		return board.False
	case !a.placed || !b.placed:
		return board.Unknown
	}
	dx, dy := max(0, a.x0-b.x1, b.x0-a.x1), max(0, a.y0-b.y1, b.y0-a.y1)
	most := int(r.Distance.Float()*1e6 + 0.5)
	switch {
	case dx*dx+dy*dy > most*most:
		return board.False
	case sideA == board.SideUnknown || sideB == board.SideUnknown:
		return board.Unknown
	}
	return board.True
}

// inside is whether the middle of a rect is in a piece of the board, which is a
// square from 0, 0.
func (n naive) inside(a check.Area, r rect) board.Truth {
	if !r.placed {
		return board.Unknown
	}
	x, y := (r.x0+r.x1)>>1, (r.y0+r.y1)>>1
	if a.Box != nil {
		return truth(int(a.Box.Min.X) <= x && x <= int(a.Box.Max.X) && int(a.Box.Min.Y) <= y && y <= int(a.Box.Max.Y))
	}
	on := func(v int, low, high bool) bool {
		switch {
		case low:
			return 0 <= v && 2*v <= boardEdge
		case high:
			return boardEdge <= 2*v && v <= boardEdge
		case a.Middle:
			return boardEdge <= 4*v && 4*v <= 3*boardEdge
		}
		return 0 <= v && v <= boardEdge
	}
	return truth(on(x, a.Left, a.Right) && on(y, a.Bottom, a.Top))
}
