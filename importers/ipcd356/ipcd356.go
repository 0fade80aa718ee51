// Package ipcd356 reads IPC-D-356, IPC-D-356A and the common part of
// IPC-D-356B: the netlist that board makers get for bare-board test. It gives
// parts, pins, nets, places, pads, vias, holes, conductors and the outline.
//
// A file is read once, line by line, with memory for the board only: names
// (aliases, cut designators), the unit and the number of layers may be told
// after their use, so lengths are kept in the file's own counts and everything
// is settled when the last line has been read.
//
// Lengths: one count is 0.0001 inch, which is 2.54 µm exactly, or 1 µm. Places
// are rounded to the nearest micrometre, halves away from zero, so they are at
// most 0.5 µm off what the file says.
package ipcd356

import (
	"bytes"
	"context"
	"fmt"
	"io"

	"netlore/importers/record"
	"netlore/query/diag"
)

// Importer is the entry of this format in the registry.
func Importer() record.Importer {
	return record.Importer{
		Name:  "ipc-d-356",
		Doc:   "bare-board test netlist: IPC-D-356, 356A, 356B",
		Role:  record.Netlist,
		Sniff: Sniff,
		Read:  Read,
	}
}

// maxPoints is the most test points, holes and path points that are kept.
// A board of a thousand parts has some ten thousand.
const maxPoints = 20_000_000

// Read adds the board in a D-356 file to the draft. Its name, title and
// revision are taken from the file unless the draft has them. An error is a
// cancelled context, a failed read, or a file that cannot be used at all.
func Read(ctx context.Context, in io.Reader, opt record.Options, into *record.Draft) (record.Report, error) {
	r := newReader(opt)
	if err := r.lines(record.NewLineReader(record.Watch(ctx, in, opt.Progress))); err != nil {
		return r.report, err
	}
	if err := r.usable(); err != nil {
		return r.report, err
	}
	r.finish(into)
	r.report.Notes = r.report.Notes.Sort()
	return r.report, nil
}

// lines reads every line of the file.
func (r *reader) lines(in *record.LineReader) error {
	for in.Next() {
		r.read(in.Line(), in.Number(), in.Cut())
		if r.points > maxPoints {
			return record.Unusable(r.opt, r.note("D343", diag.Error, 0, 0,
				fmt.Sprintf("more than %d test points: no board is this large", maxPoints)))
		}
	}
	if err := in.Err(); err != nil {
		return fmt.Errorf("%s: line %d: %w", r.opt.File, in.Number()+1, err)
	}
	r.endPath()
	return nil
}

// usable refuses files that hold no record of the format, and units that
// nobody can know.
func (r *reader) usable() error {
	if r.units.unknown != nil && r.opt.Length == record.AsStated {
		return record.Unusable(r.opt, *r.units.unknown)
	}
	if r.records == 0 {
		return record.Unusable(r.opt, diag.Diagnostic{
			Code:    "D342",
			Message: fmt.Sprintf("no test record in %d lines", r.report.Lines),
			Help:    []string{"a record looks like " + sampleRecord},
		})
	}
	return nil
}

// sampleRecord shows people what a record looks like.
const sampleRecord = "327VMAIN           C412  -1          A01X+012700Y-003050X0600Y0500R090 S0"

// Sniff judges by content whether a file is IPC-D-356: by its VER parameter,
// by records with their fields in their columns, or by what exporters write
// into comments.
func Sniff(head []byte) record.Confidence {
	var f fields
	head = bytes.TrimPrefix(head, byteOrderMark)
	records, loose, params := 0, 0, 0
	for len(head) > 0 && records < 3 {
		line := head
		if i := bytes.IndexAny(head, "\r\n"); i >= 0 {
			line, head = head[:i], head[i+1:]
		} else {
			head = nil
		}
		switch {
		case says(line, 'P', "VER") && bytes.Contains(line, []byte("IPC-D-356")):
			return record.Certain
		case says(line, 'P', "UNITS"), says(line, 'P', "JOB"), says(line, 'P', "CODE"), says(line, 'P', "NNAME"),
			says(line, 'C', "IPC-D-356"):
			params++
		case isRecord(line) && f.byColumn(line):
			records++
		case isRecord(line) && f.decode(expandTabs(nil, line)):
			loose++
		}
	}
	switch {
	case records >= 3 || records > 0 && params > 0:
		return record.Certain
	case records+loose > 0 || params > 1:
		return record.Likely
	case params > 0:
		return record.Maybe
	}
	return record.No
}

// says reports whether a line is a parameter or comment that begins with the
// word.
func says(line []byte, kind byte, word string) bool {
	if len(line) < 3 || line[0] != kind || line[1] != ' ' {
		return false
	}
	return bytes.HasPrefix(bytes.TrimLeft(line[1:], " "), []byte(word))
}

// isRecord reports whether a line begins with the code of a test record.
func isRecord(line []byte) bool {
	return len(line) > colX && line[2] == '7' && isDigit(line[1]) && (line[0] == '3' || line[0] == '0')
}
