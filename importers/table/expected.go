package table

import (
	"fmt"
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

// expectedRow reads a row with one or several values that should be, and what
// it says about their net.
func (r *reader) expectedRow() string {
	on, ok := r.target()
	if !ok {
		return "nothing that it is expected of"
	}
	within, ok := r.within()
	if !ok {
		return "a tolerance that cannot be read"
	}
	if on.Kind == board.OnNet && r.head.any(colKind, colVolts, colFunction, colAlias) {
		if id, ok := r.netCell(); ok && id != board.None {
			r.sayNet(id)
		}
	}
	base := board.Expected{On: on, Within: within, When: r.when(), By: r.keep(r.described(colBy)), Text: r.keep(r.described(colNote, colText))}
	found, why := r.eachMeasure(func(c *cell, mode board.Mode, outcome board.Outcome, value board.Quantity) string {
		e := base
		e.Mode, e.Value, e.Open = mode, value, outcome == board.Open
		if e.Open {
			e.Within = board.Tolerance{}
		}
		if why := r.unexpected(c, &e, outcome); why != "" {
			return why
		}
		r.into.Knowledge.Expected = append(r.into.Knowledge.Expected, e)
		return ""
	})
	if found == 0 {
		return why
	}
	return ""
}

// unexpected says why a sheet has no such expected value, or "".
func (r *reader) unexpected(c *cell, e *board.Expected, outcome board.Outcome) string {
	unit := e.Within.Above.Unit
	switch {
	case outcome != board.Measured && outcome != board.Open:
		r.complain("T151", diag.Error, c, fmt.Sprintf("the expected %s value %s is no number", e.Mode, diag.Quote(c.text)), "an expected value is a number, or OL for open")
		return "an expected value that is no number"
	case e.Within.Above.Known() && unit != board.Ratio && unit != e.Value.Unit:
		r.complain("T153", diag.Error, r.cell(colTolerance), fmt.Sprintf("the tolerance %s is %s, but the value is %s", e.Within, unit.Measures(), e.Value.Unit.Measures()),
			"write it in per cent or in "+e.Value.Unit.Name())
		return "a tolerance in another unit than the value"
	}
	return ""
}

// within reads the tolerance of an expected value: ±8%, 8%, 20mV.
func (r *reader) within() (board.Tolerance, bool) {
	c := r.cell(colTolerance)
	if c == nil {
		return board.Tolerance{}, true
	}
	text := strings.ReplaceAll(c.text, " ", "")
	if mended, err := point(text, r.dialect.decimalComma); err == nil {
		text = mended
	}
	t, err := board.ParseTolerance(text)
	if err != nil {
		t, err = board.ParseTolerance("±" + text)
	}
	if err != nil {
		r.complain("T153", diag.Error, c, fmt.Sprintf("the tolerance %s cannot be read", diag.Quote(c.text)), "write it as ±8%, ±20mV or +5%/-10%")
		return t, false
	}
	return t, true
}
