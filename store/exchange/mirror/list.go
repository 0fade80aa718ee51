package mirror

import (
	"context"
	"io/fs"
	"path"
	"slices"
	"strings"

	"netlore/query/diag"
)

// File is a file of the folder as a look at the folder tells it.
type File struct {
	Size    int64
	ModTime int64 // in nanoseconds since 1970
}

// List is what lies in a folder at one time. It takes a look at the folder only,
// and reads no file.
type List struct {
	Files map[string]File // by the name from the folder on, of those that matter
	Odd   diag.List       // what is there that cannot be used

	names []string // of Files, in order
}

// List lists what is in the folder. Names that begin with a dot, such as .git, are
// not looked at, and neither is what no mirror has written.
func (f *Folder) List(ctx context.Context) (*List, error) {
	l := &List{Files: map[string]File{}}
	err := fs.WalkDir(f.root.FS(), ".", func(name string, entry fs.DirEntry, err error) error {
		if stop := ctx.Err(); stop != nil {
			return stop
		}
		if err == nil {
			return l.add(f, name, entry)
		}
		if name == "." {
			return err
		}
		l.Odd = append(l.Odd, f.unreadable(name, err).(diag.Diagnostic))
		return nil
	})
	slices.Sort(l.names)
	return l, err
}

func (l *List) add(f *Folder, name string, entry fs.DirEntry) error {
	switch {
	case name == ".":
		return nil
	case strings.HasPrefix(path.Base(name), ".") && entry.IsDir():
		return fs.SkipDir
	case entry.IsDir() || strings.HasPrefix(path.Base(name), "."):
		return nil
	case entry.Type()&fs.ModeSymlink != 0:
		l.Odd = append(l.Odd, f.complaint("X306", name, "it is a link, and links are not followed"))
		return nil
	case placeOf(name) == elsewhere:
		return nil
	case !entry.Type().IsRegular():
		l.Odd = append(l.Odd, f.complaint("X306", name, "it is no plain file, and is not read"))
		return nil
	}
	info, err := entry.Info()
	if err != nil {
		return nil // gone meanwhile
	}
	l.names = append(l.names, name)
	l.Files[name] = File{info.Size(), info.ModTime().UnixNano()}
	return nil
}
