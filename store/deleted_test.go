package store

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
)

// inFiles lists the files of a base in which a text stands, as they are on disk. Tables
// are compressed, and letters that occur nowhere else side by side are in them as they
// are, so texts to look for begin with none that others begin with.
func inFiles(t *testing.T, dir, text string) (found []string) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := os.ReadFile(path)
		if bytes.Contains(content, []byte(text)) {
			found = append(found, filepath.Base(path))
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// TestPrivateDetailsAreDeleted: what takes the place of private details, and what
// removes a job, leaves nothing of them in the files.
func TestPrivateDetailsAreDeleted(t *testing.T) {
	const first, second = "qvzkwxjyhf", "uigbmxoqzt"
	dir := t.TempDir()
	for n, do := range []func(b *Base) error{
		func(b *Base) error {
			_, err := b.Add(t.Context(), heron(t)...)
			return errors.Join(err, b.SetPrivate(t.Context(), "1042", Private{Customer: first}))
		},
		func(b *Base) error { return b.SetPrivate(t.Context(), "1042", Private{Customer: second}) },
		func(b *Base) error {
			_, err := b.Remove(t.Context(), JobSubject("1042"), "bench-1")
			return err
		},
	} {
		b := open(t, dir, Options{Now: atNoon})
		if err := errors.Join(do(b), b.Close()); err != nil {
			t.Fatal(err)
		}
		for i, text := range []string{first, second} {
			if there := len(inFiles(t, dir, text)) > 0; there != (i == n) {
				t.Errorf("after change %d, that %s is there is %t: %v", n, text, there, inFiles(t, dir, text))
			}
		}
	}
}
