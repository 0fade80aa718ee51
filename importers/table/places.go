package table

import (
	"errors"
	"fmt"

	"netlore/query/diag"
	"netlore/store/board"
)

// thing is a kind of thing that has a place.
type thing uint8

const (
	aPart thing = iota
	aPin
	aPad
)

type spotKey struct {
	thing thing
	id    int32
}

// spot is where a thing lies, as the table says. Lengths without a unit have
// the unit One until the whole table is read.
type spot struct {
	key    spotKey
	line   int32
	side   board.Side
	turned bool // turn is known
	turn   int32
	placed bool // x and y are known
	x, y   board.Quantity
	w, h   board.Quantity
}

// places collects the spots of one file, one for each thing.
type places struct {
	index map[spotKey]int32
	all   []spot
}

// put keeps a spot. If the thing lies elsewhere already, that spot is returned
// and nothing is changed.
func (p *places) put(s spot) *spot {
	i, known := p.index[s.key]
	if !known {
		p.index[s.key] = int32(len(p.all))
		p.all = append(p.all, s)
		return nil
	}
	was := &p.all[i]
	if was.placed && s.placed && (was.x != s.x || was.y != s.y || was.side != s.side && was.side != board.SideUnknown && s.side != board.SideUnknown) {
		return was
	}
	if !was.placed {
		was.placed, was.x, was.y, was.line = s.placed, s.x, s.y, s.line
	}
	if !was.w.Known() {
		was.w, was.h = s.w, s.h
	}
	return nil
}

// spot reads the place, side, turn and size in the current row. It reports
// false if a number cannot be read.
func (r *reader) spot() (s spot, ok bool) {
	s.line = int32(r.row.line)
	s.side = r.side()
	var okX, okY bool
	if s.x, okX = r.length(colX, "x coordinate"); !okX {
		return s, false
	}
	if s.y, okY = r.length(colY, "y coordinate"); !okY {
		return s, false
	}
	if s.placed = s.x.Known() && s.y.Known(); !s.placed && (s.x.Known() || s.y.Known()) {
		r.complain("T126", diag.Warning, nil, "only one of x and y is given; the place was left out")
	}
	if c := r.cell(colTurn); c != nil {
		turn, err := angle(c.text, r.dialect.decimalComma)
		if err != nil {
			r.unreadable(c, "rotation", numberOnly(err))
			return s, false
		}
		s.turn, s.turned = turn, true
	}
	return s, r.size(&s)
}

// size reads width and height, or a size such as 1.0x0.5mm.
func (r *reader) size(s *spot) (ok bool) {
	if c := r.cell(colSize); c != nil {
		s.w, s.h, ok = r.sizeCell(c)
		return ok
	}
	if s.w, ok = r.length(colWidth, "width"); !ok || !s.w.Known() {
		return ok
	}
	s.h, ok = r.length(colHeight, "height")
	return ok
}

// length reads a length of the current row; it is not Known if the cell is
// empty. It reports false, having complained, if it cannot be read.
func (r *reader) length(col column, what string) (board.Quantity, bool) {
	c := r.cell(col)
	if c == nil {
		return board.Quantity{}, true
	}
	return r.lengthText(c, c.text, what, r.head.unit[col])
}

func (r *reader) lengthText(c *cell, text, what, headerUnit string) (board.Quantity, bool) {
	q, err := plainNumber(text, r.dialect.decimalComma)
	if err != nil {
		r.unreadable(c, what, numberOnly(err))
		return q, false
	}
	q, ok := inUnit(q, r.unitFor(headerUnit))
	if _, small := micrometres(q); !ok || q.Unit == board.Metre && !small {
		r.complain("T123", diag.Error, c, fmt.Sprintf("the %s %s is far outside any board", what, diag.Quote(c.text)), "is the unit right?")
		return q, false
	}
	return q, true
}

// numberOnly keeps of an error what helps where a bare number will do: that it
// has no unit is no fault of it.
func numberOnly(err error) error {
	if errors.Is(err, errComma) {
		return err
	}
	return errNumber
}

var errNumber = errors.New("cannot be read")

// side reads the side of the current row, from a side or a mirror column.
func (r *reader) side() board.Side {
	if c := r.cell(colSide); c != nil {
		if s, ok := sideByWord(c.text); ok {
			return s
		}
		r.complain("T136", diag.Warning, c, fmt.Sprintf("%s is no side of a board; expected top or bottom", diag.Quote(c.text)))
	}
	if r.head.has(colMirror) {
		return r.mirrored()
	}
	return board.SideUnknown
}

func (r *reader) mirrored() board.Side {
	c := r.cell(colMirror)
	if c == nil {
		return board.Top
	}
	yes, ok := yesOrNo(c.text)
	switch {
	case !ok:
		r.complain("T155", diag.Warning, c, fmt.Sprintf("%s does not say whether the part is mirrored; expected yes or no", diag.Quote(c.text)))
		return board.SideUnknown
	case yes:
		return board.Bottom
	}
	return board.Top
}

// apart complains that a thing is placed twice.
func (r *reader) apart(name string, was *spot) string {
	c := r.cell(colX)
	r.disagree("T134", diag.Error, c, was.line,
		fmt.Sprintf("%s is placed at %s, %s here, and elsewhere before", name, r.text(colX), r.text(colY)),
		fmt.Sprintf("%s is placed at %s, %s here", name, was.x, was.y))
	return "placed before at another place"
}
