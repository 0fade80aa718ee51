// Package record is what every importer of a foreign format has in common:
// what an importer is, what it is told, where it puts what it reads, and the
// report in which every record of the file is accounted for.
//
// It is a leaf: the registry in package importers and the format packages
// below it all import it.
package record

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"

	"netlore/query/diag"
	"netlore/store/board"
)

// Confidence is how sure an importer is, having seen the head of a file, that
// the file is its own.
type Confidence uint8

const (
	No      Confidence = iota // not this format
	Maybe                     // could be; nothing speaks against it
	Likely                    // looks like it
	Certain                   // says so itself
)

func (c Confidence) String() string {
	return [...]string{"no", "maybe", "likely", "certain"}[c]
}

// Role is what a format contributes to a board. Files of one import are read
// in order of role, whatever order they were given in.
type Role uint8

const (
	Netlist Role = iota // parts, pins and nets; read first
	Table               // enriches parts that a netlist has named, or starts a board of its own
)

func (r Role) String() string { return [...]string{"netlist", "table"}[r] }

// Importer reads one foreign format.
type Importer struct {
	Name string // short and stable: "ipc-d-356", "table"
	Doc  string // one line for a list of formats
	Role Role

	// Sniff judges by content only, from the first 64 KiB at most.
	Sniff func(head []byte) Confidence

	// Read adds what in holds to the draft. The report is whole even when the
	// error is not nil. An error is a cancelled context, a failed read, or
	// content that cannot be used at all, then as diag.Diagnostic or diag.List;
	// complaints about single records are notes of the report instead.
	Read func(ctx context.Context, in io.Reader, opt Options, into *Draft) (Report, error)

	// Places reads only the names and places of parts, for the formats that
	// carry them; nil otherwise. It is called before any file is read, so that
	// formats which shorten names can be told the whole ones (Options.Places).
	Places func(ctx context.Context, in io.Reader, opt Options) ([]Place, error)
}

// Place is a part's full name and where the part sits, as far as one file of
// the import knows.
type Place struct {
	Name   string
	Side   board.Side // SideUnknown when not stated
	Placed bool       // At is known
	At     board.Point
}

// Draft is a board in the making, and what is known about it.
type Draft struct {
	Board     *board.Builder
	Knowledge board.Knowledge
}

// NewDraft starts a board.
func NewDraft(ref board.Ref) *Draft { return &Draft{Board: board.NewBuilder(ref)} }

// Length is a unit that lengths of a file are to be read in.
type Length uint8

const (
	AsStated   Length = iota // as the file says
	Inch                     // D-356: one count is 0.0001 inch
	Mil                      // a thousandth of an inch
	Millimetre               // D-356: one count is 0.001 mm
)

// Options is what an importer is told. The zero value is fine.
type Options struct {
	File   string    // name of the file, for messages; set by Import
	Board  board.Ref // name and revision of the board; empty parts are taken from the files
	Length Length    // overrides the unit of lengths that the file states
	Places []Place   // full names known from other files of the same import; set by Import

	// Progress, when set, is called now and then with the bytes read so far.
	Progress func(bytes int64)
}

// Input is one file to import. It may be opened more than once.
type Input struct {
	Name string
	Open func() (io.ReadCloser, error)
}

// File is the input in the file of this path. Messages call it by its path.
func File(path string) Input {
	return Input{Name: filepath.ToSlash(path), Open: func() (io.ReadCloser, error) { return os.Open(path) }}
}

// Text is an input held in memory.
func Text(name string, content []byte) Input {
	return Input{Name: name, Open: func() (io.ReadCloser, error) {
		return io.NopCloser(bytes.NewReader(content)), nil
	}}
}

// HeadSize is the most of a file that is looked at to tell its format.
const HeadSize = 64 << 10

// Watch returns a reader that fails once ctx is cancelled and tells progress
// how far it is, after each read of in.
func Watch(ctx context.Context, in io.Reader, progress func(bytes int64)) io.Reader {
	return &watched{ctx: ctx, in: in, progress: progress}
}

type watched struct {
	ctx      context.Context
	in       io.Reader
	progress func(int64)
	done     int64
}

func (w *watched) Read(p []byte) (int, error) {
	if err := w.ctx.Err(); err != nil {
		return 0, err
	}
	n, err := w.in.Read(p)
	w.done += int64(n)
	if w.progress != nil && n > 0 {
		w.progress(w.done)
	}
	return n, err
}

// Unusable wraps a complaint that ends the reading of a file, so that it names
// the file.
func Unusable(opt Options, d diag.Diagnostic) error {
	d.File, d.Severity = opt.File, diag.Error
	return d
}
