package exchange

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"

	"netlore/store/board"
)

// ID names a shared entry by its content: the SHA-256 of its canonical text.
type ID [sha256.Size]byte

// String is the id in hexadecimal.
func (id ID) String() string { return hex.EncodeToString(id[:]) }

// About is what the entries of one batch have in common.
type About struct {
	Of      string // "board Heron-A rev 3", "stack Heron", "questions", "meters", "chances"
	By      string // fingerprint of the key of the shop that says so
	Licence string // SPDX identifier
	Origin  string // where it comes from, in words: "measured on three good boards"
	Again   int    // how often the shop has withdrawn the same before
}

// head begins the canonical text of every entry of a batch.
//
//	entry 1
//	of board Heron-A rev 3
//	by dpty-ke51-qb71-sqct-fhnd
//	licence CC0-1.0
//	origin "measured on the bench"
//
//	expect diode VMAIN 0.412V ±8% by "Heron Repair dpty-ke51-qb71"
func (a *About) head() []byte {
	s := fmt.Appendf(nil, "entry 1\nof %s\nby %s\n", a.Of, a.By)
	if a.Licence != "" {
		s = fmt.Appendf(s, "licence %s\n", board.QuoteName(a.Licence))
	}
	if a.Origin != "" {
		s = fmt.Appendf(s, "origin %s\n", board.QuoteName(a.Origin))
	}
	if a.Again > 0 {
		s = fmt.Appendf(s, "again %d\n", a.Again)
	}
	return append(s, '\n')
}

// An ids works out the ids of entries of one batch.
type ids struct {
	room []byte
	head int
}

func (a *About) ids() *ids {
	head := a.head()
	return &ids{head, len(head)}
}

// of is the id of the entry that says a canonical block.
func (i *ids) of(text string) ID {
	i.room = append(i.room[:i.head], text...)
	return sha256.Sum256(i.room)
}

// Kind is a sort of knowledge, of which a shop may be believed or not.
type Kind uint8

const (
	Structure Kind = iota // what a board is made of: parts, nets, pads, covers
	Expected
	Readings
	Notes
	Questions
	Meters
	Chances // a shop's own experience of what fails
	kindCount
)

var kindNames = [kindCount]string{"structure", "expected", "readings", "notes", "questions", "meters", "chances"}

// String is the word for the kind on a command line.
func (k Kind) String() string { return kindNames[k] }

// Kinds are all kinds, in order.
func Kinds() []Kind { return []Kind{Structure, Expected, Readings, Notes, Questions, Meters, Chances} }

// KindOf is the kind of a canonical block. Continuity is a reading.
func KindOf(text string) Kind {
	word, _, _ := strings.Cut(text, " ")
	switch strings.TrimSuffix(word, "\n") {
	case "expect":
		return Expected
	case "reading", "continuity":
		return Readings
	case "note":
		return Notes
	case "question":
		return Questions
	case "meter":
		return Meters
	case "chance":
		return Chances
	}
	return Structure
}

// attributed reports whether blocks of the kind say in themselves who says so.
func (k Kind) attributed() bool {
	return k == Expected || k == Readings || k == Notes || k == Chances
}

// Label is how a shop is named as the author of what it shares: what it calls
// itself, and enough of its key that no other shop has the same.
func (s Signer) Label() string {
	const groups = 3*(fingerprintGroup+1) - 1
	return strings.TrimSpace(s.Name + " " + s.Shop.String()[:groups])
}

// saysBy reports whether a canonical block names the author label, and no other:
// whoever signs can speak for nobody else.
func saysBy(text, label string) bool {
	line, _, _ := strings.Cut(text, "\n")
	want, last, said := board.QuoteName(label), "", false
	for word := range bareWords(line) {
		if last == "by" {
			said = word == want
		}
		last = word
	}
	return said
}

// saysWhen is the day that a canonical block names last, or nothing.
func saysWhen(text string) (day string) {
	line, _, _ := strings.Cut(text, "\n")
	last := ""
	for word := range bareWords(line) {
		if last == "when" {
			day = word
		}
		last = word
	}
	return day
}

// bareWords gives the words of a canonical line, texts in quotation marks as one.
func bareWords(line string) func(yield func(string) bool) {
	return func(yield func(string) bool) {
		for len(line) > 0 {
			end := wordEnd(line)
			if end > 0 && !yield(line[:end]) {
				return
			}
			line = line[min(end+1, len(line)):]
		}
	}
}

func wordEnd(line string) int {
	quoted := false
	for i := 0; i < len(line); i++ {
		switch {
		case line[i] == '\\' && quoted:
			i++
		case line[i] == '"':
			quoted = !quoted
		case line[i] == ' ' && !quoted:
			return i
		}
	}
	return len(line)
}

// Entry is the id of the entry that says a canonical block.
func (a About) Entry(text string) ID { return a.ids().of(text) }

// IDs gives the ids of entries that say canonical blocks, one after the other.
func (a About) IDs() func(text string) ID { return a.ids().of }
