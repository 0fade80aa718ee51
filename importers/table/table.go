// Package table reads tables: CSV and its relatives, as spreadsheets, layout
// programs and people write them. By their columns they are placements, parts
// lists (bills of materials), pins, pads, nets, readings or expected values.
//
// The text may be UTF-8, UTF-16 or Windows-1252, with or without a byte-order
// mark; the separator comma, semicolon, tab, bar or runs of blanks; numbers may
// have a decimal comma. There may be lines before the header, empty rows, more
// headers further down, and ragged rows. Two forms have no header: placement
// listings, and lists of names with how many there are of each (C12:1). Rows and cells follow RFC 4180, but
// blanks round a cell are no part of it, and a quote in a cell without quotes
// is an ordinary character.
//
// A file is read once, row by row, with memory for the board only. Every row
// is counted by kind, as used or with a reason why not.
//
// Lengths may be in millimetres, mils, inches or micrometres, and are rounded
// to the nearest micrometre. Turns are taken as they are written: programs do
// not agree on which way a part on the bottom turns.
package table

import (
	"context"
	"fmt"
	"io"

	"netlore/importers/record"
	"netlore/query/diag"
	"netlore/store/board"
)

// Importer is the entry of this format in the registry.
func Importer() record.Importer {
	return record.Importer{
		Name:   "table",
		Doc:    "tables in CSV, TSV or columns: placement, parts list, pins, pads, nets, readings, expected values",
		Role:   record.Table,
		Sniff:  Sniff,
		Read:   Read,
		Places: Places,
	}
}

// maxThings is the most parts, pins, nets, pads, readings and expected values
// that are kept. A large board has some ten thousand.
const maxThings = 1_000_000

// Read adds what a table says to the draft. An error is a cancelled context, a
// failed read, or a file that cannot be used at all.
func Read(ctx context.Context, in io.Reader, opt record.Options, into *record.Draft) (record.Report, error) {
	text, head := openText(record.Watch(ctx, in, opt.Progress))
	r := newReader(opt, into)
	if d := notText(head); d.Code != "" {
		return r.report, record.Unusable(opt, d)
	}
	r.dialect = findDialect(head)
	r.rows = newRows(text, r.dialect.sep)
	if err := r.readRows(); err != nil {
		return r.report, err
	}
	err := r.finish()
	r.report.Notes = r.report.Notes.Sort()
	return r.report, err
}

// Places reads the names of the parts in a table and where they sit. A table
// that says nothing about parts has none.
func Places(ctx context.Context, in io.Reader, opt record.Options) ([]record.Place, error) {
	draft := record.NewDraft(board.Ref{})
	if _, err := Read(ctx, in, opt, draft); err != nil {
		return nil, err
	}
	parts := draft.Board.Build().Parts
	places := make([]record.Place, len(parts))
	for i := range parts {
		p := &parts[i]
		places[i] = record.Place{Name: p.Name, Side: p.Side, Placed: p.Placed, At: p.At}
	}
	return places, nil
}

// Sniff judges by content whether a file is a table that can be read: whether
// there is a header row. A text of equal rows without a known header may be a
// table too, for which Read says what is missing.
func Sniff(head []byte) record.Confidence {
	head = decodeHead(head)
	if notText(head).Code != "" || foreign(head) {
		return record.No
	}
	d := findDialect(head)
	switch {
	case d.header != nil:
		return record.Likely
	case looksTabular(head):
		return record.Maybe
	}
	return record.No
}

// readRows reads every row of the file.
func (r *reader) readRows() error {
	for r.rows.next() {
		r.row = &r.rows.row
		r.report.Lines++
		if err := r.read(); err != nil {
			return err
		}
		if r.things() > r.most {
			return record.Unusable(r.opt, r.note("T160", diag.Error, nil,
				fmt.Sprintf("more than %d parts, pins, nets, pads and readings: no board is this large", r.most)))
		}
	}
	if err := r.rows.lines.Err(); err != nil {
		return fmt.Errorf("%s: line %d: %w", r.opt.File, r.rows.line+1, err)
	}
	if r.head == nil {
		return record.Unusable(r.opt, r.noHeader())
	}
	return nil
}
