package store

import (
	"encoding/binary"
	"os"
	"path/filepath"
)

// rewriteMost bounds how much of a base is written anew at a time: the storage
// library merges a level of tables with what it overlaps of the next, never all
// of a large base.
const rewriteMost = 256 << 20

// rewriteSpace is how much room merging the tables of a base may take before
// the old ones go.
func rewriteSpace(dir string) uint64 {
	var size int64
	for _, name := range tableFiles(dir) {
		if info, err := os.Stat(name); err == nil {
			size += info.Size()
		}
	}
	return uint64(min(size, rewriteMost))
}

func tableFiles(dir string) []string {
	names, _ := filepath.Glob(filepath.Join(globEscape(dir), "*.sst")) // the pattern is sound
	return names
}

// globEscape makes a folder's name stand for itself in a pattern.
func globEscape(dir string) string {
	var s []byte
	for i := range len(dir) {
		if c := dir[i]; c == '*' || c == '?' || c == '[' || c == '\\' && filepath.Separator == '/' {
			s = append(s, '\\', c)
		} else {
			s = append(s, c)
		}
	}
	return string(s)
}

// checkTable checks that the lengths at the end of a table lie within it: the
// last four bytes are that of the checksum, and the four before the checksum
// that of the index.
func checkTable(name string) error {
	file, err := os.Open(name)
	if err != nil {
		return &AccessError{filepath.Dir(name), err}
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil || info.Size() == 0 { // left by a crash, and not in use
		return err
	}
	left := info.Size()
	for range 2 {
		var size [4]byte
		if left -= 4; left < 0 {
			return errDamaged("%s was cut short", filepath.Base(name))
		}
		if _, err := file.ReadAt(size[:], left); err != nil {
			return &AccessError{filepath.Dir(name), err}
		}
		if left -= int64(binary.BigEndian.Uint32(size[:])); left < 0 {
			return errDamaged("%s was cut short", filepath.Base(name))
		}
	}
	return nil
}
