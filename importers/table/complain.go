package table

import (
	"errors"
	"fmt"

	"netlore/query/diag"
	"netlore/store/board"
)

// note is a complaint about one cell of the current row, or about the whole
// row if the cell is nil.
func (r *reader) note(code string, severity diag.Severity, c *cell, message string, help ...string) diag.Diagnostic {
	d := diag.Diagnostic{Code: code, Severity: severity, Message: message, Help: help, File: r.opt.File}
	d.Range = diag.Range{Start: 0, End: len(r.row.raw)}
	if c != nil {
		d.Range = diag.Range{Start: c.at, End: c.end}
	}
	d = d.At(r.row.raw)
	d.Line += r.row.line - 1
	return d
}

// complain keeps a complaint about the current row in the report.
func (r *reader) complain(code string, severity diag.Severity, c *cell, message string, help ...string) {
	if r.report.Full(code) {
		r.report.Add(diag.Diagnostic{Code: code})
		return
	}
	r.report.Add(r.note(code, severity, c, message, help...))
}

// disagree complains about the current row and names the line that it does not
// agree with.
func (r *reader) disagree(code string, severity diag.Severity, c *cell, line int32, message, there string) {
	if r.report.Full(code) {
		r.report.Add(diag.Diagnostic{Code: code})
		return
	}
	d := r.note(code, severity, c, message)
	if line > 0 {
		d.Related = []diag.Related{{File: r.opt.File, Line: int(line), Column: 1, Message: there}}
	}
	r.report.Add(d)
}

// remark keeps a complaint that is about no single row.
func (r *reader) remark(code string, severity diag.Severity, message string, help ...string) {
	r.report.Add(diag.Diagnostic{Code: code, Severity: severity, Message: message, Help: help})
}

// unreadable complains about a number.
func (r *reader) unreadable(c *cell, what string, err error) {
	found := fmt.Sprintf("the %s %s ", what, diag.Quote(c.text))
	var q *board.QuantityError
	switch {
	case errors.Is(err, errComma):
		r.complain("T124", diag.Error, c, found+err.Error(), "write a decimal point, and no mark for thousands")
	case errors.As(err, &q) && q.Likely != "":
		r.complain("T120", diag.Error, c, found+q.Reason, "did you mean "+q.Likely+"?")
	case errors.As(err, &q):
		r.complain("T120", diag.Error, c, found+q.Reason)
	default:
		r.complain("T120", diag.Error, c, found+"cannot be read", "expected a number such as 12.7 or 12.7mm")
	}
}

// about fills in where a complaint about a spot belongs. Its row is not kept,
// so what is shown of it is put together again.
func (r *reader) about(s *spot, name string, d diag.Diagnostic) {
	d.Line, d.Column, d.Width = int(s.line), 1, len(name)
	d.Excerpt = fmt.Sprintf("%s … %s, %s", name, s.x, s.y)
	r.report.Add(d)
}

// texts explains the codes of this package at more length.
var texts = map[string]string{
	"T101": "A table is a text file. This one is a binary file, or a text in a form that is not known. Save the sheet as CSV and import that.",
	"T102": "A table is read by its header row: the row that names the columns. No row near the top of the file names enough columns that are known. A parts list needs a column for the designator and one more, a placement also x and y; pins need part, pin and net; readings need what was measured, the mode and the value.",
	"T103": "The text is not UTF-8. Its lines were read as Windows-1252, which holds Latin-1; if letters such as µ, Ω or ± come out wrong, save the file as UTF-8.",
	"T104": "What kind of table this is was told by its columns.",
	"T105": "These columns are not known, or say nothing that a board of this kind of table holds. The rest of each row was read.",
	"T110": "A row has a limit of 64 KiB. It was left out.",
	"T111": "A cell begins with a quote, and no quote ends it. In CSV, a cell with a quote in it is put into quotes and the quote is doubled. The row was left out and reading went on in the next line.",
	"T112": "A cell in quotes ends with its quote, so a separator must follow. A quote inside the cell is doubled. The row was left out.",
	"T113": "A row has a limit of 1024 cells. It was left out.",
	"T114": "The row has more cells than the header. The cells under the header were read; if they are shifted, a cell with a separator in it lacks its quotes.",
	"T115": "The row ends before the column that names what it is about. It was left out.",
	"T116": "Where blanks part the columns, an empty cell cannot be seen, so every row must have as many cells as the header. The row was left out.",
	"T120": "A number has digits, a decimal point or comma, and perhaps a unit. A row whose place cannot be read was left out; a rated voltage or current was left open.",
	"T121": "Places need a unit, and nothing tells it: not the cells, not the header, no line before it, no pins of a netlist, and the size of the board could be of several units. Write (mm) or (mil) into the header cells of x and y, or give the unit of length with --unit.",
	"T122": "No unit is stated. The one was taken that makes a board of a usual size, or lays the parts on their pins.",
	"T123": "A place is more than 2 m from the origin. The unit is probably another one. The row was left out.",
	"T124": "A comma before three digits is a decimal comma in some countries and a mark for thousands in others. Write a decimal point.",
	"T125": "Most parts do not lie on the pins that a netlist gives them. The two files have another origin, one is mirrored, or they are of different revisions.",
	"T126": "A place has two coordinates. The part was read, its place was left open.",
	"T131": "A name has a letter in it, and of several in a cell each has letters and a number: C12. Several are separated by commas or blanks; a range is written C1-C4. What is named was left out, the rest of the row was read.",
	"T132": "The kind of a part is a word such as capacitor, inductor, regulator or test-point. Where it is not known, the letters of the designator tell the kind.",
	"T133": "The quantity of the row is not the number of its designators. One of the two is wrong.",
	"T134": "A part, pin or pad lies at one place only. The first one holds.",
	"T135": "Two statements about one thing do not agree. The first one holds.",
	"T136": "The side is top or bottom; T and B, front and back, 1 and 2 are understood too. The side was left open.",
	"T137": "A name has at most 128 bytes, all of them printable.",
	"T138": "A text has at most 1000 bytes; the rest was cut off.",
	"T140": "A pin or pad is on one net only. The first one holds.",
	"T142": "A net is a ground, power or signal net.",
	"T144": "The value has the unit of another kind of part: a capacitor with ohms, a resistor with farads. It was kept as text.",
	"T150": "A reading needs its mode: diode, ohms, volts, amps, continuity or heat. Name it in the header (\"diode\") or in a column of its own.",
	"T151": "A measured value is a number with a unit, or open for no reading (OL); for continuity, rings or silent; for heat, hot or cold.",
	"T152": "A time is written 2026-03-02 or 2026-03-02 10:11.",
	"T153": "A tolerance is written ±8%, ±20mV or +5%/-10%.",
	"T154": "Diode mode reads some tenths of a volt. A bare number of 10 or more was taken as millivolts.",
	"T155": "Here belongs yes or no.",
	"T156": "No meter shows such a value of a handheld: a diode test of tens of volts, a resistance below zero. The unit or the decimal point is probably wrong. The value was left out.",
	"T160": "There is a limit on the things of one board, far above any real board, so that a broken file cannot use up all memory.",
}

// Explain returns a longer text on a code of this package.
func Explain(code string) (string, bool) {
	text, ok := texts[code]
	return text, ok
}
