package ipcd356

import (
	"bytes"

	"netlore/importers/record"
	"netlore/query/diag"
	"netlore/store/board"
)

// passive is the resistors, capacitors and inductors that records 370 and 380
// describe between two nets, and the first half of one that waits for the
// second.
type passive struct {
	all     []component
	waiting *component
	count   *record.Count // of the waiting half
	line    int
}

type component struct {
	name     string
	nets     [2]symbol
	places   [2]board.Point // in counts
	centre   board.Point
	centred  bool
	w, h     int32
	access   int16
	value    board.Quantity
	percent  board.Quantity
	line     int
	embedded bool
}

// passiveFirst reads 370 and 380: net and place of the first terminal, value
// and name.
func (r *reader) passiveFirst(line []byte, count *record.Count) {
	r.dropWaiting()
	c := component{access: noAccess, line: r.number, embedded: line[1] == '7'}
	c.nets[0] = r.names.net(bytes.TrimSpace(slice(line, colNet, colNetEnd)))
	c.access = accessIn(slice(line, 18, 21))
	place, ok := pointAt(line, 22)
	words := bytes.Fields(slice(line, 38, 65))
	c.name = text(bytes.TrimSpace(slice(line, 65, 79)))
	if !ok || c.name == "" || len(words) < 2 || len(words[0]) != 1 || !bytes.Contains([]byte("RCL"), words[0]) {
		count.Explain(r.number, "the part cannot be read")
		r.complain("D360", diag.Warning, colNetEnd, len(line), "the place, kind, value or name of this part cannot be read",
			"it looks like A01 X+005400Y+062000 R 0100E+0 0090E+0 0110E+0 R900")
		return
	}
	c.places[0] = place
	c.rate(words[0][0], words[1:])
	if !c.value.Known() {
		r.complain("D360", diag.Warning, 41, len(line), "the value of this part cannot be read", "it looks like 0100E+0")
	}
	r.passive.waiting, r.passive.count, r.passive.line = &c, count, r.number
}

// passiveSecond reads 070 and 080: the second terminal, centre and size.
func (r *reader) passiveSecond(line []byte, count *record.Count) {
	c := r.passive.waiting
	if c == nil {
		count.Explain(r.number, "continues nothing")
		return
	}
	c.nets[1] = r.names.net(bytes.TrimSpace(slice(line, colNet, colNetEnd)))
	place, ok := pointAt(line, 22)
	if !ok {
		count.Explain(r.number, "the second end of the part cannot be read")
		r.dropWaiting()
		return
	}
	c.places[1] = place
	c.centre, c.centred = pointAt(line, 39)
	size := drawing{}
	if next, err := size.readPen(line, min(56, len(line))); err == nil && next > 56 {
		c.w, c.h = size.pen.w, size.pen.h
	}
	if layer, _, ok := number(bytes.TrimPrefix(bytes.TrimSpace(slice(line, 67, 70)), []byte("L")), 0); ok {
		r.layers.saw(uint8(min(max(layer, 0), 99)))
	}
	r.points += 3
	r.passive.all = append(r.passive.all, *c)
	r.passive.count.Use()
	count.Use()
	r.passive.waiting = nil
}

// dropWaiting explains a first half that no second half has followed.
func (r *reader) dropWaiting() {
	if r.passive.waiting != nil {
		r.passive.count.Explain(r.passive.line, "its second end is missing")
		r.passive.waiting = nil
	}
}

// record is the second digit of the operation code: 370 or 380.
func (c *component) record() string {
	if c.embedded {
		return "7"
	}
	return "8"
}

func accessIn(text []byte) int16 {
	if len(text) == 3 && text[0] == 'A' && isDigit(text[1]) && isDigit(text[2]) {
		return int16(text[1]-'0')*10 + int16(text[2]-'0')
	}
	return noAccess
}

// pointAt reads a place in sixteen columns: X+005400Y+062000.
func pointAt(line []byte, at int) (board.Point, bool) {
	text := slice(line, at, at+16)
	if len(text) < 16 || text[0] != 'X' || text[8] != 'Y' {
		return board.Point{}, false
	}
	x, _, okX := number(text[:8], 1)
	y, _, okY := number(text, 9)
	return board.Point{X: x, Y: y}, okX && okY
}

// rate reads the value with its low and high limit: 0100E+0 0090E+0 0110E+0,
// in ohms, picofarads or picohenries.
func (c *component) rate(kind byte, words [][]byte) {
	unit, scale := board.Ohm, int8(0)
	switch kind {
	case 'C':
		unit, scale = board.Farad, -12
	case 'L':
		unit, scale = board.Henry, -12
	}
	value, exp, ok := scientific(words[0])
	if !ok {
		return
	}
	c.value = quantity(int64(value), exp+scale, unit)
	if len(words) < 3 {
		return
	}
	low, lowExp, okLow := scientific(words[1])
	high, highExp, okHigh := scientific(words[2])
	if okLow && okHigh && lowExp == exp && highExp == exp && value > 0 && high-value == value-low {
		if per := int64(high-value) * 10000; per >= 0 && per%int64(value) == 0 {
			c.percent = quantity(per/int64(value), -4, board.Ratio)
		}
	}
}

// scientific reads 0100E+1: digits, E, a sign and one digit.
func scientific(text []byte) (value int32, exp int8, ok bool) {
	v, next, ok := number(text, 0)
	if !ok || v < 0 || len(text) != next+3 || text[next] != 'E' || !isDigit(text[next+2]) {
		return 0, 0, false
	}
	exp = int8(text[next+2] - '0')
	if text[next+1] == '-' {
		exp = -exp
	}
	return v, exp, text[next+1] == '+' || text[next+1] == '-'
}

// quantity is coef times ten to the exp; not known if no part has such a value.
func quantity(coef int64, exp int8, unit board.Unit) board.Quantity {
	q, _ := board.NewQuantity(coef, int(exp), unit)
	return q
}
