// Package importers reads boards from foreign open formats. It tells formats
// apart by content, never by the name of a file, and reads several files of
// one board into one: the netlist first, then what enriches it.
//
// A format is one package below this one, and one line of the registry.
package importers

import (
	"netlore/importers/ipcd356"
	"netlore/importers/record"
	"netlore/importers/table"
)

// What importers and their callers share is declared in package record; these
// are the same types.
type (
	Importer = record.Importer
	Input    = record.Input
	Options  = record.Options
	Report   = record.Report
)

// Importers lists the formats that can be read, in the order they are tried.
func Importers() []Importer {
	return []Importer{ipcd356.Importer(), table.Importer()}
}

// Explain returns a longer text on a code of any importer.
func Explain(code string) (string, bool) {
	if text, ok := texts[code]; ok {
		return text, true
	}
	if text, ok := ipcd356.Explain(code); ok {
		return text, true
	}
	return table.Explain(code)
}

// texts explains the codes of this package at more length.
var texts = map[string]string{
	"D101": "The file is empty. An export that failed often leaves an empty file behind.",
	"D102": "The format was recognised by its content, but it cannot be read yet. Boards are read from IPC-D-356 netlists, with placement and part tables as text.",
	"D103": "Boards are imported from text files. This is a binary file; what it is was judged by its first bytes.",
	"D104": "A sheet is netlore's own text format. It is not imported but read or added as it is.",
	"D105": "The text is of no format that can be read. A netlist is recognised by records such as 317 and 327 in fixed columns, a table by a header line that names the columns.",
	"D106": "The file is UTF-16, two bytes a letter. Tables are read in that form, netlists are not; they are plain ASCII or Latin-1.",
	"D107": "The file could not be opened or read.",
	"D108": "Files of one import describe one board. Two netlists were given; both are read, and where they contradict each other the first holds.",
	"D109": "A compressed file or archive holds other files. Unpack it and import the netlist and tables in it.",
}
