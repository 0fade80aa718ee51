package table

import (
	"fmt"
	"strings"
	"time"

	"netlore/query/diag"
	"netlore/store/board"
)

// sideWords are what stands for the sides, folded.
var sideWords = map[string]board.Side{
	"top": board.Top, "t": board.Top, "front": board.Top, "f": board.Top, "1": board.Top, "component": board.Top, "primary": board.Top,
	"bottom": board.Bottom, "bot": board.Bottom, "b": board.Bottom, "back": board.Bottom, "2": board.Bottom, "solder": board.Bottom, "secondary": board.Bottom,
	"through": board.BothSides, "both": board.BothSides,
}

// sideByWord understands "top", "TopLayer", "Bottom Side", "F.Cu".
func sideByWord(text string) (board.Side, bool) {
	key := fold(text)
	for _, extra := range []string{"layer", "side", "copper", "cu"} {
		key = strings.TrimSuffix(key, extra)
	}
	s, ok := sideWords[key]
	return s, ok
}

// yesOrNo understands the ways of saying so.
func yesOrNo(text string) (yes, ok bool) {
	switch strings.ToLower(text) {
	case "yes", "y", "true", "1", "x", "m", "on", "\u2713", "\u2714": // check marks
		return true, true
	case "no", "n", "false", "0", "off", "-":
		return false, true
	}
	return false, false
}

// unfitted tells whether the row says that its parts are not fitted, in a
// column that asks for that or for the opposite.
func (r *reader) unfitted() bool {
	c, asks := r.cell(colUnfitted), true
	if c == nil {
		c, asks = r.cell(colFitted), false
	}
	if c == nil {
		return false
	}
	word := fold(c.text)
	switch yes, ok := yesOrNo(c.text); {
	case ok:
		return yes == asks
	case notFittedWords[word]:
		return true
	case word == "fitted" || word == "fit" || word == "populated" || word == "mounted":
		return false
	}
	r.complain("T155", diag.Warning, c, fmt.Sprintf("%s does not say whether the part is fitted; expected yes or no", diag.Quote(c.text)))
	return false
}

// sizeCell reads 1.0x0.5mm, or one length for a round pad or a square part.
func (r *reader) sizeCell(c *cell) (w, h board.Quantity, ok bool) {
	text := strings.NewReplacer("×", "x", "X", "x", "*", "x", "Ø", "").Replace(c.text)
	first, second, two := strings.Cut(text, "x")
	if !two {
		w, ok = r.lengthText(c, text, "size", r.head.unit[colSize])
		return w, board.Quantity{}, ok
	}
	first, second = strings.TrimSpace(first), strings.TrimSpace(second)
	unit := strings.TrimLeft(second, "0123456789.,")
	if !strings.HasSuffix(first, unit) {
		first += unit
	}
	if w, ok = r.lengthText(c, first, "size", r.head.unit[colSize]); !ok {
		return w, h, false
	}
	h, ok = r.lengthText(c, second, "size", r.head.unit[colSize])
	return w, h, ok
}

// rated reads a cell with volts or amps.
func (r *reader) rated(col column, unit board.Unit) board.Quantity {
	c := r.cell(col)
	if c == nil {
		return board.Quantity{}
	}
	q, err := r.quantity(c.text, r.head.unit[col], unit)
	if err != nil {
		r.unreadable(c, strings.TrimPrefix(strings.TrimPrefix(unit.Measures(), "a "), "an "), err)
		return board.Quantity{}
	}
	return q
}

// quantity reads a number with a unit; a bare one has the unit of the header,
// or the basic one.
func (r *reader) quantity(text, headerUnit string, unit board.Unit) (board.Quantity, error) {
	text, err := point(text, r.dialect.decimalComma)
	if err != nil {
		return board.Quantity{}, err
	}
	if _, err := board.ParseQuantity(text, board.One); err == nil {
		if headerUnit == "" {
			headerUnit = unit.String()
		}
		text += headerUnit
	}
	return board.ParseQuantity(mendUnit(text), unit)
}

// described gives the text of the first of these columns that has one, as one
// plain line.
func (r *reader) described(cols ...column) string {
	for _, col := range cols {
		if c := r.cell(col); c != nil {
			return r.line(c, c.text)
		}
	}
	return ""
}

// line makes one plain line of a text and says so if it has to be cut.
func (r *reader) line(c *cell, s string) string {
	text, cut := plainText(s)
	if cut {
		r.complain("T138", diag.Warning, c, fmt.Sprintf("this text has more than %d bytes; the rest was cut off", maxText))
	}
	return text
}

// words splits a cell that lists several words.
func words(text string) []string {
	var all []string
	for _, w := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' || r == '\n' }) {
		if w = strings.TrimSpace(w); goodName(w) {
			all = append(all, w)
		}
	}
	return all
}

// timeForms are the ways of writing a time that leave no doubt about day and
// month.
var timeForms = []string{time.RFC3339, "2006-01-02", "2006-01-02 15:04", "2006-01-02 15:04:05", "2006-01-02T15:04", "2006-01-02T15:04:05", "02.01.2006", "02.01.2006 15:04"}

// when reads the time column.
func (r *reader) when() time.Time {
	c := r.cell(colWhen)
	if c == nil {
		return time.Time{}
	}
	for _, form := range timeForms {
		if t, err := time.Parse(form, c.text); err == nil {
			return t
		}
	}
	r.complain("T152", diag.Warning, c, fmt.Sprintf("the time %s cannot be read and was left out", diag.Quote(c.text)), "write it as 2026-03-02 or 2026-03-02 10:11")
	return time.Time{}
}
