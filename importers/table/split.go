package table

import (
	"bytes"
	"io"
	"strings"

	"netlore/importers/record"
)

// What a row may hold. A row is a line, or several where a quoted cell has
// line breaks in it.
const (
	maxRow   = record.MaxLine
	maxCells = 1024
)

// blanks as a separator is any run of blanks and tabs.
const blanks = ' '

// fault is what is wrong with a row as a row.
type fault uint8

const (
	sound      fault = iota
	rowTooLong       // more than maxRow bytes
	unclosed         // a quote without its partner
	afterQuote       // text between a closing quote and the separator
	tooMany          // more than maxCells cells
)

// cell is one field of a row, blanks round it cut off, quotes undone.
type cell struct {
	text string
	at   int // byte of row.raw where it begins
	end  int
}

// row is one record of the table.
type row struct {
	line  int    // 1-based, of its first line
	raw   string // as it stands in the file, lines joined by \n
	cells []cell
	fault fault
	at    int // byte of raw where the fault is
}

// rows reads rows of any text with bounded memory.
type rows struct {
	lines *record.LineReader
	sep   byte // one of the separators, or blanks
	row   row

	raw      []byte // of the current row
	again    []byte // lines that were taken for part of a quoted cell
	line     int    // number of the line read last
	whole    bool   // that line was not cut
	cutLine  int    // the last line that was
	recoded  int    // first line that was not UTF-8, 0 if none
	splitter splitter
}

func newRows(in io.Reader, sep byte) *rows {
	return &rows{lines: record.NewLineReader(in), sep: sep}
}

// next goes to the next row and reports whether there is one.
func (r *rows) next() bool {
	line, ok := r.nextLine()
	if !ok {
		return false
	}
	first := r.line
	r.raw = append(r.raw[:0], line...)
	r.splitter.reset(r.sep)
	f := sound
	if !r.whole {
		f = rowTooLong
	} else if !r.complete() {
		f = unclosed
		r.giveBack(first)
	}
	r.finish(first, f)
	return true
}

// complete splits the row, adding lines to it until its quoted cells are
// closed. It reports false if one never is. Text after a quote that closes a
// cell of several lines rather belongs to a cell of its own, so that the first
// quote is the one without a partner.
func (r *rows) complete() bool {
	for !r.splitter.run(r.raw) {
		if r.sep == blanks || len(r.raw) >= maxRow {
			return false
		}
		line, ok := r.nextLine()
		if !ok {
			return false
		}
		r.raw = append(append(r.raw, '\n'), line...)
		if !r.whole {
			return false
		}
	}
	s := &r.splitter
	return s.fault != afterQuote || bytes.IndexByte(r.raw[s.from:s.faultAt], '\n') < 0
}

// giveBack puts the lines after the one with the open quote back to be read
// again. A line that is read again has its quotes in pairs, so it is given back
// once only.
func (r *rows) giveBack(first int) {
	if i := bytes.IndexByte(r.raw[r.splitter.from:], '\n'); i >= 0 {
		end := r.splitter.from + i
		rest := append([]byte{}, r.raw[end+1:]...)
		if r.again != nil {
			rest = append(append(rest, '\n'), r.again...)
		}
		r.again, r.raw = rest, r.raw[:end]
	}
	r.line = first + bytes.Count(r.raw, []byte{'\n'})
}

func (r *rows) nextLine() ([]byte, bool) {
	if r.again != nil {
		line, rest, more := bytes.Cut(r.again, []byte{'\n'})
		r.again = nil
		if more {
			r.again = rest
		}
		r.line++
		r.whole = r.line != r.cutLine
		return line, true
	}
	if !r.lines.Next() {
		return nil, false
	}
	r.line, r.whole = r.lines.Number(), !r.lines.Cut()
	if !r.whole {
		r.cutLine = r.line
	}
	line, recoded := decodeLine(r.lines.Line())
	if recoded && r.recoded == 0 {
		r.recoded = r.line
	}
	return line, true
}

// finish makes the row of what has been split.
func (r *rows) finish(first int, f fault) {
	s := &r.splitter
	r.row = row{line: first, raw: string(r.raw), cells: r.row.cells[:0], fault: f}
	switch {
	case f == unclosed:
		r.row.at = s.from - 1
	case f == sound && s.fault != sound:
		r.row.fault, r.row.at = s.fault, s.faultAt
	case f == sound:
		r.row.cells = s.cut(r.row.cells, r.row.raw)
	}
}

