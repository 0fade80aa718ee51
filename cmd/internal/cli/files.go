package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// stdin is how a command line names standard input.
const stdin = "-"

// source is one file named on the command line.
type source struct {
	Name    string // as messages call it
	Path    string // "-" for standard input
	regular bool   // it can be opened again, and its size is known
	size    int64
}

// sources lists the files that the arguments name: a file as it is, a folder
// as the sheets in it, "-" as standard input. All that cannot be used is told
// at once.
func (a *app) sources(args []string) ([]source, error) {
	var found []source
	var problems several
	for _, arg := range args {
		some, err := expand(arg)
		if err != nil {
			problems = append(problems, err)
		}
		found = append(found, some...)
	}
	if len(problems) > 0 {
		return nil, fail(exitInput, problems)
	}
	return found, nil
}

func expand(arg string) ([]source, error) {
	if arg == stdin {
		return []source{{Name: "standard input", Path: stdin}}, nil
	}
	info, err := os.Stat(arg)
	switch {
	case err != nil:
		return nil, fileError(arg, err)
	case !info.IsDir():
		return []source{sourceOf(arg, info)}, nil
	}
	return sheetsIn(arg)
}

func sourceOf(path string, info fs.FileInfo) source {
	return source{Name: filepath.ToSlash(path), Path: path, regular: info.Mode().IsRegular(), size: info.Size()}
}

// sheetsIn lists the sheets of a folder and the folders in it, in order of
// their paths.
func sheetsIn(dir string) ([]source, error) {
	var found []source
	err := filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return fileError(path, err)
		case entry.IsDir() && path != dir && strings.HasPrefix(entry.Name(), "."):
			return fs.SkipDir
		case entry.IsDir() || !strings.HasSuffix(path, ".lore"):
			return nil
		}
		info, err := os.Stat(path)
		if err != nil {
			return fileError(path, err)
		}
		found = append(found, sourceOf(path, info))
		return nil
	})
	if err == nil && len(found) == 0 {
		err = fmt.Errorf("%s is a folder without any sheet (*.lore); name the board files themselves", dir)
	}
	slices.SortFunc(found, func(a, b source) int { return strings.Compare(a.Path, b.Path) })
	return found, err
}

// upTo reads a file, - being standard input: most bytes, and one more by which a longer one is told.
func (a *app) upTo(most int, path string) ([]byte, error) {
	in := a.In
	if path != stdin {
		file, err := os.Open(path)
		if err != nil {
			return nil, fail(exitInput, fileError(path, err))
		}
		defer file.Close()
		in = file
	}
	data, err := io.ReadAll(io.LimitReader(in, int64(most)+1))
	if err != nil {
		return nil, fail(exitInput, fileError(path, err))
	}
	return data, nil
}

// shortFile reads one with a key, a certificate or points.
func (a *app) shortFile(path string) ([]byte, error) {
	const most = 64 << 10
	data, err := a.upTo(most, path)
	if err == nil && len(data) > most {
		err = fail(exitInput, fmt.Errorf("%s is too long for what it should be: it has more than %d KB", path, most>>10))
	}
	return data, err
}

// fileError says in plain words why a file cannot be used.
func fileError(path string, err error) error {
	switch {
	case errors.Is(err, fs.ErrPermission):
		return fmt.Errorf("%s may not be read by you", path)
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("there is no file %s", path)
	}
	return fmt.Errorf("%s cannot be read: %w", path, reason(err))
}

// reason is what the system says of a file, without the words round it.
func reason(err error) error {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path):
		return path.Err
	case errors.As(err, &link):
		return link.Err
	}
	return err
}

// several are problems that are told together, a line each.
type several []error

func (s several) Error() string {
	if len(s) == 1 {
		return s[0].Error()
	}
	return fmt.Sprintf("%s (and %d more)", s[0], len(s)-1)
}
