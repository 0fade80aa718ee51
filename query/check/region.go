package check

import (
	"netlore/query/diag"
	"netlore/query/syntax"
	"netlore/store/board"
)

// Inside holds for a thing whose middle lies in a region of its board.
type Inside struct {
	Area    Area
	Members []int // indices into Scope.Members that have the region
	Text    string
	Span    diag.Range
}

// Area is a piece of a board, seen from the top: Box, or what is on all the
// sides that are said. A side is the half of the board on it; Middle is the half
// round the middle, in the directions that no side is said of.
type Area struct {
	Left, Right, Bottom, Top, Middle bool
	Box                              *board.Bounds
}

func (Inside) pred() {}

// region checks `in bottom left of lower`.
func (c *checker) region(r *syntax.Region) Pred {
	in := Inside{Text: c.said(r.Range()), Members: c.members, Span: r.Range()}
	if !c.noun.Placed() {
		d := c.fail("Q24", r.Range(), "%s have no place of their own; parts, pins, pads and covers are in regions", c.noun)
		d.Help = append(d.Help, "what can be asked: parts "+in.Text)
		return nil
	}
	var ok bool
	if in.Area, ok = c.area(r); !ok {
		return nil
	}
	if r.Of == nil {
		return in
	}
	if c.scope.Lenient {
		c.fail("Q55", r.Of.Range(), "one question is asked of every board or of those it names, not of both")
		return nil
	}
	if in.Members = c.member(r.Of, r.Relation()); in.Members == nil {
		return nil
	}
	return in
}

func (c *checker) area(r *syntax.Region) (a Area, ok bool) {
	if r.Box != nil {
		return c.box(r.Box)
	}
	said := map[string]*bool{"left": &a.Left, "right": &a.Right, "bottom": &a.Bottom, "top": &a.Top, "middle": &a.Middle}
	for _, w := range r.Words {
		*said[string(w)] = true
	}
	if a.Left && a.Right || a.Top && a.Bottom {
		c.fail("Q49", r.Range(), "no place is on two sides that face each other")
		return a, false
	}
	return a, true
}

// box checks the corners of a box: lengths, in millimetres unless they say
// otherwise.
func (c *checker) box(corners []*syntax.Name) (Area, bool) {
	var at [4]int32
	for i, n := range corners {
		text := n.Text
		if last := text[len(text)-1]; last >= '0' && last <= '9' {
			text += "mm"
		}
		q, err := board.ParseQuantity(text, board.Metre)
		um, fits := board.Micrometres(q)
		if err != nil || !fits {
			c.fail("Q49", n.Range(), "%s is no place; a box is written by two corners in millimetres: in box 4,3.5 22,19", n.Text)
			return Area{}, false
		}
		at[i] = um
	}
	box := board.Box(board.Point{X: at[0], Y: at[1]}, board.Point{X: at[2], Y: at[3]}).Bounds()
	return Area{Box: &box}, true
}
