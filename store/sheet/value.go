package sheet

import (
	"strings"
	"time"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"netlore/store/board"
)

// value holds what one attribute says. Each shape fills the fields it needs.
type value struct {
	word    int    // index into the attribute's words, plus 1; 0 for none of them
	text    string // a name, or free text
	names   []string
	number  int32 // micrometres, millidegrees or a plain whole number
	second  int32 // the second number: of a size, of a range of layers
	q       board.Quantity
	within  board.Tolerance
	points  []board.Point
	when    time.Time
	targets []board.Target
}

// appendName prints a name, quoted if it must be.
func appendName(dst []byte, name string) []byte {
	if bare(name) {
		return append(dst, name...)
	}
	if name = norm.NFC.String(strings.ToValidUTF8(name, "\ufffd")); board.BareName(name) {
		return append(dst, name...)
	}
	return appendQuoted(dst, name)
}

// bare reports whether a name is certainly bare: plain ASCII throughout. It is
// the quick half of board.BareName.
func bare(name string) bool {
	for i := range len(name) {
		if c := classes[name[i]]; c != plainByte && (c != dotByte || i+1 < len(name) && name[i+1] == '.') {
			return false
		}
	}
	return name != "" && name[0] != '#'
}

// appendQuoted prints text between quotation marks. What a line cannot hold
// becomes a blank.
func appendQuoted(dst []byte, s string) []byte {
	if !utf8.ValidString(s) {
		s = strings.ToValidUTF8(s, "\ufffd")
	}
	dst = append(dst, '"')
	for i := range len(s) {
		switch c := s[i]; {
		case c == '"' || c == '\\':
			dst = append(dst, '\\', c)
		case classes[c] == controlByte:
			dst = append(dst, ' ')
		default:
			dst = append(dst, c)
		}
	}
	return append(dst, '"')
}

// reset makes v ready for the next attribute. It keeps the room of its slices,
// and touches no more than it must: it is called for every word of a file.
func (v *value) reset() {
	v.word, v.number, v.second, v.q = 0, 0, 0, board.Quantity{}
	if v.text != "" {
		v.text = ""
	}
	if len(v.names)+len(v.points)+len(v.targets) > 0 {
		v.names, v.points, v.targets = v.names[:0], v.points[:0], v.targets[:0]
	}
	if v.within.Above.Known() || !v.when.IsZero() {
		v.within, v.when = board.Tolerance{}, time.Time{}
	}
}
