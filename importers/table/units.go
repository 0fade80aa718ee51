package table

import (
	"fmt"
	"math"

	"netlore/importers/record"
	"netlore/query/diag"
	"netlore/store/board"
)

// unitFor is the unit of a bare length: the one that the caller of the import
// says, else that of its header cell, of those of x and y, or of a line before
// the header.
func (r *reader) unitFor(headerUnit string) string {
	switch r.opt.Length {
	case record.Inch:
		return "in"
	case record.Mil:
		return "mil"
	case record.Millimetre:
		return "mm"
	}
	for _, unit := range []string{headerUnit, r.head.unit[colX], r.head.unit[colY]} {
		if isLength(unit) {
			return unit
		}
	}
	return r.unit
}

// finish settles what needs the whole table: units, places, and the notes on
// what was read.
func (r *reader) finish() error {
	for _, t := range r.tallies {
		r.remark("T104", diag.Note, fmt.Sprintf("read as %s: %s", t.kind.name, counted(t.things, t.kind.thing)))
	}
	if r.rows.recoded > 0 {
		r.remark("T103", diag.Note, fmt.Sprintf("from line %d on, lines are not UTF-8; they were read as Windows-1252 (Latin-1)", r.rows.recoded))
	}
	unit, err := r.settleUnit()
	if err != nil {
		return err
	}
	r.place(unit)
	return nil
}

