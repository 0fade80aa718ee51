package table

import (
	"bytes"
	"regexp"
	"strings"
)

// dialect is how the table is written down.
type dialect struct {
	sep          byte
	listing      bool // a placement listing without a header
	counts       bool // a list of parts, each with how many, without a header
	decimalComma bool
	header       *header // in the head of the file; nil if there is none
	nearest      row     // if there is none, the row that is nearest to one
}

// separators are tried in this order; of two that give as many columns the
// first one wins.
var separators = []byte{'\t', ';', ',', '|', blanks}

// headRows is how many rows are searched for the header.
const headRows = 200

var (
	sepLine   = regexp.MustCompile(`^"?sep=([^0-9A-Za-z"])"?\s*$`)
	unitsLine = regexp.MustCompile(`(?i)^\W*u?units?(?: [a-z]+){0,2}\s*[:=,;\t ]\s*(?:are |in )?"?([a-z]+)`)
)

// findDialect tells by the head of a file how its table is written down.
func findDialect(head []byte) dialect {
	best := dialect{sep: ','}
	first, _, _ := bytes.Cut(head, []byte{'\n'})
	if m := sepLine.FindSubmatch(bytes.TrimSpace(first)); m != nil {
		best = dialect{sep: m[1][0], header: findHeader(head, m[1][0])}
	} else {
		best = bestDialect(head)
	}
	switch {
	case best.header == nil && isListing(head):
		best = dialect{sep: blanks, listing: true, header: listing()}
	case best.header == nil && isCounts(head):
		best = dialect{sep: ':', counts: true, header: counts()}
	case best.header == nil:
		best.nearest = nearestRow(head)
	}
	best.decimalComma = best.sep == ';' || best.sep != ',' && hasDecimalComma(head, best.sep)
	return best
}

// bestDialect is the one under which the header has most columns. Blanks part
// columns only where nothing else does.
func bestDialect(head []byte) dialect {
	best := dialect{sep: ','}
	for _, sep := range separators {
		if sep == blanks && best.header != nil {
			break
		}
		if h := findHeader(head, sep); h != nil && (best.header == nil || h.known > best.header.known) {
			best = dialect{sep: sep, header: h}
		}
	}
	return best
}

// findHeader looks for the header under one separator.
func findHeader(head []byte, sep byte) *header {
	in := newRows(bytes.NewReader(head), sep)
	for n := 0; n < headRows && in.next(); n++ {
		if h := readHeader(headerCells(&in.row, sep), sep); h.kind != nil {
			return h
		}
	}
	return nil
}

// headerCells are the cells of a row that may be a header. Where blanks
// separate, the header may stand behind a comment sign of its own.
func headerCells(r *row, sep byte) []cell {
	if sep == blanks && len(r.cells) > 1 && strings.Trim(r.cells[0].text, "#") == "" {
		return r.cells[1:]
	}
	return r.cells
}

// isListing recognises a placement listing by the line with its unit and the
// first row after it.
func isListing(head []byte) bool {
	in := newRows(bytes.NewReader(head), blanks)
	units := false
	for n := 0; n < 20 && in.next(); n++ {
		if unitOf(in.row.raw) != "" {
			units = true
		} else if units && !in.row.blank() {
			return isPlaced(in.row.cells)
		}
	}
	return false
}

// isCounts recognises a list of parts that has a name and a number in each
// line: C12:1.
func isCounts(head []byte) bool {
	in := newRows(bytes.NewReader(head), ':')
	rows := 0
	for rows < 20 && in.next() {
		if in.row.blank() {
			continue
		}
		rows++
		c := in.row.cells
		if len(c) != 2 || !goodName(c[0].text) || strings.ContainsAny(c[0].text, " ,;") || digitsOf(c[1].text) != len(c[1].text) || c[1].text == "" {
			return false
		}
	}
	return rows > 2
}

// isPlaced reports whether a row of a listing is name, x, y, turn, package, or
// the same with m before the package.
func isPlaced(cells []cell) bool {
	if len(cells) != 5 && (len(cells) != 6 || !strings.EqualFold(cells[4].text, "m")) {
		return false
	}
	for _, c := range cells[1:4] {
		if _, err := plainNumber(c.text, false); err != nil {
			return false
		}
	}
	return true
}

// unitOf gives the unit of length that a line before the header states, or "".
func unitOf(line string) string {
	if m := unitsLine.FindStringSubmatch(line); m != nil {
		if u := unitWords[fold(m[1])]; isLength(u) {
			return u
		}
	}
	return ""
}

func isLength(unit string) bool { return unit == "mm" || unit == "mil" || unit == "in" || unit == "um" }

// commaNumber is a cell that can only be a number with a decimal comma: not
// three digits after it, or nothing but 0 before it.
var commaNumber = regexp.MustCompile(`^[-+]?(?:0,\d+|\d+,(?:\d{1,2}|\d{4,}))(?:\s?(?:mm|mil|in|V|ohm))?$`)

// hasDecimalComma looks for such a number.
func hasDecimalComma(head []byte, sep byte) bool {
	in := newRows(bytes.NewReader(head), sep)
	for n := 0; n < headRows && in.next(); n++ {
		for _, c := range in.row.cells {
			if len(c.text) < 20 && commaNumber.MatchString(c.text) {
				return true
			}
		}
	}
	return false
}
