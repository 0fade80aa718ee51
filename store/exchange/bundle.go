package exchange

import (
	"archive/tar"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// fileContents is the first member of an exported identity: the hash and the name
// of each of the others, so that one that was cut short is not taken for whole.
const fileContents = "contents"

// Export writes an identity, its private keys too, as a tar archive. Keys that
// have a passphrase keep it.
func Export(dir string, w io.Writer) error {
	if _, err := Look(dir); err != nil {
		return err
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	var names []string
	var texts [][]byte
	var contents []byte
	for _, e := range entries {
		if !ofIdentity(e.Name()) {
			continue
		}
		text, err := fileOf(dir, e.Name())
		if err != nil {
			return err
		}
		names, texts = append(names, e.Name()), append(texts, text)
		contents = fmt.Appendf(contents, "%x  %s\n", sha256.Sum256(text), e.Name())
	}
	archive := tar.NewWriter(w)
	err = member(archive, fileContents, 0o644, contents)
	for i, name := range names {
		if err == nil {
			err = member(archive, name, modeOf(name), texts[i])
		}
	}
	return errors.Join(err, archive.Close())
}

func fileOf(dir, name string) ([]byte, error) {
	if modeOf(name) == 0o600 {
		return ReadPrivate(filepath.Join(dir, name))
	}
	return readFile(filepath.Join(dir, name))
}

// member writes one file of an archive, whose bytes depend on nothing else.
func member(archive *tar.Writer, name string, mode fs.FileMode, text []byte) error {
	if err := archive.WriteHeader(&tar.Header{Name: name, Mode: int64(mode), Size: int64(len(text)), ModTime: time.Unix(0, 0)}); err != nil {
		return err
	}
	_, err := archive.Write(text)
	return err
}

// ofIdentity reports whether a file is part of an identity. No other name is
// written by Restore, so that none leads elsewhere.
func ofIdentity(name string) bool {
	switch name {
	case fileBench, fileSpecimens, fileCert, fileRequest, fileBenches, fileWords:
		return true
	}
	key, ok := strings.CutPrefix(name, fileShop)
	return ok && len(key) == len(Key{}.String()) && allIn(key, "0123456789abcdefghjkmnpqrstvwxyz-")
}

// modeOf is who may read a file of an identity.
func modeOf(name string) fs.FileMode {
	if name == fileBench || name == fileSpecimens || strings.HasPrefix(name, fileShop) {
		return 0o600
	}
	return 0o644
}

// Restore makes an identity of what Export has written, where there is none.
func Restore(dir string, r io.Reader) (*Card, error) {
	files, err := readBundle(r)
	if err != nil {
		return nil, err
	}
	return making(dir, func(in string) error {
		for _, f := range files {
			if err := writeNew(filepath.Join(in, f.name), f.text, modeOf(f.name)); err != nil {
				return err
			}
		}
		if _, err := Look(in); err != nil {
			return complaint("X108", "", "what was exported is no whole identity", howExported)
		}
		return nil
	})
}

// bundled is one file of an exported identity.
type bundled struct {
	name string
	text []byte
}

// readBundle reads an exported identity whole. No name in it is one that Export
// does not write.
func readBundle(r io.Reader) (files []bundled, err error) {
	archive := tar.NewReader(r)
	contents, err := next(archive, fileContents)
	if err != nil {
		return nil, err
	}
	for line := range strings.Lines(string(contents)) {
		sum, name, ok := strings.Cut(strings.TrimSuffix(line, "\n"), "  ")
		if !ok || !ofIdentity(name) || len(files) == maxBundle {
			return nil, complaint("X108", "", fmt.Sprintf("%q is no file of an identity, or one too many", name))
		}
		text, err := next(archive, name)
		if err != nil {
			return nil, err
		}
		if fmt.Sprintf("%x", sha256.Sum256(text)) != sum {
			return nil, complaint("X108", "", name+" is not what was exported")
		}
		files = append(files, bundled{name, text})
	}
	return files, nil
}

// maxBundle is how many files an exported identity has at most: a shop that
// changes its key each month has fewer for years.
const maxBundle = 200

const howExported = "netlore identity export FILE writes one"

// next reads the next file of an exported identity, which must be the one of
// this name.
func next(archive *tar.Reader, name string) ([]byte, error) {
	header, err := archive.Next()
	if err != nil || header.Typeflag != tar.TypeReg || header.Name != name {
		return nil, complaint("X108", "", "it is no exported identity, or it was cut short", howExported)
	}
	text, err := readSome(archive, name)
	if err != nil {
		return nil, complaint("X108", "", "the exported identity was cut short")
	}
	return text, nil
}
