package lsp

type openParams struct {
	Document struct {
		URI     string `json:"uri"`
		Version int32  `json:"version"`
		Text    string `json:"text"`
	} `json:"textDocument"`
}

// didOpen takes a document over from the disk.
func (s *server) didOpen(p openParams) {
	s.replace(newDocument(p.Document.URI, pathOf(p.Document.URI), p.Document.Text, &p.Document.Version))
}

type changeParams struct {
	Document struct {
		URI     string `json:"uri"`
		Version int32  `json:"version"`
	} `json:"textDocument"`
	Changes []change `json:"contentChanges"`
}

// A change is a piece of the text, or without a range all of it.
type change struct {
	Range *textRange `json:"range"`
	Text  string     `json:"text"`
}

// didChange makes the changes one after the other, each in the text that the
// one before left. A document that is not open is not known, and stays so.
func (s *server) didChange(p changeParams) {
	d := s.docs.get(p.Document.URI)
	if d == nil {
		return
	}
	text := d.text
	for _, c := range p.Changes {
		if text = c.apply(text, s.client.encoding); len(text) > maxOpen {
			break
		}
	}
	s.replace(newDocument(d.uri, d.path, text, &p.Document.Version))
}

// apply makes a change in a text.
func (c change) apply(text string, e encoding) string {
	if c.Range == nil {
		return c.Text
	}
	start := offsetOf(text, c.Range.Start, e)
	end := max(start, offsetOf(text, c.Range.End, e))
	return text[:start] + c.Text + text[end:]
}

// offsetOf is the byte at a position in a text of which the lines have not been
// counted.
func offsetOf(text string, p position, e encoding) int {
	at := 0
	for range p.Line {
		n := lineEnd(text[at:])
		if n < 0 {
			return len(text)
		}
		at = afterEnd(text, at+n)
	}
	line := text[at:]
	if n := lineEnd(line); n >= 0 {
		line = line[:n]
	}
	return at + offsetIn(line, p.Character, e)
}

// didClose gives a document back to the disk, and its complaints go with it.
func (s *server) didClose(p documentParams) {
	if s.docs.get(p.Document.URI) == nil {
		return
	}
	s.mu.Lock()
	s.docs = s.docs.without(p.Document.URI)
	s.mu.Unlock()
	s.touch()
}

// maxOpen is how much text may be open in all. What is beyond it is taken as
// closed.
const maxOpen = 512 << 20

// replace puts a document in the place of its former version.
func (s *server) replace(d *document) {
	if d.uri == "" || s.docs.size(d)+len(d.text) > maxOpen {
		s.didClose(documentParams{documentID{d.uri}})
		return
	}
	s.mu.Lock()
	s.docs = s.docs.with(d)
	s.mu.Unlock()
	s.touch()
}

// touch says that there is something to check.
func (s *server) touch() {
	select {
	case s.changed <- struct{}{}:
	default:
	}
}
