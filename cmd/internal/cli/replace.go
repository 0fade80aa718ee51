package cli

import (
	"fmt"
	"os"
	"path/filepath"
)

// makeFolder makes a folder to write files into, unless it is there.
func makeFolder(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fail(exitInput, fmt.Errorf("the folder %s cannot be made: %w", dir, reason(err)))
	}
	return nil
}

// newFile writes a file beside its place, syncs it, and moves it there.
func newFile(path string, content []byte) error {
	if _, err := os.Stat(path); err == nil {
		return replaceFile(path, content)
	}
	if err := putFile(path, content, 0o644); err != nil {
		return fail(exitInput, fmt.Errorf("%s could not be written: %w", path, reason(err)))
	}
	return nil
}

// newSecretFile writes a file that is not there yet and that only its owner may
// read.
func newSecretFile(path string, content []byte) error {
	if _, err := os.Lstat(path); err == nil {
		return fail(exitInput, fmt.Errorf("%s is there already; name a new file", path))
	}
	if err := putFile(path, content, 0o600); err != nil {
		return fail(exitInput, fmt.Errorf("%s could not be written: %w", path, reason(err)))
	}
	return nil
}

// replaceFile puts new content in the place of a file, whole or not at all.
func replaceFile(path string, content []byte) error {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	info, err := os.Stat(path)
	if err != nil {
		return fail(exitInput, fileError(path, err))
	}
	if err := mayWrite(path); err != nil {
		return fail(exitInput, fmt.Errorf("%s was not changed: %w", path, reason(err)))
	}
	if err := putFile(path, content, info.Mode().Perm()); err != nil {
		return fail(exitInput, fmt.Errorf("%s was not changed: %w", path, reason(err)))
	}
	return nil
}

// mayWrite reports an error if a file may not be written by the user: then it
// must not be replaced either, though its folder would let it be.
func mayWrite(path string) error {
	file, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	return file.Close()
}

// putFile writes a file beside its place, syncs it, and renames it into place.
func putFile(path string, content []byte, mode os.FileMode) (err error) {
	beside, err := os.CreateTemp(filepath.Dir(path), ".netlore-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			beside.Close()
			os.Remove(beside.Name())
		}
	}()
	if _, err = beside.Write(content); err != nil {
		return err
	}
	if err = beside.Chmod(mode); err != nil {
		return err
	}
	if err = beside.Sync(); err != nil {
		return err
	}
	if err = beside.Close(); err != nil {
		return err
	}
	if err = os.Rename(beside.Name(), path); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(path))
}

// syncFolder makes a rename in a folder last.
func syncFolder(dir string) error {
	folder, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer folder.Close()
	return folder.Sync()
}
