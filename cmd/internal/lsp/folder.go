package lsp

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"
)

// Bounds of what is read beside the documents that are open.
const (
	maxBeside      = 500
	maxBesideBytes = 64 << 20
)

// A disk remembers the sheets it has read, and what the sheets of a folder said
// together, for as long as they stay as they are.
type disk struct {
	mu     sync.Mutex
	sheets map[string]onDisk // by path
	worlds map[string]*world // by folder
}

type onDisk struct {
	size int64
	when time.Time
	doc  *document
}

// beside lists the sheets of a folder, in order of their names. Files that
// cannot be read are passed over, and so is what is beyond the bounds: whole
// reports whether nothing was.
func (k *disk) beside(ctx context.Context, folder string) (found []*document, whole bool) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, true
	}
	bytes := int64(0)
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".lore") || ctx.Err() != nil {
			continue
		}
		path := filepath.Join(folder, e.Name())
		info, err := os.Stat(path)
		if err != nil || !info.Mode().IsRegular() {
			continue
		}
		if bytes += info.Size(); len(found) == maxBeside || bytes > maxBesideBytes {
			return found, false
		}
		if d := k.read(path, info); d != nil {
			found = append(found, d)
		}
	}
	return found, true
}

// read returns a sheet on disk, read anew if it has changed.
func (k *disk) read(path string, info os.FileInfo) *document {
	k.mu.Lock()
	known := k.sheets[path]
	k.mu.Unlock()
	if known.doc != nil && known.size == info.Size() && known.when.Equal(info.ModTime()) {
		return known.doc
	}
	text, err := readBounded(path)
	if err != nil {
		return nil
	}
	known = onDisk{info.Size(), info.ModTime(), newDocument(uriOf(path), path, text, nil)}
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.sheets == nil || len(k.sheets) > 4*maxBeside {
		k.sheets = map[string]onDisk{}
	}
	k.sheets[path] = known
	return known.doc
}

// readBounded reads a file that may have grown since it was looked at.
func readBounded(path string) (string, error) {
	file, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer file.Close()
	var text strings.Builder
	_, err = io.Copy(&text, io.LimitReader(file, maxBesideBytes))
	return text.String(), err
}
