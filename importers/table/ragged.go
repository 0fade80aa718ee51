package table

import (
	"fmt"

	"netlore/query/diag"
)

// miscounted deals with a row that has another number of cells than the header,
// where an empty cell cannot be seen.
func (r *reader) miscounted() {
	r.count.Explain(r.row.line, "another number of cells than the header")
	if r.dialect.listing {
		r.complain("T116", diag.Error, nil, fmt.Sprintf("this row has %s; expected name, x, y, rotation and package", counted(len(r.row.cells), "cell")),
			"before the package of a mirrored part stands m")
		return
	}
	r.complain("T116", diag.Error, nil, fmt.Sprintf("this row has %s, the header has %d", counted(len(r.row.cells), "cell"), r.head.cells),
		"where blanks part the columns, no cell may be empty or have a blank in it")
}

// surplus complains about cells to the right of the header.
func (r *reader) surplus() {
	for i := r.head.cells; i < len(r.row.cells); i++ {
		if c := &r.row.cells[i]; c.text != "" {
			r.complain("T114", diag.Warning, c, fmt.Sprintf("this row has more cells than the header: %d, the header has %d", len(r.row.cells), r.head.cells),
				"a cell with a separator in it must stand in quotes")
			return
		}
	}
}

// broken deals with a row that is none.
func (r *reader) broken() {
	c := &cell{at: r.row.at, end: r.row.at + 1}
	what := "row"
	switch r.row.fault {
	case rowTooLong:
		what = "row longer than 64 KiB"
		r.complain("T110", diag.Error, c, "this row is longer than 64 KiB", "is there a line end missing?")
	case unclosed:
		what = "quote without its partner"
		r.complain("T111", diag.Error, c, "this quote is never closed", `a cell ends with the quote it began with; a quote inside is doubled: "2.5"" screen"`)
	case afterQuote:
		what = "text after a closing quote"
		r.complain("T112", diag.Error, c, "text stands behind the closing quote; expected "+separatorName(r.dialect.sep),
			`a quote inside a cell is doubled: "2.5"" screen"`)
	case tooMany:
		what = "more than 1024 cells"
		r.complain("T113", diag.Error, c, "this row has more than 1024 cells")
	}
	r.explain("broken", "rows that cannot be split into cells", what)
}

// separatorName is a separator in words.
func separatorName(sep byte) string {
	switch sep {
	case ',':
		return "a comma"
	case ';':
		return "a semicolon"
	case '\t':
		return "a tab"
	case blanks:
		return "a blank"
	}
	return diag.Quote(string(sep))
}