// counted is a number of things in words: "1 part", "739 parts".
func counted(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// settleUnit finds the unit of the lengths that have none, if there are any.
func (r *reader) settleUnit() (string, error) {
	places, sizes := r.bare()
	if places == 0 && sizes == 0 {
		return "", nil
	}
	if unit, parts := r.unitByPins(); unit != "" {
		r.remark("T122", diag.Warning, fmt.Sprintf("no unit is stated for x and y; %s was taken, in which %d parts lie on their pins", unit, parts), stateUnit)
		return unit, nil
	}
	span := r.span()
	unit := unitBySpan(span)
	switch {
	case places == 0:
		r.remark("T122", diag.Warning, "no unit is stated for the sizes; mm was taken", stateUnit)
		return "mm", nil
	case unit == "":
		return "", record.Unusable(r.opt, diag.Diagnostic{Code: "T121",
			Message: "x and y have no unit, and " + tellsNoUnit(span),
			Help:    []string{stateUnit + ", or give the unit of length with --unit"}})
	}
	q, _ := board.NewQuantity(int64(span), 0, board.One)
	wide, _ := inUnit(q, unit)
	um, _ := board.Micrometres(wide)
	r.remark("T122", diag.Warning, fmt.Sprintf("no unit is stated for x and y; %s was taken, which spreads the parts over %d mm", unit, um/1000), stateUnit)
	return unit, nil
}

// tellsNoUnit says why an extent tells no unit of length.
func tellsNoUnit(span float64) string {
	if span == 0 {
		return "one place alone does not tell it"
	}
	return fmt.Sprintf("the places, spread over %.4g, do not tell it", span)
}

const stateUnit = "write the unit into the header, as in x (mm)"

// bare counts the places and the sizes without a unit.
func (r *reader) bare() (places, sizes int) {
	for i := range r.places.all {
		switch s := &r.places.all[i]; {
		case s.placed && (s.x.Unit == board.One || s.y.Unit == board.One):
			places++
		case s.w.Unit == board.One || s.h.Unit == board.One:
			sizes++
		}
	}
	return places, sizes
}

// span is the larger extent of all bare coordinates.
func (r *reader) span() float64 {
	lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for i := range r.places.all {
		s := &r.places.all[i]
		if !s.placed || s.x.Unit != board.One || s.y.Unit != board.One {
			continue
		}
		for axis, q := range []board.Quantity{s.x, s.y} {
			lo[axis], hi[axis] = min(lo[axis], q.Float()), max(hi[axis], q.Float())
		}
	}
	return max(hi[0]-lo[0], hi[1]-lo[1], 0)
}

// unitBySpan is the only unit in which a board of this extent has a usual size:
// parts of a board are spread over 3 to 600 mm (common practice, no source).
// It is "" if there are several, or none.
func unitBySpan(span float64) string {
	switch {
	case 3 <= span && span < 200: // as mils below 5.1 mm
		return "mm"
	case 600 < span && span < 25_000: // as mils 15 to 635 mm
		return "mil"
	}
	return ""
}

// place puts all spots onto the board.
func (r *reader) place(unit string) {
	for i := range r.places.all {
		s := &r.places.all[i]
		if at, ok := s.point(unit); ok {
			r.moveTo(s, at)
		} else if s.placed {
			r.farOff(s)
		}
		w, _ := inUnit(s.w, unit)
		h, _ := inUnit(s.h, unit)
		um, okW := micrometres(w)
		vm, _ := micrometres(h)
		if okW {
			r.resize(s.key, um, vm, s.turn)
		}
	}
	r.checkPins(unit)
}

// point is the place of a spot in micrometres.
func (s *spot) point(unit string) (p board.Point, ok bool) {
	if !s.placed {
		return p, false
	}
	x, okX := inUnit(s.x, unit)
	y, okY := inUnit(s.y, unit)
	if !okX || !okY {
		return p, false
	}
	if p.X, okX = micrometres(x); !okX {
		return p, false
	}
	p.Y, okY = micrometres(y)
	return p, okY
}

// moveTo sets the place of a thing. One that lies elsewhere by an earlier file
// stays there.
func (r *reader) moveTo(s *spot, at board.Point) {
	placed, where, name := r.placeOf(s.key)
	if *placed && *where != at {
		r.elsewhere(s, name, *where, at)
		return
	}
	*placed, *where = true, at
}

// farOff says that a place without a unit turned out to be off any board.
func (r *reader) farOff(s *spot) {
	_, _, name := r.placeOf(s.key)
	r.about(s, name, diag.Diagnostic{Code: "T123", Severity: diag.Error,
		Message: fmt.Sprintf("the place of %s is far outside any board and was left out", name)})
}

// placeOf gives access to the place of a thing of the board.
func (r *reader) placeOf(key spotKey) (placed *bool, at *board.Point, name string) {
	switch key.thing {
	case aPin:
		p := r.board.PinAt(board.PinID(key.id))
		return &p.Placed, &p.At, r.board.PartAt(p.Part).Name + "." + p.Name
	case aPad:
		p := r.board.PadAt(board.PadID(key.id))
		return &p.Placed, &p.At, p.Name
	}
	p := r.board.PartAt(board.PartID(key.id))
	return &p.Placed, &p.At, p.Name
}

// resize sets the size of a thing; h is 0 for a round one.
func (r *reader) resize(key spotKey, w, h, turn int32) {
	if w <= 0 || h < 0 {
		return
	}
	switch key.thing {
	case aPin:
		r.board.PinAt(board.PinID(key.id)).Shape = board.PadShape{W: w, H: h, Turn: turn}
	case aPad:
		r.board.PadAt(board.PadID(key.id)).Shape = board.PadShape{W: w, H: h, Turn: turn}
	case aPart:
		if h == 0 {
			h = w
		}
		r.board.PartAt(board.PartID(key.id)).Size = board.Size{W: w, H: h}
	}
}

// slack is how far apart two files may put a thing without a word, in
// micrometres: they round, and one may give the middle of the body, the other
// that of the pins.
const slack = 100

// elsewhere says that an earlier file puts a thing elsewhere.
func (r *reader) elsewhere(s *spot, name string, was, now board.Point) {
	if abs(was.X-now.X) <= slack && abs(was.Y-now.Y) <= slack {
		return
	}
	r.about(s, name, diag.Diagnostic{Code: "T135", Severity: diag.Warning, Message: fmt.Sprintf(
		"%s lies at %s, %s here, but at %s, %s by an earlier file", name, board.Millimetres(now.X), board.Millimetres(now.Y),
		board.Millimetres(was.X), board.Millimetres(was.Y))})
}

func abs(n int32) int32 { return max(n, -n) }
