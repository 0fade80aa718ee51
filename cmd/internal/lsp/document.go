package lsp

import (
	"maps"
	"net/url"
	"path/filepath"
	"strings"
	"sync"

	"netlore/query/diag"
	"netlore/store/sheet"
)

// A document is one sheet in one version: open in the editor, or on disk. It
// does not change.
type document struct {
	uri     string // as the client writes it
	path    string // "" if it is no file
	text    string
	version *int32 // nil if it is not open

	parse func() parsed
	lines func() *lines
}

type parsed struct {
	file  *sheet.File
	found diag.List
}

func newDocument(uri, path, text string, version *int32) *document {
	d := &document{uri: uri, path: path, text: text, version: version}
	d.lines = sync.OnceValue(func() *lines { return linesOf(text) })
	d.parse = sync.OnceValue(func() parsed {
		file, found := sheet.Parse(uri, []byte(text))
		return parsed{file, found}
	})
	return d
}

func (d *document) file() *sheet.File { return d.parse().file }

// name is what messages call the document.
func (d *document) name() string {
	if d.path != "" {
		return filepath.Base(d.path)
	}
	return d.uri
}

// documents are those open in the editor, by key. The map does not change.
type documents struct{ open map[string]*document }

// with returns the documents with one more, or in another version.
func (d *documents) with(doc *document) *documents {
	open := make(map[string]*document, len(d.open)+1)
	maps.Copy(open, d.open)
	open[keyOf(doc.uri)] = doc
	return &documents{open}
}

func (d *documents) without(uri string) *documents {
	open := maps.Clone(d.open)
	delete(open, keyOf(uri))
	return &documents{open}
}

// size is the bytes of all open documents but one.
func (d *documents) size(but *document) int {
	n := 0
	for key, doc := range d.open {
		if key != keyOf(but.uri) {
			n += len(doc.text)
		}
	}
	return n
}

func (d *documents) get(uri string) *document { return d.open[keyOf(uri)] }

// keyOf is one key for all ways to write the URI of a file.
func keyOf(uri string) string {
	if path := pathOf(uri); path != "" {
		return path
	}
	return uri
}

// pathOf is the path of a file URI, or "".
func pathOf(uri string) string {
	u, err := url.Parse(uri)
	if err != nil || u.Scheme != "file" || u.Path == "" || strings.ContainsRune(u.Path, 0) {
		return ""
	}
	path := u.Path
	if len(path) > 2 && path[2] == ':' { // /c:/boards
		path = path[1:]
	}
	if u.Host != "" && u.Host != "localhost" {
		path = "//" + u.Host + path
	}
	return filepath.Clean(filepath.FromSlash(path))
}

// uriOf is the URI of a path.
func uriOf(path string) string {
	path = filepath.ToSlash(path)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path
	}
	return (&url.URL{Scheme: "file", Path: path}).String()
}
