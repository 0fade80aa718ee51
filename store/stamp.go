package store

import (
	"fmt"
	"hash/fnv"
	"io/fs"
	"os"
	"strings"
)

// Stamp is a number that is another one once somebody has changed the base in a
// folder and let go of it. It takes a look at the folder only, so that whoever
// shows the base can look often. To read a base does not change it. Errors:
// ErrNoBase, *AccessError.
func Stamp(dir string) (uint64, error) {
	entries, err := os.ReadDir(dir)
	if os.IsNotExist(err) {
		return 0, ErrNoBase
	}
	if err != nil {
		return 0, &AccessError{dir, err}
	}
	sum := fnv.New64a()
	for _, e := range entries {
		info, err := e.Info()
		if err != nil || e.Name() == lockFile || strings.HasPrefix(e.Name(), AsidePrefix) || info.Mode()&fs.ModeType != 0 {
			continue // gone meanwhile, or not of the base
		}
		fmt.Fprintln(sum, e.Name(), info.Size(), info.ModTime().UnixNano())
	}
	return sum.Sum64(), nil
}

// AsidePrefix begins the names of files in the folder of a base that are no part of
// it: what a command keeps in mind of its last run.
const AsidePrefix = "aside-"

// lockFile is what a process that writes leaves its number in.
const lockFile = "LOCK"
