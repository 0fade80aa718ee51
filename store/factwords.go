package store

import (
	"fmt"
	"strings"

	"netlore/store/board"
)

func quantity(q board.Quantity) string {
	if !q.Known() {
		return ""
	}
	return q.String()
}

func place(placed bool, at board.Point) string {
	if !placed {
		return ""
	}
	return board.Millimetres(at.X).String() + ", " + board.Millimetres(at.Y).String()
}

func size(s board.Size) string {
	if s.Zero() {
		return ""
	}
	return board.Millimetres(s.W).String() + " x " + board.Millimetres(s.H).String()
}

func millimetres(um int32) string { return board.Millimetres(um).String() }

func turned(millidegrees int32) string {
	if millidegrees == 0 {
		return ""
	}
	return fmt.Sprint(float64(millidegrees)/1000, " degrees")
}

func shape(s board.PadShape) string {
	switch {
	case s == board.PadShape{}:
		return ""
	case s.H == 0:
		return strings.TrimSpace("round " + millimetres(s.W) + " " + turned(s.Turn))
	}
	return strings.TrimSpace(size(board.Size{W: s.W, H: s.H}) + " " + turned(s.Turn))
}

func outline(o board.Outline) string {
	switch {
	case o.Zero():
		return ""
	case o.Radius > 0:
		return "circle at " + path(o.Points) + ", radius " + millimetres(o.Radius)
	}
	return path(o.Points)
}

func path(points []board.Point) string {
	all := make([]string, len(points))
	for i, p := range points {
		all[i] = place(true, p)
	}
	return strings.Join(all, "; ")
}

func unfitted(is bool) string { return yes(is, "no") }

// yes is a word, or nothing.
func yes(is bool, word string) string {
	if is {
		return word
	}
	return ""
}

func netName(b *board.Board, n board.NetID) string {
	if n == board.None {
		return ""
	}
	return b.Nets[n].Name
}

// listed is what a cover has under it by its list.
func listed(b *board.Board, c *board.Cover) string {
	if !c.Listed {
		return ""
	}
	all := []string{"lists"}
	for _, p := range c.Parts {
		all = append(all, b.Parts[p].Name)
	}
	for _, p := range c.Pads {
		all = append(all, "pad "+b.Pads[p].Name)
	}
	if len(all) == 1 {
		return "nothing under it"
	}
	return strings.Join(all[1:], ", ")
}