// blank reports whether nothing is in the row.
func (r *row) blank() bool {
	for i := range r.cells {
		if r.cells[i].text != "" {
			return false
		}
	}
	return r.fault == sound
}

// comment reports whether the row is a remark and no data.
func (r *row) comment(sep byte) bool {
	return strings.HasPrefix(r.raw, "#") && (sep == blanks || len(r.cells) == 1)
}

// splitter finds the cells of one row. It can be run again when more lines
// have been added to the row.
type splitter struct {
	sep     byte
	pos     int
	from    int  // start of the quoted cell that is open, or was last
	inside  bool // a quoted cell is open
	doubled bool // it has a doubled quote in it
	done    bool
	spans   []span
	fault   fault
	faultAt int
}

type span struct {
	from, to int
	doubled  bool
}

func (s *splitter) reset(sep byte) { *s = splitter{sep: sep, spans: s.spans[:0]} }

// run splits what has been added to raw since the last run. It reports whether
// the row is complete: no quoted cell is open.
func (s *splitter) run(raw []byte) bool {
	for !s.done {
		if !s.inside {
			s.plain(raw)
		} else if !s.quoted(raw) {
			return false
		}
	}
	return true
}

// plain reads a cell up to its separator, or to the quote that opens it.
func (s *splitter) plain(raw []byte) {
	start := s.pos
	for start < len(raw) && (raw[start] == ' ' || raw[start] == '\t' && s.sep != '\t') {
		start++
	}
	if s.sep == blanks && start == len(raw) && len(s.spans) > 0 {
		s.done = true
		return
	}
	if start < len(raw) && raw[start] == '"' {
		s.inside, s.doubled, s.from, s.pos = true, false, start+1, start+1
		return
	}
	end := s.separator(raw, start)
	s.add(raw, span{from: start, to: end}, end)
}

// quoted reads on in a quoted cell and goes behind the separator after it. It
// reports false if the cell is still open.
func (s *splitter) quoted(raw []byte) bool {
	for {
		at := bytes.IndexByte(raw[s.pos:], '"')
		if at < 0 {
			s.pos = len(raw)
			return false
		}
		s.pos += at + 1
		if s.pos == len(raw) || raw[s.pos] != '"' {
			break
		}
		s.doubled = true
		s.pos++
	}
	s.inside = false
	end := s.separator(raw, s.pos)
	if rest := bytes.TrimLeft(raw[s.pos:end], " \t"); len(rest) > 0 {
		s.fault, s.faultAt, s.done = afterQuote, end-len(rest), true
		return true
	}
	s.add(raw, span{s.from, s.pos - 1, s.doubled}, end)
	return true
}

// separator finds the next one, or the end of the row.
func (s *splitter) separator(raw []byte, from int) int {
	at := -1
	if s.sep == blanks {
		at = bytes.IndexAny(raw[from:], " \t")
	} else {
		at = bytes.IndexByte(raw[from:], s.sep)
	}
	if at < 0 {
		return len(raw)
	}
	return from + at
}

// add takes a cell, whose separator is at byte end of raw. Of the cells after
// maxCells only the blank ones are no fault: they are read, so that the row ends
// where it does, and not kept.
func (s *splitter) add(raw []byte, cell span, end int) {
	if len(s.spans) < maxCells {
		s.spans = append(s.spans, cell)
	} else if s.fault == sound && len(bytes.TrimSpace(raw[cell.from:cell.to])) > 0 {
		s.fault, s.faultAt = tooMany, cell.from
	}
	s.pos, s.done = end+1, end == len(raw)
}

// cut makes the cells of a row out of what was found.
func (s *splitter) cut(cells []cell, raw string) []cell {
	for _, sp := range s.spans {
		text := raw[sp.from:sp.to]
		trimmed := strings.TrimSpace(text)
		at := sp.from
		if trimmed != "" && len(trimmed) < len(text) {
			at += strings.Index(text, trimmed)
		}
		c := cell{text: trimmed, at: at, end: at + len(trimmed)}
		if sp.doubled {
			c.text = strings.ReplaceAll(trimmed, `""`, `"`)
		}
		cells = append(cells, c)
	}
	return cells
}
