package store

import (
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/sys/unix"
)

// forget asks the system to drop the files of a base from its cache.
func forget(tb testing.TB, dir string) {
	tb.Helper()
	names, err := filepath.Glob(filepath.Join(globEscape(dir), "*"))
	if err != nil {
		tb.Fatal(err)
	}
	for _, name := range names {
		file, err := os.Open(name)
		if err != nil {
			tb.Fatal(err)
		}
		if err := unix.Fadvise(int(file.Fd()), 0, 0, unix.FADV_DONTNEED); err != nil {
			tb.Fatal(err)
		}
		file.Close()
	}
}
