package sheet

import (
	"strings"

	"netlore/query/diag"
	"netlore/store/board"
)

// Renamed is the edit that writes another name in the place of a mention: in
// quotation marks where they are needed, or where the old name has them though
// it needs none.
func (f *File) Renamed(m Mention, name string) diag.Edit {
	old := f.text[m.At.Start:m.At.End]
	if m.place.needsQuotes(name) || old[0] == '"' && !m.place.needsQuotes(m.Name) {
		return diag.Edit{Range: m.At, New: string(appendQuoted(nil, name))}
	}
	return diag.Edit{Range: m.At, New: name}
}

// needsQuotes reports whether a name must be in quotation marks in its place.
func (p placing) needsQuotes(name string) bool {
	if !board.BareName(name) {
		return true
	}
	switch p {
	case leadsMember:
		return name == "pad"
	case leadsOver:
		return name == "nothing"
	case isTarget:
		_, kind := board.TargetKindByWord(name)
		return kind
	case beforePin:
		return strings.HasSuffix(name, ".")
	case isPin:
		return strings.Contains(name, ".")
	}
	return false
}

// Apply makes edits that do not overlap in a text.
func Apply(text string, edits []diag.Edit) string {
	var s strings.Builder
	at := 0
	for _, e := range edits {
		s.WriteString(text[at:e.Range.Start])
		s.WriteString(e.New)
		at = e.Range.End
	}
	s.WriteString(text[at:])
	return s.String()
}
