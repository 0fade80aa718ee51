package importers

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"

	"netlore/importers/record"
	"netlore/query/diag"
	"netlore/store/board"
)

// Result is what files of one board gave.
type Result struct {
	Board     *board.Board
	Knowledge *board.Knowledge // readings and expected values that tables held
	Reports   []Report         // one a file, in the order the files were given
	Notes     diag.List        // complaints about the import as a whole
}

// Import reads files of one board into one board: netlists first, then tables,
// whatever order they were given in; of several tables the first holds where
// they differ. Names that a netlist cuts short are made whole by the tables.
// Progress counts the bytes of all files together.
//
// All files are recognised before any is read. If any cannot be, nothing is
// read, and the error is a diag.List with one complaint for each such file.
// Otherwise an error is that of the first file that could not be read; Reports
// then holds what is known of the files so far.
func Import(ctx context.Context, files []Input, opt Options) (*Result, error) {
	sources, err := recognise(files)
	if err != nil {
		return nil, err
	}
	opt.Places, err = places(ctx, sources, opt)
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(sources, func(a, b source) int { return cmp.Compare(a.importer.Role, b.importer.Role) })
	draft := record.NewDraft(opt.Board)
	result := &Result{Reports: make([]Report, len(files)), Notes: twoNetlists(sources)}
	progress := meter{tell: opt.Progress}
	for _, s := range sources {
		opt.Progress = progress.next()
		result.Reports[s.index], err = s.read(ctx, opt, draft)
		if err != nil {
			return result, err
		}
	}
	result.Board = finished(draft, sources)
	result.Knowledge = &draft.Knowledge
	return result, nil
}

// source is one file with the importer that reads it.
type source struct {
	Input
	index    int
	importer Importer
}

// recognise finds the importer of every file.
func recognise(files []Input) ([]source, error) {
	if len(files) == 0 {
		return nil, diag.List{{Code: "D107", Message: "no file to import", Help: []string{readableHelp}}}
	}
	var sources []source
	var bad diag.List
	for i, f := range files {
		d, err := detectFile(f)
		switch {
		case err != nil:
			bad = append(bad, diag.Diagnostic{Code: "D107", File: f.Name, Message: "the file cannot be read: " + plain(err)})
		case d.Kind != Readable:
			d.Why.File = f.Name
			bad = append(bad, d.Why)
		default:
			sources = append(sources, source{f, i, d.Importer})
		}
	}
	return sources, bad.Err()
}

// detectFile reads the head of a file and judges it.
func detectFile(f Input) (Detected, error) {
	in, err := f.Open()
	if err != nil {
		return Detected{}, err
	}
	defer in.Close()
	head := make([]byte, record.HeadSize)
	n, err := io.ReadFull(in, head)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return Detected{}, err
	}
	return Detect(head[:n]), nil
}

// plain is the innermost reason of an error, without the path that the
// complaint names already.
func plain(err error) string {
	for {
		inner := errors.Unwrap(err)
		if inner == nil {
			return err.Error()
		}
		err = inner
	}
}

// places asks every file that has them for the names and places of parts. A
// file that cannot be used gives none here; reading it will say why.
func places(ctx context.Context, sources []source, opt Options) ([]record.Place, error) {
	all := slices.Clone(opt.Places)
	for _, s := range sources {
		if s.importer.Places == nil {
			continue
		}
		found, err := s.places(ctx, opt)
		if err != nil && !isComplaint(err) {
			return nil, err
		}
		all = append(all, found...)
	}
	return all, nil
}

// isComplaint reports whether an error is about the content of a file.
func isComplaint(err error) bool {
	var d diag.Diagnostic
	var l diag.List
	return errors.As(err, &d) || errors.As(err, &l)
}

func (s *source) places(ctx context.Context, opt Options) ([]record.Place, error) {
	opt.File, opt.Progress = s.Name, nil
	in, err := s.Open()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", s.Name, err)
	}
	defer in.Close()
	return s.importer.Places(ctx, in, opt)
}

func (s *source) read(ctx context.Context, opt Options, draft *record.Draft) (Report, error) {
	opt.File = s.Name
	in, err := s.Open()
	if err != nil {
		return Report{File: s.Name, Format: s.importer.Name}, fmt.Errorf("%s: %w", s.Name, err)
	}
	defer in.Close()
	return s.importer.Read(ctx, in, opt, draft)
}

// meter adds up the progress of files that are read one after the other.
type meter struct {
	tell         func(bytes int64)
	before, last int64
}

// next begins another file and returns what its reader is to call.
func (m *meter) next() func(bytes int64) {
	if m.tell == nil {
		return nil
	}
	m.before, m.last = m.before+m.last, 0
	return func(bytes int64) {
		m.last = bytes
		m.tell(m.before + bytes)
	}
}

// twoNetlists warns when more than one netlist was given.
func twoNetlists(sources []source) diag.List {
	var names []string
	for _, s := range sources {
		if s.importer.Role == record.Netlist {
			names = append(names, s.Name)
		}
	}
	if len(names) < 2 {
		return nil
	}
	return diag.List{{Code: "D108", Severity: diag.Warning,
		Message: "several netlists are read into one board: " + strings.Join(names, ", "),
		Help:    []string{"import boards of a stack one by one"}}}
}

// finished builds the board. One that no file names is called after the first
// file that was read.
func finished(draft *record.Draft, sources []source) *board.Board {
	if to := draft.Board.Board(); to.Name == "" {
		base := path.Base(strings.ReplaceAll(sources[0].Name, `\`, "/"))
		to.Name = cmp.Or(strings.TrimSuffix(base, path.Ext(base)), base)
	}
	return draft.Board.Build()
}
