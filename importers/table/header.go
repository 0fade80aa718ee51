package table

import (
	"netlore/store/board"
)

// header is the columns of a table, as its header row names them.
type header struct {
	kind     *kind
	col      [columns]int    // index of the cell, or absent
	unit     [columns]string // stated in the header cell
	rank     [columns]int
	measures []measure
	cells    int // in the header row, trailing empty ones left out
	unused   []string
	known    int // columns that were recognised
}

const absent = -1

// measure is a column of measured or expected values.
type measure struct {
	index    int
	mode     board.Mode // ModeUnknown: in a column of its own
	unit     string
	expected bool
}

// has reports whether all these columns are there.
func (h *header) has(all ...column) bool {
	for _, c := range all {
		if h.col[c] == absent {
			return false
		}
	}
	return true
}

// any reports whether one of these columns is there.
func (h *header) any(some ...column) bool {
	for _, c := range some {
		if h.col[c] != absent {
			return true
		}
	}
	return false
}

// readHeader takes a row for a header. The kind is nil if it is none that a
// table can be read by.
func readHeader(cells []cell, sep byte) *header {
	h := &header{}
	for c := range h.col {
		h.col[c] = absent
	}
	for i := range cells {
		if cells[i].text != "" {
			h.cells = i + 1
			h.take(i, cells[i].text)
		}
	}
	h.settleMeasured()
	if h.has(colRef, colPad) && !h.has(colPin) {
		h.col[colPin], h.col[colPad] = h.col[colPad], absent
	}
	// Prose has words too: where blanks separate, most of them must be known.
	if sep != blanks || h.known*3 >= h.cells*2 {
		h.kind = h.choose()
		if h.kind == nil && h.has(colValue) && len(h.measures) == 0 {
			h.measureValue() // of nets, pads or pins only a measured one can be meant
			h.settleMeasured()
			h.kind = h.choose()
		}
	}
	if h.kind != nil {
		h.listUnused(cells)
	}
	return h
}

// settleMeasured takes a column called value for a measured one where there is a
// column for the mode. Pins without a column for their parts are written
// PART.PIN.
func (h *header) settleMeasured() {
	if h.has(colMode, colValue) && len(h.measures) == 0 {
		h.measureValue()
	}
	if len(h.measures) > 0 && h.has(colPin) && !h.any(colRef, colOn) {
		h.col[colOn], h.col[colPin] = h.col[colPin], absent
	}
}

// measureValue takes the column called value for a measured one.
func (h *header) measureValue() {
	h.measures = []measure{{index: h.col[colValue], unit: h.unit[colValue]}}
	h.col[colValue] = absent
}

// take recognises one header cell.
func (h *header) take(i int, text string) {
	m, ok := headerWord(text)
	switch {
	case !ok:
		return
	case m.column == colMeasured:
		h.measures = append(h.measures, measure{i, m.mode, m.unit, m.expected})
	case h.col[m.column] != absent && h.rank[m.column] <= m.rank:
		return
	default:
		h.col[m.column], h.rank[m.column], h.unit[m.column] = i, m.rank, m.unit
	}
	h.known++
}

// choose tells the kind of table by its columns.
func (h *header) choose() *kind {
	place := h.has(colX, colY)
	switch {
	case len(h.measures) > 0 && h.any(colOn, colPad, colNet, colRef):
		return h.chooseMeasured()
	case h.has(colRef, colPin) && (place || h.has(colNet)):
		return &pinTable
	case h.has(colRef) && place:
		return &placement
	case h.has(colRef) && h.any(partFacts...):
		return &partsList
	case h.has(colPad) && (place || h.any(colNet, colGroup, colSide, colSize, colWidth)):
		return &padTable
	case h.has(colNet) && h.any(colKind, colVolts, colFunction, colAlias):
		return &netTable
	}
	return nil
}

// chooseMeasured tells readings from expected values: the header says
// "expected", or a tolerance is given and nothing of how it was measured.
func (h *header) chooseMeasured() *kind {
	expected := h.has(colTolerance) && !h.any(colMeter, colJob, colGood, colState, colSpecimen, colPolarity)
	for _, m := range h.measures {
		expected = expected || m.expected
	}
	if !expected {
		return &readingTable
	}
	return &expectedTable
}

// listUnused names the columns that tables of this kind are not read by.
func (h *header) listUnused(cells []cell) {
	used := make([]bool, len(cells))
	for _, c := range h.kind.reads {
		if i := h.col[c]; i != absent {
			used[i] = true
		}
	}
	if h.kind.measured {
		for _, m := range h.measures {
			used[m.index] = true
		}
	}
	for i := range cells {
		if text := cells[i].text; text != "" && !used[i] {
			h.unused = append(h.unused, text)
		}
	}
}

// listing is the header of a placement listing without one: name, x, y, turn,
// m for a part that is mirrored to the other side, package, with blanks
// between. A line UNITS = MILS stands before it.
func listing() *header {
	h := readHeader(nil, blanks)
	for i, c := range []column{colRef, colX, colY, colTurn, colMirror, colPackage} {
		h.col[c] = i
	}
	h.cells, h.kind = 6, &placement
	return h
}

// counts is the header of a list of parts with their numbers, without one.
func counts() *header {
	h := readHeader(nil, ':')
	h.col[colRef], h.col[colQuantity] = 0, 1
	h.cells, h.kind = 2, &partsList
	return h
}

// kind is a kind of table.
type kind struct {
	name     string // in the report: "placement"
	note     string // what a row is
	thing    string // what was read: "part"
	reads    []column
	measured bool // reads the measured columns, too
	row      func(*reader) string
}

// partFacts are the columns that say something about a part.
var partFacts = []column{colValue, colPackage, colText, colNumber, colQuantity, colSide, colMirror, colFitted,
	colUnfitted, colVolts, colAmps, colTolerance, colFunction, colTurn, colSize, colWidth}

var (
	placement = kind{name: "placement", note: "part with its place", thing: "part", row: (*reader).partRow,
		reads: append([]column{colRef, colX, colY, colHeight, colKind}, partFacts...)}
	partsList = kind{name: "parts list", note: "part, or many like parts", thing: "part", row: (*reader).partRow,
		reads: append([]column{colRef, colHeight, colKind}, partFacts...)}
	pinTable = kind{name: "pins", note: "pin of a part", thing: "pin", row: (*reader).pinRow,
		reads: []column{colRef, colPin, colNet, colX, colY, colSide, colTurn, colSize, colWidth, colHeight}}
	padTable = kind{name: "pads", note: "pad of the board", thing: "pad", row: (*reader).padRow,
		reads: []column{colPad, colNet, colGroup, colX, colY, colSide, colTurn, colSize, colWidth, colHeight}}
	netTable = kind{name: "nets", note: "net", thing: "net", row: (*reader).netRow,
		reads: []column{colNet, colKind, colVolts, colFunction, colAlias}}
	readingTable = kind{name: "readings", note: "measured value", thing: "reading", row: (*reader).readingRow, measured: true,
		reads: []column{colOn, colPad, colNet, colRef, colPin, colTo, colMode, colMeter, colJob, colWhen, colBy, colState,
			colGood, colSpecimen, colPolarity, colNote, colText}}
	expectedTable = kind{name: "expected values", note: "value that should be", thing: "expected value", row: (*reader).expectedRow, measured: true,
		reads: []column{colOn, colPad, colNet, colRef, colPin, colMode, colTolerance, colWhen, colBy, colNote, colText,
			colKind, colVolts, colFunction, colAlias}}
)
