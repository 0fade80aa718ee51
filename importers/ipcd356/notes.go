package ipcd356

import (
	"bytes"
	"fmt"

	"netlore/query/diag"
)

// note is a complaint about columns from to to of the current line.
func (r *reader) note(code string, severity diag.Severity, from, to int, message string, help ...string) diag.Diagnostic {
	d := diag.Diagnostic{Code: code, Severity: severity, Message: message, Help: help, File: r.opt.File}
	return d.InLine(r.number, excerpt(r.line), from, to)
}

// complain keeps a complaint about the current line in the report.
func (r *reader) complain(code string, severity diag.Severity, from, to int, message string, help ...string) {
	if r.report.Full(code) {
		r.report.Add(diag.Diagnostic{Code: code})
		return
	}
	r.report.Add(r.note(code, severity, from, to, message, help...))
}

// excerpt is the line as text. It keeps the number of columns, so that a caret
// stands where it is meant.
func excerpt(line []byte) string { return string(bytes.TrimRight(line, " \r")) }

// head writes the first columns of a pin record as they stood in the file.
// Lines are not kept, so this is how a complaint shows an earlier one.
func (r *reader) head(p *pin) string {
	return fmt.Sprintf("%03d%-14s   %-6s-%s", p.code, r.names.names[p.net], r.names.names[p.ref], r.names.names[p.name])
}

// about is a complaint about the net field of a pin record read before.
func (r *reader) about(p *pin, code string, severity diag.Severity, message string) diag.Diagnostic {
	d := diag.Diagnostic{Code: code, Severity: severity, Message: message}
	head := r.head(p)
	return d.InLine(int(p.line), head, colNet, colNet+max(len(r.names.names[p.net]), 1))
}

// related points to another pin record.
func (r *reader) related(p *pin, message string) diag.Related {
	return diag.Related{File: r.opt.File, Line: int(p.line), Column: colNet + 1, Excerpt: r.head(p), Message: message}
}

// texts explains the codes of this package at more length.
var texts = map[string]string{
	"D301": "The file has no UNITS parameter, which the format asks for. Lengths were taken as 0.0001 inch. If the board then has a wrong size, give the unit of length with --unit.",
	"D302": "The UNITS parameter names no unit of the format. A wrong guess would scale the whole board, so nothing was read. Give the unit of length with --unit.",
	"D303": "CUST 2 is 0.0001 inch with turns in radians, but exporters write it for other units too. Compare the size of the board with the real one.",
	"D304": "A file states its units once. The first statement holds.",
	"D305": "The board would be smaller than 5 mm or larger than 1 m, so the unit of length is probably another one.",
	"D310": "The fields of a record belong in fixed columns. In this one they are elsewhere, as happens when a name is too long; it was read by its pattern instead.",
	"D311": "A line begins with P (parameter), C (comment) or a three-digit operation code. This one does not, and was left out.",
	"D312": "No access code and coordinates were found, neither in columns 39 to 57 nor anywhere else in the line. The record was left out.",
	"D313": "Lines of the format have 80 columns. What is beyond 64 KiB of one line was skipped.",
	"D315": "A name in this format has a few columns, up to 14 letters, and a long net name one line. Here one runs on much further, as where blanks were lost; the record was left out.",
	"D314": "There is text behind the last field of the record. The fields were read, the text was not.",
	"D320": "One short name stands for two long net names. The first one holds.",
	"D321": "An alias line gives a short name and the long net name it stands for. Here one of them is missing.",
	"D322": "A word stands in place of the net name that only says that the pin is on no net. Taken as a net it would tie together pins that have nothing in common, so those pins are on no net.",
	"D330": "Designators are cut to six letters in this format, so two parts can come out with one name. Pins of one name at different places on different nets, or on different sides, show it. The parts are called NAME, NAME~2, NAME~3, in order of side (top first), then place from left to right, then from below. Give the placement table in the same import to get their true names.",
	"D331": "Designators are cut to six letters in this format. The tables of the same import have the full names; where several fit, place and side decided.",
	"D332": "A pin can be on one net only. The net of the first record holds.",
	"D333": "Several full names of the tables begin with these six letters, and nothing tells which one is meant: the tables give no places, or theirs do not lie over the netlist's.",
	"D334": "The places in the tables and those in the netlist do not lie over each other: other origin, mirrored, or another board. Places were not used to tell parts apart.",
	"D335": "A pin is named at several places of one net. That is one part with several lands, or several parts whose names were cut to the same six letters; give the placement table in the same import to tell.",
	"D340": "A file ends with the record 999. Without it, the file may have been cut off.",
	"D341": "Nothing belongs after the record 999, which ends the file. What stands there was counted, not read.",
	"D342": "The file holds no test record, so there is nothing to import.",
	"D343": "There is a limit on the test points of one board, far above any real board, so that a broken file cannot use up all memory.",
	"D350": "A conductor or outline record gives a pen and the points of a path. This one cannot be read and was left out.",
	"D351": "The file draws several shapes as the board's edge. The largest one is the outline.",
	"D352": "The file says that it leaves out the conductors of a net.",
	"D353": "An outline stands on one line of a sheet, which has room for 140 corners. Corners that hardly change the shape were left out.",
	"D360": "Records 370 and 380 describe a resistor, capacitor or inductor between two nets. This one cannot be read and was left out.",
}

// Explain returns a longer text on a code of this package.
func Explain(code string) (string, bool) {
	text, ok := texts[code]
	return text, ok
}
