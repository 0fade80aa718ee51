package table

import (
	"bytes"
	"fmt"
	"strings"

	"netlore/query/diag"
)

// noHeader says that no row names the columns, and which row was nearest to
// doing so.
func (r *reader) noHeader() diag.Diagnostic {
	d := diag.Diagnostic{Code: "T102", Message: fmt.Sprintf("no header row was found in %s", counted(r.report.Lines, "row")),
		Help: []string{"a table needs a row that names its columns: designator and value; designator, x and y; part, pin and net; pad, net and diode"}}
	near := &r.dialect.nearest
	if near.raw == "" {
		return d
	}
	d.Range = diag.Range{End: len(near.raw)}
	d = d.At(near.raw)
	d.Line += near.line - 1
	d.Help = append([]string{meant(near.cells)}, d.Help...)
	return d
}

// meant tells which words of a row are known as names of columns, and which
// known words are near to the others.
func meant(cells []cell) string {
	var known, near []string
	for _, c := range cells {
		if _, ok := headerWord(c.text); ok {
			known = append(known, c.text)
		} else if words := closest(c.text); len(words) > 0 {
			near = append(near, fmt.Sprintf("did you mean %s instead of %s?", diag.OneOf(words...), diag.Quote(c.text)))
		}
	}
	switch len(known) {
	case 0:
	case 1:
		near = append([]string{"in this row, only " + known[0] + " names a column that is known"}, near...)
	default:
		near = append([]string{"in this row, " + strings.Join(known, ", ") + " are names of columns, but together they make no table"}, near...)
	}
	return strings.Join(near, "; ")
}

func closest(text string) []string {
	if len(text) < 2 || len(text) > 30 {
		return nil
	}
	return diag.Closest(fold(text), commonWords)
}

// nearestRow is the row with most words that are known as names of columns or
// near to one. It has no text if there is none.
func nearestRow(head []byte) row {
	var best row
	most := 0
	for _, sep := range separators {
		in := newRows(bytes.NewReader(head), sep)
		for n := 0; n < 50 && in.next(); n++ {
			if words := nearWords(in.row.cells); words > most {
				most, best = words, in.row
				best.cells = append([]cell(nil), in.row.cells...)
			}
		}
	}
	return best
}

func nearWords(cells []cell) int {
	n := 0
	for _, c := range cells {
		if _, ok := headerWord(c.text); ok || len(closest(c.text)) > 0 {
			n++
		}
	}
	return n
}

// commonWords are the best words for the columns that a table needs most.
var commonWords = []string{"designator", "reference", "value", "package", "footprint", "rotation", "side", "layer",
	"quantity", "pad", "net", "pin", "part", "diode", "ohms", "mode", "reading", "expected", "tolerance", "description"}
