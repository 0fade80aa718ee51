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
	name   string
	starts []int // line of each entry that is in the sheet
	shown  []held
}

// file makes the sheet of the entries that will still hold.
func (h *heldSheet) file(gone map[ID]bool) *sheet.File {
	h.starts, h.shown = h.starts[:0], h.shown[:0]
	text := []byte("netlore 1\n")
	line := 2
	for _, e := range h.entries {
		if gone[e.id] {
			continue
		}
		h.starts, h.shown = append(h.starts, line), append(h.shown, e)
		text = append(text, e.text...)
		line += strings.Count(e.text, "\n")
	}
	file, _ := sheet.Parse(h.name, text) // canonical text, read once without complaint
	return file
}

// heldFiles makes sheets of the held entries that will still hold.
func (m *merge) heldFiles() []*sheet.File {
	files := make([]*sheet.File, len(m.older))
	for i := range m.older {
		files[i] = m.older[i].file(m.gone)
	}
	return files
}

// place leads a complaint about held statements back to where they came from.
func (m *merge) place(d *diag.Diagnostic) {
	for i := range m.older {
		h := &m.older[i]
		if d.File == h.name {
			d.File, d.Line = h.origin(d.Line)
			d.Message += " (" + h.who() + ")"
		}
		for j := range d.Related {
			if r := &d.Related[j]; r.File == h.name {
				r.File, r.Line = h.origin(r.Line)
				r.Message += " (" + h.who() + ")"
			}
		}
	}
}

func (h *heldSheet) who() string {
	return "held since " + h.event.Time.Format(time.DateOnly) + ", from " + h.event.Author
}

// origin is the file, and the line of the statement, that a line of the sheet
// came from.
func (h *heldSheet) origin(line int) (string, int) {
	i, exact := slices.BinarySearch(h.starts, line)
	if !exact {
		i--
	}
	if i < 0 {
		return "the knowledge base", line
	}
	source := h.shown[i].source
	at := strings.LastIndexByte(source, ':')
	if at < 0 {
		return "the knowledge base", line
	}
	n, err := strconv.Atoi(source[at+1:])
	if err != nil {
		return source, line
	}
	return source[:at], n
}
