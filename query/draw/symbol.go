package draw

import "netlore/store/board"

// symbol draws a part below a rail, 60 high, in the manner of IEEE 315 (shapes from
// memory): plates for a capacitor, a zigzag for a resistor, bumps for an inductor, and
// a box for what has no outline of its own. Under a cover it is dashed.
func (g *diagram) symbol(w *writer, t *thing, x, rail float64) {
	attrs := []any{"transform", "translate(" + number(x) + " " + number(rail) + ")"}
	if len(t.under) > 0 {
		attrs = append(attrs, "stroke-dasharray", dashes)
	}
	w.start("g", attrs...)
	w.empty("path", "d", outlines(g.classOf(t)))
	w.end("g")
}

func (g *diagram) classOf(t *thing) board.Class {
	b := g.picture.Members[t.member].Board
	switch t.Kind {
	case Part:
		return b.Parts[t.ID].Class
	case Pin:
		return b.Parts[b.Pins[t.ID].Part].Class
	}
	return board.ClassUnknown
}

// outlines is the symbol of a class, hanging from 0, 0.
func outlines(c board.Class) string {
	switch {
	case c.Is(board.Capacitor):
		return "M0 0L0 26M-12 26L12 26M-12 34L12 34M0 34L0 58"
	case c.Is(board.Resistor):
		return "M0 0L0 14L7 17L-7 23L7 29L-7 35L7 41L0 44L0 58"
	case c.Is(board.Inductor), c.Is(board.Bead):
		return "M0 0L0 14A5 5 0 0 1 0 24A5 5 0 0 1 0 34A5 5 0 0 1 0 44L0 58"
	case c.Is(board.Fuse):
		return "M0 0L0 14C12 22 -12 36 0 44L0 58"
	case c.Is(board.DiodePart), c.Is(board.LED), c.Is(board.Zener):
		return "M0 0L0 20M-10 38L10 38L0 20ZM-10 20L10 20M0 38L0 58"
	}
	return "M0 0L0 12M-16 12L16 12L16 48L-16 48Z"
}
