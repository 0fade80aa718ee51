package cli

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"

	"netlore/importers"
	"netlore/importers/record"
	"netlore/query/diag"
	"netlore/store/sheet"
)

// loads are the files of one command, told apart by content.
type loads struct {
	sheets  []loaded
	foreign []importers.Input
	netlist bool // there is one among the foreign files
}

type loaded struct {
	name string
	text []byte
}

// sort reads the head of every file and tells sheets from foreign formats.
func (a *app) sort(ctx context.Context, sources []source) (loads, error) {
	var l loads
	var bad diag.List
	for _, s := range sources {
		input, found, err := a.recognise(ctx, s)
		switch {
		case err != nil:
			return l, unreadable(err)
		case found.Kind == importers.Sheet:
			text, err := a.whole(ctx, s, input)
			if err != nil {
				return l, unreadable(err)
			}
			l.sheets = append(l.sheets, loaded{s.Name, text})
		case found.Kind == importers.Readable:
			l.foreign = append(l.foreign, input)
			l.netlist = l.netlist || found.Importer.Role == record.Netlist
		default:
			found.Why.File = s.Name
			bad = append(bad, found.Why)
		}
	}
	if len(bad) > 0 {
		return l, fail(exitInput, bad)
	}
	return l, nil
}

// recognise makes an importer's input of a source and judges what it is. What
// is no regular file can be read only once, so that is read whole.
func (a *app) recognise(ctx context.Context, s source) (importers.Input, importers.Detected, error) {
	if !s.regular {
		text, err := a.read(ctx, s)
		return record.Text(s.Name, text), importers.Detect(text[:min(len(text), record.HeadSize)]), err
	}
	input := importers.Input{Name: s.Name, Open: func() (io.ReadCloser, error) { return os.Open(s.Path) }}
	head, err := headOf(s)
	return input, importers.Detect(head), err
}

func headOf(s source) ([]byte, error) {
	file, err := os.Open(s.Path)
	if err != nil {
		return nil, fileError(s.Path, err)
	}
	defer file.Close()
	head := make([]byte, record.HeadSize)
	n, err := io.ReadFull(file, head)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, fileError(s.Path, err)
	}
	return head[:n], nil
}

// whole is all of a source, which for what is no regular file has been read
// already.
func (a *app) whole(ctx context.Context, s source, input importers.Input) ([]byte, error) {
	if s.regular {
		return a.read(ctx, s)
	}
	in, err := input.Open()
	if err != nil {
		return nil, err
	}
	var text bytes.Buffer
	_, err = text.ReadFrom(in)
	return text.Bytes(), err
}

// unreadable gives a file that cannot be read its exit code.
func unreadable(err error) error {
	if errors.Is(err, context.Canceled) {
		return err
	}
	return fail(exitInput, err)
}

func (a *app) parseSheets(loads []loaded) ([]*sheet.File, error) {
	var files []*sheet.File
	var all diag.List
	for _, l := range loads {
		file, list := sheet.Parse(l.name, l.text)
		files, all = append(files, file), append(all, list...)
	}
	if all.HasErrors() {
		return nil, fail(exitInput, all)
	}
	a.complain(all)
	return files, nil
}
