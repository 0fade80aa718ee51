package draw

import (
	"errors"
	"slices"

	"netlore/store/board"
)

// ErrNothing is that there is nothing to draw.
var ErrNothing = errors.New("there is nothing to draw")

// Picture is what is drawn.
type Picture struct {
	Title   string   // the question, say
	Notes   []string // what else is to be said: "4 more possible: no position"
	Members []Member
	Joins   []Join
	Groups  []Group
	Asked   string // what the legend calls the things that are marked; empty for "asked for"
}

// Group is what some things have in common: a branch, a net.
type Group struct {
	Name   string
	Member int      // index into Picture.Members
	Texts  []string // what was read on it: "0.412V"
}

// text is the name with what was read.
func (g *Group) text() string {
	text := short(g.Name)
	for _, t := range g.Texts {
		if t != "" {
			text += " " + t
		}
	}
	return text
}

// Member is one board and what is asked for on it.
type Member struct {
	Name  string // "lower: Heron-B rev 2"
	Role  string // of a member of a stack, else empty
	Board *board.Board
	Marks []Mark
	Bands []Band
	Lines []Line
	Zones []Zone
	// Photos lie under the plans of their sides.
	Photos []Photo
}

// bodiless reports whether there is tape or copper to draw.
func (d *drawing) bodiless() bool {
	return slices.ContainsFunc(d.picture.Members, func(m Member) bool { return len(m.Bands)+len(m.Zones) > 0 })
}

// Kind is the kind of a thing that is marked.
type Kind uint8

const (
	Part Kind = iota
	Pin
	Pad
	Cover
)

// Mark is a thing that is asked for.
type Mark struct {
	Kind   Kind
	ID     int32
	Text   string  // stands after the name: a reading, "0.412V"
	Groups []int   // indices into Picture.Groups
	Weight float64 // 0 to 1: how heavy its line is, as a suspect's
	Order  int     // its number on a way, from 1; 0 if it is on none
	Maybe  bool    // it is only possibly what was asked for
}

// Band is a run of pads that tape goes over, in order.
type Band struct {
	Pads []board.PadID
	Text string
}

// Line is copper or a way that is drawn as a line on one side.
type Line struct {
	Side board.Side // BothSides for every view
	Path []board.Point
}

// Zone is copper of which no more is known than what lies beside it: parts that it
// joins, on one side.
type Zone struct {
	Side   board.Side
	At     []board.Point
	Text   string
	Weight float64 // as that of a Mark
}

// Join says that pads of two members, which are indices into Picture.Members, are
// soldered together.
type Join struct {
	A, B       int
	PadA, PadB board.PadID
}

// SVG draws the picture. Its only error is ErrNothing.
func (p *Picture) SVG() ([]byte, error) {
	d := drawing{picture: p, used: map[sign]bool{}}
	d.gather()
	if len(d.things)+len(d.nowhere) == 0 && !d.bodiless() {
		return nil, ErrNothing
	}
	return d.svg(), nil
}
