//go:build unix

package store

import (
	"errors"
	"os"
	"syscall"

	"golang.org/x/sys/unix"
)

// openSpace is the room wanted on the disk before anything is written. The
// storage library writes through memory maps: on a full disk the process would
// be ended by a signal instead of an error, so it must not come to that.
const openSpace = 24 << 20

// checkSpace reports a *FullError if the disk of dir has less room than need.
func checkSpace(dir string, need uint64) error {
	var stat unix.Statfs_t
	if err := unix.Statfs(dir, &stat); err != nil {
		return &AccessError{dir, err}
	}
	if free := stat.Bavail * uint64(stat.Bsize); free < need {
		return &FullError{Dir: dir, Need: need, Free: free}
	}
	return nil
}

// holdShared holds a folder against writers, as a reader does, until release.
// It reports false if a writer holds it.
func holdShared(dir string) (release func(), ok bool) {
	file, err := os.Open(dir)
	if err != nil {
		return nil, false
	}
	if err := unix.Flock(int(file.Fd()), unix.LOCK_SH|unix.LOCK_NB); err != nil {
		file.Close()
		return nil, false
	}
	return func() { file.Close() }, true
}

// processRuns reports whether there is a process of this number.
func processRuns(pid int) bool {
	err := syscall.Kill(pid, 0)
	return err == nil || errors.Is(err, syscall.EPERM)
}
