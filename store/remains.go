package store

import (
	"os"
	"path/filepath"
	"slices"
)

// putInOrder looks at what a process that was ended in mid-write may have left
// and the storage library would not survive: it removes files that were made
// and not yet filled, and refuses tables that were cut short. It does so only
// while nobody writes, for a file that is being made looks the same.
func putInOrder(dir string) error {
	release, ok := holdShared(dir)
	if !ok {
		return nil // opening will say who holds it
	}
	defer release()
	removeStillborn(dir)
	for _, name := range tableFiles(dir) {
		if err := checkTable(name); err != nil {
			return err
		}
	}
	return nil
}

// removeStillborn removes logs of no size. The storage library makes a log and
// then gives it its size; ended between the two, it would refuse the base the
// next time. One that may not be removed is left for opening to complain about.
func removeStillborn(dir string) {
	for _, pattern := range []string{"*.mem", "*.vlog"} {
		names, _ := filepath.Glob(filepath.Join(globEscape(dir), pattern)) // the pattern is sound
		for _, name := range names {
			if info, err := os.Lstat(name); err == nil && info.Mode().IsRegular() && info.Size() == 0 {
				os.Remove(name)
			}
		}
	}
}

// firstFiles are what making a base leaves in its folder before it is one.
var firstFiles = []string{"LOCK", "MANIFEST-REWRITE"}

// onlyFirstFiles reports whether the folder is empty, or all that is in it was
// left by a process that was ended while it made a base there.
func onlyFirstFiles(entries []os.DirEntry) bool {
	return !slices.ContainsFunc(entries, func(e os.DirEntry) bool {
		return !e.Type().IsRegular() || !slices.Contains(firstFiles, e.Name())
	})
}
