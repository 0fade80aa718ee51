package mirror

import (
	"cmp"
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"runtime"
	"slices"
	"strings"
	"sync"
)

// output is a file that is to be written.
type output struct {
	name string
	text []byte
}

// besideName begins the name of a file that is not in its place yet.
const besideName = ".netlore-"

// atOnceWritten is how many files are written at the same time: a disk syncs several as
// quickly as one.
const atOnceWritten = 8

// put writes files, each beside its place first; all are on disk when it returns.
func (w *Writer) put(files []output) error {
	if w.opt.Look {
		w.Files += len(files)
		return nil
	}
	var dirs []string
	for _, o := range files {
		if dir := path.Dir(o.name); !slices.Contains(dirs, dir) {
			if err := w.folder.make(dir); err != nil {
				return w.folder.unwritten(o.name, err)
			}
			dirs = append(dirs, dir)
		}
	}
	for some := range slices.Chunk(files, atOnceWritten) {
		if err := w.ctx.Err(); err != nil {
			return err
		}
		if err := w.folder.replaceAll(some); err != nil {
			return err
		}
		for _, o := range some {
			w.done[o.name] = true
		}
		w.Files += len(some)
	}
	for _, dir := range dirs {
		if err := w.folder.sync(dir); err != nil {
			return w.folder.unwritten(dir, err)
		}
	}
	return nil
}

// replaceAll puts files in their places, all at the same time.
func (f *Folder) replaceAll(files []output) error {
	errs := make([]error, len(files))
	var all sync.WaitGroup
	for i, o := range files {
		all.Go(func() {
			if err := f.replace(o); err != nil {
				errs[i] = f.unwritten(o.name, err)
			}
		})
	}
	all.Wait()
	return cmp.Or(errs...)
}

// remove removes sheets in which nothing is left, and the files of batches that nobody takes
// any more.
func (w *Writer) remove(names []string) error {
	w.Files += len(names)
	if w.opt.Look {
		return nil
	}
	for _, name := range names {
		w.done[name] = true
		if err := errors.Join(w.folder.root.Remove(name), w.folder.sync(path.Dir(name))); err != nil {
			return w.folder.unwritten(name, err)
		}
	}
	return nil
}

// make makes a folder in the folder, with those above it. A link on the way is
// refused: it would lead to files that are none of ours.
func (f *Folder) make(dir string) error {
	at := ""
	for part := range strings.SplitSeq(dir, "/") {
		above := at
		at = path.Join(at, part)
		info, err := f.root.Lstat(at)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			if err := f.root.Mkdir(at, 0o755); err != nil {
				return err
			}
			if err := f.sync(path.Join(".", above)); err != nil {
				return err
			}
		case err != nil:
			return err
		case !info.IsDir():
			return errors.New(at + " is no folder")
		}
	}
	f.sweep(dir)
	return nil
}

// sweep removes what a run that was cut short has left beside its place.
func (f *Folder) sweep(dir string) {
	entries, _ := fs.ReadDir(f.root.FS(), dir) // what cannot be listed cannot be swept
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), besideName) {
			f.root.Remove(path.Join(dir, e.Name()))
		}
	}
}

// replace puts a file in its place: whole, or not at all.
func (f *Folder) replace(o output) error {
	beside := path.Join(path.Dir(o.name), besideName+rand.Text())
	file, err := f.root.OpenFile(beside, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	_, err = file.Write(o.text)
	if err = errors.Join(err, file.Sync(), file.Close()); err == nil {
		err = f.root.Rename(beside, o.name)
	}
	if err != nil {
		f.root.Remove(beside)
	}
	return err
}

// sync puts the names in a folder on disk, where the system has such a thing.
func (f *Folder) sync(dir string) error {
	folder, err := f.root.Open(path.Join(".", dir))
	if err != nil {
		return err
	}
	defer folder.Close()
	if err := folder.Sync(); err != nil && runtime.GOOS != "windows" {
		return err
	}
	return nil
}

// WriteError says that a file of the folder could not be written.
type WriteError struct {
	Name string
	Err  error
}

func (e *WriteError) Error() string { return fmt.Sprintf("%s could not be written: %v", e.Name, e.Err) }

func (e *WriteError) Unwrap() error { return e.Err }

// unwritten says why a file cannot be written.
func (f *Folder) unwritten(name string, err error) error {
	var at *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &at):
		err = at.Err
	case errors.As(err, &link):
		err = link.Err
	}
	return &WriteError{f.called(name), err}
}
