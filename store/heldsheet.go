package store

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"netlore/query/diag"
	"netlore/store/sheet"
)

// heldSheet is the entries of one addition as a sheet, of which a place in it
// leads back to the place that an entry came from.
type heldSheet struct {
	heldBatch
	listing
	others []string // of what came from other shops: who says each statement of the listing
}

// file makes the sheet of the entries that will still hold.
func (h *heldSheet) file(m *merge) *sheet.File {
	h.listing, h.others = newListing(h.name), nil
	for _, e := range h.entries {
		if m.gone[e.id] {
			continue
		}
		h.add(m.worded(e.text, e.homes), e.source)
		by := ""
		if e.from != (ID{}) {
			by = e.author
		}
		h.others = append(h.others, by)
	}
	return h.listing.file()
}

// A listing is a sheet made of statements, in canonical text, that knows where
// each came from.
type listing struct {
	name    string // none that a file can have
	text    []byte
	lines   int
	starts  []int    // line of each statement
	sources []string // where it came from
}

func newListing(name string) listing {
	return listing{name: name, text: []byte("netlore 1\n"), lines: 1}
}

func (l *listing) add(text, source string) {
	l.starts, l.sources = append(l.starts, l.lines+1), append(l.sources, source)
	l.text = append(l.text, text...)
	l.lines += strings.Count(text, "\n")
}

// file is the sheet. All of it has been read before, without complaint. Nothing
// can be added any more.
func (l *listing) file() *sheet.File {
	file, _ := sheet.Parse(l.name, l.text)
	return file
}

// heldFiles makes sheets of the held entries that will still hold.
func (m *merge) heldFiles() []*sheet.File {
	files := make([]*sheet.File, len(m.older))
	for i := range m.older {
		files[i] = m.older[i].file(m)
	}
	if m.unnamed() {
		files = append(files, naming(m.add.Subject))
	}
	return files
}

// unnamed reports whether statements will still hold, and none of them names the subject:
// who did so was another shop, and has withdrawn it.
func (m *merge) unnamed() bool {
	s := m.add.Subject
	if s.Shared() || s.Job {
		return false
	}
	some := false
	for _, h := range m.older {
		for _, e := range h.entries {
			if m.gone[e.id] {
				continue
			}
			if some = true; names(e.text, s.String()) {
				return false
			}
		}
	}
	return some
}

// naming is a sheet that names a subject and says no more of it.
func naming(s Subject) *sheet.File {
	file, _ := sheet.Parse("\x00naming", []byte("netlore 1\n"+s.String()+"\n"))
	return file
}

// place leads a complaint back to where statements came from. Of a new and a
// held one that contradict each other, it is about the new one.
func (m *merge) place(d *diag.Diagnostic) {
	first := diag.Related{File: d.File, Line: d.Line, Column: d.Column, Excerpt: d.Excerpt, Before: d.Before}
	held := m.lead(&first)
	d.File, d.Line = first.File, first.Line
	for i := range d.Related {
		r := &d.Related[i]
		if older := m.lead(r); older || !held {
			continue
		}
		d.File, d.Line, d.Column, d.Excerpt, d.Before = r.File, r.Line, r.Column, r.Excerpt, r.Before
		d.Width, d.Range = max(r.Before+len(r.Excerpt)-r.Column+1, 1), diag.Range{}
		first.Message = "the other one" + first.Message
		*r, held = first, false
	}
	if held {
		d.Message += first.Message
	}
}

// lead leads a place in a sheet that nobody can look into to where the
// statement came from. It reports whether the statement is a held one, and
// then says since when.
func (m *merge) lead(r *diag.Related) (held bool) {
	for i := range m.older {
		if h := &m.older[i]; r.File == h.name {
			r.Message += " (" + h.who(r.Line) + ")"
			r.File, r.Line = h.origin(r.Line)
			return true
		}
	}
	for _, l := range []*listing{&m.corrections, &m.picked} {
		if r.File == l.name {
			r.File, r.Line = l.origin(r.Line)
			return false
		}
	}
	for _, f := range m.files() {
		if r.File == f.Name() && (f == m.own || m.add.made(f)) {
			r.Line = 0
		}
	}
	return false
}

// who says since when the statement at a line is held, and whose word it is.
func (h *heldSheet) who(line int) string {
	since := "held since " + h.event.Time.Format(time.DateOnly)
	if i := h.at(line); i >= 0 && h.others[i] != "" {
		return since + ", said by " + h.others[i]
	}
	return since + ", from " + h.event.Author
}

// at is which statement a line of the listing belongs to; -1 if it is before all.
func (l *listing) at(line int) int {
	i, exact := slices.BinarySearch(l.starts, line)
	if !exact {
		i--
	}
	return i
}

// origin is the file, and the line of the statement, that a line of the listing
// came from. The line is 0 if it is not known.
func (l *listing) origin(line int) (string, int) {
	i := l.at(line)
	if i < 0 || l.sources[i] == "" {
		return "the knowledge base", 0
	}
	source := l.sources[i]
	if at := strings.LastIndexByte(source, ':'); at >= 0 {
		if n, err := strconv.Atoi(source[at+1:]); err == nil {
			return source[:at], n
		}
	}
	return source, 0
}
