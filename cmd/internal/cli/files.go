package cli

import (
	"errors"
	"fmt"
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
	Name string // as messages call it
	Path string // "-" for standard input
}

// sources lists the files that the arguments name: a file as it is, a folder
// as the sheets in it, "-" as standard input. All that cannot be used is told
// at once.
func (a *app) sources(args []string) ([]source, error) {
	var found []source
	var problems []error
	for _, arg := range args {
		some, err := expand(arg)
		if err != nil {
			problems = append(problems, err)
		}
		found = append(found, some...)
	}
	if len(problems) > 0 {
		return nil, fail(exitInput, joinLines(problems))
	}
	return found, nil
}

func expand(arg string) ([]source, error) {
	if arg == stdin {
		return []source{{Name: "standard input", Path: stdin}}, nil
	}
	info, err := os.Stat(arg)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("there is no file %s", arg)
	case err != nil:
		return nil, fileError(arg, err)
	case !info.IsDir():
		return []source{{Name: filepath.ToSlash(arg), Path: arg}}, nil
	}
	return sheetsIn(arg)
}

// sheetsIn lists the sheets of a folder and the folders in it, in order of
// their paths.
func sheetsIn(dir string) ([]source, error) {
	var found []source
	err := filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return fileError(path, err)
		}
		if entry.IsDir() && path != dir && strings.HasPrefix(entry.Name(), ".") {
			return fs.SkipDir
		}
		if !entry.IsDir() && strings.HasSuffix(path, ".lore") {
			found = append(found, source{Name: filepath.ToSlash(path), Path: path})
		}
		return nil
	})
	if err == nil && len(found) == 0 {
		err = fmt.Errorf("%s is a folder without any sheet (*.lore); name the board files themselves", dir)
	}
	slices.SortFunc(found, func(a, b source) int { return strings.Compare(a.Path, b.Path) })
	return found, err
}

// read reads a whole source, up to the size of the largest sheet.
func (a *app) read(s source) ([]byte, error) {
	if s.Path == stdin {
		return everything(a.In, s.Name)
	}
	file, err := os.Open(s.Path)
	if err != nil {
		return nil, fileError(s.Path, err)
	}
	defer file.Close()
	text, err := everything(file, s.Name)
	if err != nil {
		return nil, fileError(s.Path, err)
	}
	return text, nil
}

// fileError says in plain words why a file cannot be used.
func fileError(path string, err error) error {
	var path1 *fs.PathError
	switch {
	case errors.Is(err, fs.ErrPermission):
		return fmt.Errorf("%s may not be read by you", path)
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("there is no file %s", path)
	case errors.As(err, &path1):
		return fmt.Errorf("%s cannot be read: %w", path, path1.Err)
	}
	return err
}

// joinLines makes one error of several, a line each.
func joinLines(errs []error) error {
	if len(errs) == 1 {
		return errs[0]
	}
	return errors.Join(errs...)
}
