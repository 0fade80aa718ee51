package ipcd356

import (
	"bytes"
	"strings"
	"unicode"
	"unicode/utf8"

	"netlore/store/board"
)

// symbol stands for one name of the file: a net, a designator or a pin. The
// empty name is symbol 0.
type symbol int32

// symbols keeps every name once.
type symbols struct {
	ids   map[string]symbol
	names []string
	texts board.Texts

	last   []byte // the net of the record before: files are in order of net
	lastID symbol
}

func (s *symbols) init() {
	s.ids = map[string]symbol{"": 0}
	s.names = []string{""}
}

// of returns the symbol of a name.
func (s *symbols) of(name []byte) symbol {
	if id, ok := s.ids[string(name)]; ok {
		return id
	}
	id := symbol(len(s.names))
	key := s.texts.Keep(string(name))
	s.ids[key] = id
	s.names = append(s.names, cleaned(key))
	return id
}

// net is of for net names, which come in runs.
func (s *symbols) net(name []byte) symbol {
	if bytes.Equal(name, s.last) {
		return s.lastID
	}
	s.last, s.lastID = append(s.last[:0], name...), s.of(name)
	return s.lastID
}

// maxName is the most bytes of a name: far more than the format gives it, and
// few enough for a line of a sheet.
const maxName = 128

// text makes a name of bytes: UTF-8 where it is that, else Latin-1, which
// exporters write. Control characters become question marks.
func text(b []byte) string { return cleaned(string(b)) }

func cleaned(s string) string {
	if isPlain(s) {
		return s
	}
	if !utf8.ValidString(s) {
		s = latin1(s)
	}
	return strings.Map(func(c rune) rune {
		if unicode.IsControl(c) {
			return '?'
		}
		return c
	}, s)
}

// isPlain reports whether s is printing ASCII.
func isPlain(s string) bool {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' {
			return false
		}
	}
	return true
}

func latin1(s string) string {
	runes := make([]rune, len(s))
	for i := range len(s) {
		runes[i] = rune(s[i])
	}
	return string(runes)
}

// unconnectedWords are the ways exporters say that a pin is on no net, without
// regard to case and to anything but letters and digits: "N/C",
// "~Unused_Pins~", "No Net". Taken as a net, any of them would tie a thousand
// pins together that have nothing in common.
var unconnectedWords = map[string]bool{
	"nc": true, "unusedpins": true, "unusedpin": true, "nonet": true, "none": true,
	"noconnect": true, "noconnection": true, "notconnected": true, "unconnected": true,
	"unused": true, "noconn": true, "unconnectedpins": true, "notconn": true,
}

// unconnected reports whether a net name is only a way to say "no net".
func unconnected(name string) bool {
	var word [16]byte // longer than any of the words
	n := 0
	for i := range len(name) {
		c := name[i]
		switch {
		case 'A' <= c && c <= 'Z':
			c += 'a' - 'A'
		case 'a' <= c && c <= 'z', '0' <= c && c <= '9', c >= utf8.RuneSelf:
		default:
			continue
		}
		if n == len(word) {
			return unconnectedPin(name)
		}
		word[n] = c
		n++
	}
	return n == 0 || unconnectedWords[string(word[:n])] || unconnectedPin(name)
}

// unconnectedPin recognises the name that some exporters make for each pin on
// no net: "unconnected-(U1-Pad3)".
func unconnectedPin(name string) bool {
	const made = "unconnected-("
	return len(name) >= len(made) && strings.EqualFold(name[:len(made)], made)
}

// madeForPin reports whether the name of a net with a single pin is the end of
// such a name, as is left where names are cut to their last letters:
// "ED-(U1-PAD3)", or "IOT_51A-PAD42)" for pin 42.
func madeForPin(net, pin string) bool {
	if !strings.HasSuffix(net, ")") {
		return false
	}
	lower := strings.ToLower(net)
	if at := strings.Index(lower, "-("); at > 0 && strings.HasSuffix("unconnected", lower[:at]) {
		return true
	}
	end := "pad" + strings.ToLower(pin) + ")"
	return strings.HasSuffix(lower, "-"+end) || strings.HasSuffix(end, lower)
}
