// Package mirror keeps what shops share in a folder of plain sheets, so that it can
// be handed on with git and its changes be read.
//
//	heron-repair-dpty-ke51-qb71/             a shop: what it calls itself, and its key
//	  signers                                by which ssh-keygen checks what is below
//	  keys/0c55….key                         what the shop says of its keys
//	  heron-a-rev-3-4f2a9c/                  a board, a stack; or questions, or meters
//	    structure.lore                       one file for each kind of knowledge
//	    expected.lore
//	    signed/9be2….manifest                the entries of a batch by their hashes
//	    signed/9be2….sig                     the signature on it
//
// A shop writes in its own folders only, so two shops never change one file. Names
// carry no authority: what a statement is about and whose it is, its signature says.
// A batch is two files that never change, and a sheet has one statement beside the
// other in canonical order; so two benches of a shop that have both added something
// are at most a conflict of sheets, of which both sides are read.
//
// The package knows packs, sheets and boards only. What is private of a job it cannot
// even name.
package mirror

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"

	"netlore/query/diag"
)

// Folder is a folder that shops share. Nothing outside it is read or written,
// wherever its links lead.
type Folder struct {
	root *os.Root
	name string // as messages call it
}

// Open opens a folder that is there. Somebody must call Close.
func Open(dir string) (*Folder, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, err
	}
	return &Folder{root, filepath.ToSlash(dir)}, nil
}

// Close lets go of the folder.
func (f *Folder) Close() error { return f.root.Close() }

// called is what messages call a file of the folder.
func (f *Folder) called(name string) string { return path.Join(f.name, name) }

// complaint is about a file of the folder.
func (f *Folder) complaint(code, name, message string, help ...string) diag.Diagnostic {
	return diag.Diagnostic{Code: code, File: f.called(name), Message: message, Help: help}
}

// text reads a file whole if it has no more than most bytes.
func (f *Folder) text(name string, most int64) ([]byte, error) {
	file, err := f.root.Open(name)
	if err != nil {
		return nil, f.unreadable(name, err)
	}
	defer file.Close()
	larger := f.complaint("X307", name, fmt.Sprintf("the file has more than %d bytes, and is not read", most))
	if info, err := file.Stat(); err == nil && info.Size() > most {
		return nil, larger
	}
	text, err := io.ReadAll(io.LimitReader(file, most+1))
	switch {
	case err != nil:
		return nil, f.unreadable(name, err)
	case int64(len(text)) > most:
		return nil, larger
	}
	return text, nil
}

// signed reads a file of which each byte was signed. Where git makes line ends those
// of the system, they are made what they were.
func (f *Folder) signed(name string, most int64) ([]byte, error) {
	text, err := f.text(name, most)
	return bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n")), err
}

// unreadable says why a file cannot be read.
func (f *Folder) unreadable(name string, err error) error {
	var at *fs.PathError
	switch {
	case errors.Is(err, fs.ErrPermission):
		return f.complaint("X306", name, "the file may not be read by you")
	case errors.Is(err, fs.ErrNotExist):
		return f.complaint("X306", name, "the file is gone")
	case errors.As(err, &at):
		err = at.Err
	}
	return f.complaint("X306", name, "the file cannot be read: "+err.Error())
}
