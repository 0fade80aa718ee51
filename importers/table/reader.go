package table

import (
	"strings"

	"netlore/importers/record"
	"netlore/query/diag"
	"netlore/store/board"
)

// reader is the state of reading one file.
type reader struct {
	opt    record.Options
	into   *record.Draft
	board  *board.Builder
	report record.Report

	dialect dialect
	rows    *rows
	row     *row
	head    *header // nil before the header row
	unit    string  // of lengths, where neither cell nor header say it
	count   *record.Count
	tallies []*tally
	unused  string // columns, as they were named last

	parts    map[string]board.PartID
	partLine []int32 // by part: the first row of this file that is about it
	netLine  map[board.NetID]int32
	pinLine  map[board.PinID]int32
	padLine  map[board.PadID]int32
	places   places
	kept     map[string]string
	names    []string
	last     valued
	most     int  // things that are kept
	milli    bool // bare diode values were taken as millivolts
}

// tally counts what was read from the tables of one kind.
type tally struct {
	kind   *kind
	things int
}

func newReader(opt record.Options, into *record.Draft) *reader {
	return &reader{
		opt: opt, into: into, board: into.Board,
		report:  record.Report{File: opt.File, Format: "table"},
		parts:   map[string]board.PartID{},
		netLine: map[board.NetID]int32{}, pinLine: map[board.PinID]int32{}, padLine: map[board.PadID]int32{},
		places: places{index: map[spotKey]int32{}},
		kept:   map[string]string{},
		most:   maxThings,
	}
}

// read deals with one row.
func (r *reader) read() error {
	switch {
	case r.row.fault != sound:
		r.broken()
	case r.row.blank():
		r.explain("blank", "empty rows", "empty row")
	case r.head == nil:
		return r.before()
	case r.row.comment(r.dialect.sep):
		r.explain("remark", "rows that begin with #", "remark")
	case r.repeats():
		r.header(r.readHeader())
	default:
		r.data()
	}
	return nil
}

// explain counts the current row as one that is not used.
func (r *reader) explain(kind, note, why string) {
	c := r.report.Kind(kind, note)
	c.See()
	c.Explain(r.row.line, why)
}

// maxPreamble is how many rows may stand before the header.
const maxPreamble = 1000

// before deals with the rows before the header, and the header.
func (r *reader) before() error {
	if r.dialect.counts {
		r.begin(r.dialect.header)
		r.data()
		return nil
	}
	if r.dialect.listing {
		r.preamble()
		if r.unit != "" {
			r.begin(r.dialect.header)
		}
		return nil
	}
	if h := r.readHeader(); h.kind != nil {
		r.header(h)
		return nil
	}
	r.preamble()
	if r.report.Of("preamble").Seen > maxPreamble {
		return record.Unusable(r.opt, r.noHeader())
	}
	return nil
}

// readHeader takes the current row for a header.
func (r *reader) readHeader() *header {
	return readHeader(headerCells(r.row, r.dialect.sep), r.dialect.sep)
}

// header counts the current row as a header and begins its table.
func (r *reader) header(h *header) {
	c := r.report.Kind("header", "names of the columns")
	c.See()
	c.Use()
	r.begin(h)
}

// preamble takes the unit of length from a line before the header.
func (r *reader) preamble() {
	c := r.report.Kind("preamble", "lines before the header")
	c.See()
	if u := unitOf(r.row.raw); u != "" && r.unit == "" {
		r.unit = u
		c.Use()
		return
	}
	c.Explain(r.row.line, "stands before the header")
}

// begin starts a table.
func (r *reader) begin(h *header) {
	r.head = h
	r.count = r.report.Kind(h.kind.name, h.kind.note)
	if unused := strings.Join(h.unused, ", "); unused != "" && unused != r.unused {
		r.unused = unused
		r.complain("T105", diag.Note, nil, "columns not used: "+unused)
	}
	for _, t := range r.tallies {
		if t.kind == h.kind {
			return
		}
	}
	r.tallies = append(r.tallies, &tally{kind: h.kind})
}

// tallied counts a thing that the tables of the current kind are about.
func (r *reader) tallied() {
	for _, t := range r.tallies {
		if t.kind == r.head.kind {
			t.things++
		}
	}
}

// repeats reports whether the row is a header again, of the same table or of
// another one below it. The cell under the first column is looked at first:
// the name of a thing nearly always has a digit in it, a header word never.
func (r *reader) repeats() bool {
	if r.dialect.listing || r.dialect.counts {
		return false
	}
	for _, c := range []column{colRef, colOn, colPad, colNet} {
		key := r.cell(c)
		if key == nil {
			continue
		}
		if hasDigit(key.text) {
			return false
		}
		if _, ok := headerWord(key.text); !ok {
			return false
		}
		return r.readHeader().kind != nil
	}
	return false
}

// data deals with a row under the header.
func (r *reader) data() {
	r.count.See()
	if r.dialect.listing {
		r.fill()
	}
	if r.dialect.sep == blanks && len(r.row.cells) != r.head.cells {
		r.miscounted()
		return
	}
	r.surplus()
	if why := r.head.kind.row(r); why != "" {
		r.count.Explain(r.row.line, why)
		return
	}
	r.count.Use()
}

// fill puts an empty cell for the mirror mark into a row of a listing that has
// none.
func (r *reader) fill() {
	if len(r.row.cells) == 5 {
		r.row.cells = append(r.row.cells, r.row.cells[4])
		r.row.cells[4] = cell{at: r.row.cells[4].at, end: r.row.cells[4].at}
	}
}

// cell is the cell of a column in the current row, or nil if it is empty or
// missing.
func (r *reader) cell(c column) *cell { return r.cellAt(r.head.col[c]) }

func (r *reader) cellAt(i int) *cell {
	if i == absent || i >= len(r.row.cells) || r.row.cells[i].text == "" {
		return nil
	}
	return &r.row.cells[i]
}

// text is the text of a column in the current row, "" if there is none.
func (r *reader) text(c column) string {
	if found := r.cell(c); found != nil {
		return found.text
	}
	return ""
}

// keep returns a text that does not hold its row in memory.
func (r *reader) keep(s string) string {
	if k, ok := r.kept[s]; ok {
		return k
	}
	k := strings.Clone(s)
	r.kept[k] = k
	return k
}

// things counts what is kept.
func (r *reader) things() int {
	b, k := r.board.Board(), &r.into.Knowledge
	return len(b.Parts) + len(b.Pins) + len(b.Nets) + len(b.Pads) + len(k.Readings) + len(k.Expected)
}
